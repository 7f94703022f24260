"""Whole sessions by keyboard: keys go in at the window, decisions come out of the library's file."""

import threading
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent

from tests.gui.stand_ins import FakePipeline, make_night
from triage.errors import StoreError
from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.store.library import Library
from triage.ui.command import Command
from triage.ui.filters import Only
from triage.ui.views.parts import TITLE_SCALE, Heading, Words

KEEP, REJECT = Verdict.KEEP, Verdict.REJECT
NIGHT = ((EventKind.SETUP, 2), (EventKind.SUBJECT, 3), (EventKind.EMPTY, 2), (EventKind.SUBJECT, 1))
CARD = Path("/cards/night")


def on_disk(window) -> dict[int, Verdict]:
    """Read the decisions with a connection of its own, as after a crash."""
    keys = {frame.key: frame.index for frame in window.session.frames}
    with Library(window.session._store.path) as store:
        return {keys[key]: verdict for key, verdict in store.verdicts(list(keys)).items()}


def press(qtbot, window, *keys, modifier=Qt.KeyboardModifier.NoModifier):
    for key in keys:
        qtbot.keyClick(window.focusWidget() or window, key, modifier)


def test_a_whole_card_is_sorted_with_one_hand(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_E)
    assert on_disk(window) == {0: REJECT, 1: REJECT}
    press(qtbot, window, Qt.Key.Key_W)
    assert on_disk(window) == {0: REJECT, 1: REJECT, 2: REJECT, 3: KEEP, 4: REJECT}
    assert window.session.current == 7  # the other visit, before the empty event
    press(qtbot, window, Qt.Key.Key_S, Qt.Key.Key_D, Qt.Key.Key_D)
    assert on_disk(window) == {
        0: REJECT,
        1: REJECT,
        2: REJECT,
        3: KEEP,
        4: REJECT,
        5: REJECT,
        6: REJECT,
        7: KEEP,
    }
    assert window.status.text.startswith("0 undecided, 2 kept, 6 rejected")


def test_each_key_is_on_disk_before_the_next(open_night, qtbot):
    window = open_night((EventKind.SUBJECT, 4))
    for number in range(1, 5):
        press(qtbot, window, Qt.Key.Key_S)
        assert len(on_disk(window)) == number


def test_undo_and_redo_by_key(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_E, Qt.Key.Key_Z)
    assert on_disk(window) == {}
    assert "Took back the decision on 2 frames." in window.status.text
    press(qtbot, window, Qt.Key.Key_Z, modifier=Qt.KeyboardModifier.ShiftModifier)
    assert on_disk(window) == {0: REJECT, 1: REJECT}


def test_the_status_line_says_what_was_decided_and_how_to_take_it_back(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_S)
    assert "Kept NGT_0001.JPG. Z takes it back." in window.status.text


def test_frames_and_events_by_key(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_F)
    assert window.session.current == 1
    press(qtbot, window, Qt.Key.Key_R)
    assert window.session.current == 3
    press(qtbot, window, Qt.Key.Key_A)
    assert window.session.current == 2
    press(qtbot, window, Qt.Key.Key_Q)
    assert window.session.event.id == 1
    press(qtbot, window, Qt.Key.Key_Q)
    assert "That is the first event." in window.status.text


def test_the_space_bar_goes_to_the_next_undecided_frame(open_night, qtbot):
    window = open_night((EventKind.SUBJECT, 3))
    press(qtbot, window, Qt.Key.Key_Space)
    assert window.session.current == 1
    press(qtbot, window, Qt.Key.Key_Space, modifier=Qt.KeyboardModifier.ShiftModifier)
    assert window.session.current == 0


def test_the_space_bar_presses_a_button_that_has_the_focus(open_night, qtbot):
    window = open_night((EventKind.SUBJECT, 3))
    window.notice.say("Something")
    window.notice._close.setFocus()
    press(qtbot, window, Qt.Key.Key_Space)
    assert window.notice.text == ""
    assert window.session.current == 0


def test_nothing_is_sorted_while_no_frame_is_in_sight(open_night, qtbot):
    window = open_night(*NIGHT)
    window.actions_.by_command[Command.DUSK].trigger()
    press(qtbot, window, Qt.Key.Key_E, Qt.Key.Key_S, Qt.Key.Key_Z)
    assert on_disk(window) == {}
    press(qtbot, window, Qt.Key.Key_Escape)
    press(qtbot, window, Qt.Key.Key_S)
    assert on_disk(window) == {0: KEEP}


def test_opening_again_shows_the_decisions(open_night, qtbot):
    first = open_night(*NIGHT)
    press(qtbot, first, Qt.Key.Key_E, Qt.Key.Key_S)
    first.close()
    again = open_night(*NIGHT)
    assert dict(again.session.verdicts) == {0: REJECT, 1: REJECT, 3: KEEP}
    assert again.session.current == 2
    assert "1 kept, 2 rejected" in again.status.text


