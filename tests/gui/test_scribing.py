"""Tags and notes by keyboard, completion from earlier nights, and their way back."""

from pathlib import Path

from PySide6.QtCore import Qt

from tests.gui.test_window import NIGHT, on_disk, press
from triage.errors import StoreError
from triage.store.library import Library
from triage.ui.views.strip import TagCompleter


def tags_on_disk(window) -> dict[int, tuple[str, ...]]:
    keys = {frame.key: frame.index for frame in window.session.frames}
    with Library(window.session._store.path) as store:
        return {keys[key]: words for key, words in store.tags(list(keys)).items()}


def write(qtbot, window, key, text):
    press(qtbot, window, key)
    line = window.writing_strip.line
    line.setText("")
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)


def test_an_event_is_tagged_by_key_and_the_frames_have_the_focus_again(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(3)
    write(qtbot, window, Qt.Key.Key_1, "roe deer, wet")
    assert tags_on_disk(window) == dict.fromkeys((2, 3, 4), ("roe deer", "wet"))
    assert "Tagged 3 frames: roe deer, wet. Z takes it back." in window.status.text
    assert "Tags: roe deer, wet" in window.page.reasons.text
    assert window.focusWidget() is window.page.picture
    assert not window.writing_strip.isVisible()


def test_letters_written_are_no_commands(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_1)
    qtbot.keyClicks(window.writing_strip.line, "sdw e")
    assert on_disk(window) == {}
    assert window.writing_strip.line.text() == "sdw e"
    qtbot.keyClick(window.writing_strip.line, Qt.Key.Key_Escape)
    assert tags_on_disk(window) == {}
    assert not window.writing_strip.isVisible()


def test_frames_chosen_together_are_tagged_together(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(2)
    press(qtbot, window, Qt.Key.Key_F, modifier=Qt.KeyboardModifier.ShiftModifier)
    write(qtbot, window, Qt.Key.Key_2, "cub")
    assert tags_on_disk(window) == {2: ("cub",), 3: ("cub",)}


def test_one_key_takes_back_decisions_and_writing_in_the_order_they_were_made(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(3)
    write(qtbot, window, Qt.Key.Key_1, "hare")
    press(qtbot, window, Qt.Key.Key_W)
    press(qtbot, window, Qt.Key.Key_Z)
    assert on_disk(window) == {}
    assert tags_on_disk(window)
    press(qtbot, window, Qt.Key.Key_Z)
    assert tags_on_disk(window) == {}
    press(qtbot, window, Qt.Key.Key_Z, Qt.Key.Key_Z, modifier=Qt.KeyboardModifier.ShiftModifier)
    assert tags_on_disk(window)
    assert len(on_disk(window)) == 3


def test_notes_on_event_and_night_are_shown_and_there_again(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(3)
    write(qtbot, window, Qt.Key.Key_3, "Stopped and looked back.")
    write(qtbot, window, Qt.Key.Key_4, "Frost. Front track 2 3/8 by 1 7/8 inches.")
    window.close()
    again = open_night(*NIGHT)
    again.sorting.go(3)
    assert "Note on the event: Stopped and looked back." in again.page.reasons.text
    assert "Note on the night: Frost." in again.page.reasons.text
    assert "= 6.0 by 4.8 cm" in again.page.reasons.text
    again.sorting.go(7)
    assert "Stopped" not in again.page.reasons.text


def offered(completer: TagCompleter, row: int) -> str:
    found = completer.completionModel()
    return completer.pathFromIndex(found.mapToSource(found.index(row, 0)))


def test_words_of_earlier_nights_are_offered_after_each_comma(qtbot):
    completer = TagCompleter()
    completer.offer(("badger", "badger cub", "fox"))
    assert completer.splitPath("hare, bad") == ["bad"]
    completer.setCompletionPrefix("hare, bad")
    assert completer.completionCount() == 2
    assert offered(completer, 1) == "hare, badger cub"
    completer.setCompletionPrefix("fo")
    assert offered(completer, 0) == "fox"


def test_arrows_choose_among_the_words_offered_and_move_nothing_in_the_night(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(3)
    write(qtbot, window, Qt.Key.Key_1, "badger cub")
    window.sorting.go(5)
    press(qtbot, window, Qt.Key.Key_1)
    line = window.writing_strip.line
    qtbot.keyClicks(line, "wet, bad")
    popup = line.completer().popup()
    qtbot.waitUntil(popup.isVisible)
    qtbot.keyClick(popup, Qt.Key.Key_Down)
    qtbot.keyClick(popup, Qt.Key.Key_Return)
    assert line.text() == "wet, badger cub"
    qtbot.keyClick(line, Qt.Key.Key_Down)
    assert window.session.current == 5
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert set(tags_on_disk(window)[5]) == {"wet", "badger cub"}


def test_what_cannot_be_written_down_is_told_and_not_shown(open_night, qtbot, monkeypatch):
    window = open_night(*NIGHT)

    def full(*_words):
        msg = "The disk is full."
        raise StoreError(msg)

    monkeypatch.setattr(window.notebook._store, "tag", full)
    write(qtbot, window, Qt.Key.Key_1, "hare")
    assert window.notice.text == "Trouble: It is not written down. The disk is full."
    assert "Tags" not in window.page.reasons.text


def test_the_note_on_an_event_goes_with_its_keepers(open_night, qtbot, tmp_path: Path, monkeypatch):
    window = open_night(*NIGHT)
    window.sorting.go(3)
    write(qtbot, window, Qt.Key.Key_3, "Stopped and looked back.")
    press(qtbot, window, Qt.Key.Key_W)
    taken = {}
    monkeypatch.setattr(
        window.outputs, "hand_over", lambda _root, _session, _library, _folder, notes: taken.update(notes)
    )
    window.asking.chosen = tmp_path
    window.takeout.hand_over()
    assert taken[window.session.frames[3].key] == "Stopped and looked back."
    assert window.session.frames[7].key not in taken