def test_sorting_begins_while_the_card_is_read_and_survives_its_end(make_window, qtbot):
    pipeline = FakePipeline(make_night(NIGHT), hold_at=4)
    window = make_window(pipeline)
    window.open_card(CARD)
    qtbot.waitUntil(lambda: window.page.picture.image is not None)
    assert window.status.is_working
    press(qtbot, window, Qt.Key.Key_S, Qt.Key.Key_S)
    assert on_disk(window) == {0: KEEP, 1: KEEP}
    assert window.session.current == 2
    with qtbot.waitSignal(window.reading.ended):
        pipeline.gate.set()
    assert window.session.current == 2
    assert window.session.settled
    assert not window.status.is_working
    assert "A quiet night." in window.status.text


def test_where_a_person_looks_is_read_next(make_window, qtbot):
    pipeline = FakePipeline(make_night(NIGHT), hold_at=3)
    window = make_window(pipeline)
    read = []
    window.reading.looked.connect(lambda told, _look: read.append(told.frame.index))
    window.open_card(CARD)
    qtbot.waitUntil(lambda: len(read) == 2)
    window.sorting.go(7)
    with qtbot.waitSignal(window.reading.ended):
        pipeline.gate.set()
    assert read[3] == 7  # the third one was taken up before


def test_the_status_line_goes_from_times_to_pictures_once_the_night_is_there(make_window, qtbot):
    pipeline = FakePipeline(make_night(NIGHT), hold_at=1)
    window = make_window(pipeline)
    window.open_card(CARD)
    qtbot.waitUntil(lambda: bool(window.session.frames))
    assert window.status.text.startswith("Reading pictures: 0 of 8")
    with qtbot.waitSignal(window.reading.ended):
        pipeline.gate.set()


def test_reading_can_be_stopped_and_what_was_read_stays(make_window, qtbot):
    window = make_window(FakePipeline(make_night(NIGHT), hold_at=4))
    window.open_card(CARD)
    qtbot.waitUntil(window.page.isVisible)
    with qtbot.waitSignal(window.reading.ended):
        window.actions_.by_command[Command.STOP].trigger()
    assert "Stopped reading" in window.status.text
    assert not window.status.is_working
    press(qtbot, window, Qt.Key.Key_S)
    assert on_disk(window) == {0: KEEP}


def test_opening_another_card_drops_what_the_first_still_tells(make_window, qtbot):
    held = FakePipeline(make_night(NIGHT), hold_at=4)
    window = make_window(held)
    window.open_card(CARD)
    qtbot.waitUntil(lambda: bool(window.session.frames))
    window.reading._pipeline = FakePipeline(make_night(((EventKind.SUBJECT, 1),)))
    window.open_card(CARD)
    qtbot.waitUntil(lambda: window.session.settled and not window.reading.is_running)
    assert len(window.session.frames) == 1


def test_closing_while_reading_stops_at_once(make_window, qtbot):
    window = make_window(FakePipeline(make_night(NIGHT), hold_at=4))
    window.open_card(CARD)
    qtbot.waitUntil(lambda: bool(window.session.frames))
    window.close()
    assert not window.isVisible()


def test_a_card_that_is_none_is_told_in_words(make_window, qtbot):
    window = make_window(FakePipeline(make_night(NIGHT), fails="There are no pictures in /cards/night."))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(CARD)
    assert window.pages.currentWidget() is window.welcome
    assert window.welcome.trouble.startswith("There are no pictures in /cards/night.")
    assert not window.status.is_working


def test_the_empty_window_says_what_to_do(make_window):
    window = make_window(FakePipeline(make_night(NIGHT)))
    assert window.pages.currentWidget() is window.welcome
    assert window.welcome.trouble == ""
    assert not window.actions_.by_command[Command.KEEP_FRAME].isEnabled()
    assert window.actions_.by_command[Command.OPEN].isEnabled()
    assert window.welcome.demo_button.isHidden()


def test_a_made_up_night_is_offered_where_one_can_be_made(make_window, qtbot):
    window = make_window(FakePipeline(make_night(NIGHT)))
    window.offer_demo(lambda: CARD)
    with qtbot.waitSignal(window.reading.ended):
        window.welcome.demo_button.click()
    assert len(window.session.frames) == 8


def test_a_folder_can_be_dropped(make_window, qtbot, tmp_path):
    window = make_window(FakePipeline(make_night(NIGHT)))
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(tmp_path))])
    drop = QDropEvent(
        QPointF(5, 5),
        Qt.DropAction.CopyAction,
        mime,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    with qtbot.waitSignal(window.reading.ended):
        window.dropEvent(drop)
    assert window.session.frames


def test_a_decision_that_cannot_be_stored_is_told_and_not_shown(open_night, qtbot, monkeypatch):
    window = open_night(*NIGHT)

    def full(*_words):
        msg = "The disk is full."
        raise StoreError(msg)

    monkeypatch.setattr(window.session._store, "decide_each", full)
    press(qtbot, window, Qt.Key.Key_S)
    assert window.notice.text == "Trouble: The decision is not stored. The disk is full."
    assert window.session.tally().undecided == 8


def test_before_dusk_lists_faults_remedies_and_cautions(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_D, modifier=Qt.KeyboardModifier.ControlModifier)
    assert window.pages.currentWidget() is window.dusk
    for words in (
        "1. Right flash: stopped",
        "Put fresh cells into the right flash.",
        "landowner",
        "privacy law",
    ):
        assert words in window.dusk.text


def test_a_fault_leads_to_its_evidence(open_night, qtbot):
    window = open_night(*NIGHT)
    window.page.timeline.fault_chosen.emit(0)
    assert window.session.current == 2
    assert "The right flash gave its last light" in window.status.text


def test_choices_in_the_time_line_are_followed(open_night, qtbot):
    window = open_night(*NIGHT)
    window.page.timeline.event_chosen.emit(3)
    assert window.session.event.id == 3
    window.page.timeline.frame_chosen.emit(0)
    assert window.session.current == 0


def test_the_list_follows_and_leads(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_R)
    assert window.page.events.currentIndex().row() == 1
    index = window.model.index(3)
    window.page.events.setCurrentIndex(index)
    qtbot.keyClick(window.page.events, Qt.Key.Key_Return)
    assert window.session.event.id == 4


def test_the_reasons_follow_the_frame(open_night, qtbot):
    window = open_night(*NIGHT)
    assert "You at the rig" in window.page.reasons.text
    press(qtbot, window, Qt.Key.Key_R)
    text = window.page.reasons.text
    assert "A subject (almost sure, 98\u00a0%), covering 6\u00a0% of the frame." in text
    assert "Nothing speaks against this frame" in text
    assert "2 other frames in this event: 2 with nothing against them." in text


def test_a_filter_is_shown_and_taken_away(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.show_only(Only.SUBJECT)
    assert window.model.rowCount() == 2
    assert window.page.filter_button.text() == "With a subject"
    window.actions_.by_command[Command.SHOW_ALL].trigger()
    assert window.model.rowCount() == 4


def test_the_filter_menu_counts_events(open_night, qtbot):
    window = open_night(*NIGHT)
    window.narrowing.choose()
    (menu,) = [child for child in window.children() if child.metaObject().className() == "FilterMenu"]
    texts = [action.text() for action in menu.actions() if action.text()]
    assert texts[0] == "Every event (4)"
    assert "With a subject (2)" in texts
    with qtbot.waitSignal(menu.chosen):
        menu.actions()[texts.index("With a subject (2)") + 1].trigger()
    menu.close()
    assert window.model.rowCount() == 2


def test_nothing_is_handed_over_before_something_is_kept(open_night, qtbot):
    window = open_night(*NIGHT)
    window.takeout.hand_over()
    assert window.asking.asked == []
    assert "No frame is kept yet." in window.status.text


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_text_size_is_kept_for_the_next_time(open_night, make_window, qtbot, scale):
    window = open_night((EventKind.SUBJECT, 1))
    window.appearance.step_text(0)
    usual = window.font().pointSizeF()
    while window._settings.text_scale < scale:
        window.appearance.step_text(1)
    assert window.font().pointSizeF() == pytest.approx(usual * scale)
    window.close()
    again = make_window(FakePipeline(make_night(NIGHT)))
    assert again._settings.text_scale == scale
    for widget in (again.welcome.open_button, again.keys.findChild(Words), again.status):
        assert widget.font().pointSizeF() == pytest.approx(usual * scale)
    assert again.keys.findChild(Heading).font().pointSizeF() == pytest.approx(usual * scale * TITLE_SCALE)
    again.appearance.step_text(0)
    assert again.font().pointSizeF() == pytest.approx(usual)


def test_the_list_can_be_hidden_and_stays_so(open_night, make_window, qtbot):
    window = open_night((EventKind.SUBJECT, 1))
    window.appearance.toggle_list()
    assert window.page.list_column.isHidden()
    window.close()
    again = make_window(FakePipeline(make_night(NIGHT)))
    assert again.page.list_column.isHidden()


def test_every_widget_that_takes_the_focus_has_a_name(open_night, qtbot):
    """WCAG 2.2, 4.1.2."""
    window = open_night(*NIGHT)
    window.show_night()
    window.night.add_stretch()
    window.scribing.tag_frame()
    nameless = [
        widget
        for page in (
            window.page,
            window.status,
            window.notice,
            window.night,
            window.keys,
            window.key_change,
            window.writing_strip,
            window.check_strip,
        )
        for widget in page.findChildren(type(window.page.picture).__mro__[1])
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not widget.accessibleName()
        and not _text(widget)
    ]
    assert not nameless


def _text(widget) -> str:
    text = getattr(widget, "text", "")
    return text() if callable(text) else str(text)


def test_a_full_session_leaves_no_worker_running(open_night, qtbot):
    window = open_night(*NIGHT)
    window.close()
    assert not window.pictures.is_busy
    assert not window.reading.is_running
    assert threading.active_count() < 20
