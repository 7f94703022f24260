"""Find a command by its words, and give commands other keys, by keyboard."""

import pytest
from PySide6.QtCore import Qt

from tests.gui.test_window import KEEP, NIGHT, on_disk, press
from triage.ui.command import Command
from triage.ui.commands import COMMANDS, entry
from triage.ui.views.finder import Finder, find


def finder_of(window) -> Finder:
    (found,) = [child for child in window.children() if isinstance(child, Finder)]
    return found


def rows_of(finder) -> list[str]:
    return [finder.found.topLevelItem(at).text(0) for at in range(finder.found.topLevelItemCount())]


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("shadows", Command.SHADOWS),
        ("tag event", Command.TAG_EVENT),
        ("EVENT reject", Command.REJECT_EVENT),
        ("note night", Command.NOTE_NIGHT),
        ("larger", Command.TEXT_LARGER),
    ],
)
def test_commands_are_found_by_parts_of_their_words(words, first):
    assert find(words)[0].command is first


def test_no_words_find_every_command_and_nonsense_none():
    assert find("") == list(COMMANDS)
    assert find("giraffe") == []


def test_a_command_is_found_and_done_from_the_keyboard(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_5)
    finder = finder_of(window)
    qtbot.keyClicks(finder.line, "this frame keep")
    assert rows_of(finder)[0] == "Keep this frame"
    qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    assert on_disk(window) == {0: KEEP}


def test_one_moves_among_those_found_while_writing(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_5)
    finder = finder_of(window)
    qtbot.keyClicks(finder.line, "text")
    qtbot.keyClick(finder.line, Qt.Key.Key_Down)
    assert finder.found.currentItem().text(0) == rows_of(finder)[1]
    qtbot.keyClick(finder.line, Qt.Key.Key_Escape)
    assert not finder.isVisible()


def test_what_makes_no_sense_now_is_listed_and_not_done(open_night, qtbot):
    window = open_night(*NIGHT)
    window.show_keys()
    window.find_command()
    finder = finder_of(window)
    qtbot.keyClicks(finder.line, "keep this frame")
    assert "(not now)" in finder.found.topLevelItem(0).text(1)
    qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    assert on_disk(window) == {}
    finder.close()


def test_a_key_is_changed_from_the_keyboard_and_all_that_names_it_follows(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_F1, modifier=Qt.KeyboardModifier.ShiftModifier)
    page = window.key_change
    page.choose(Command.UNDO)
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    qtbot.keyClick(page.list, Qt.Key.Key_D)
    assert "D already means “Reject this frame”" in page.text
    qtbot.keyClick(page.list, Qt.Key.Key_Y)
    assert page.text == "Y now means “Undo”."
    assert f"Undo: Y. {entry(Command.UNDO).help}" in window.keys.text
    press(qtbot, window, Qt.Key.Key_Escape)
    press(qtbot, window, Qt.Key.Key_S)
    assert "Y takes it back." in window.status.text
    press(qtbot, window, Qt.Key.Key_Z)
    assert on_disk(window) == {0: KEEP}
    press(qtbot, window, Qt.Key.Key_Y)
    assert on_disk(window) == {}
    window.close()
    again = open_night(*NIGHT)
    assert again.book.spoken(Command.UNDO) == "Y"


def test_esc_leaves_a_key_as_it_is_and_then_the_page(open_night, qtbot):
    window = open_night(*NIGHT)
    window.show_key_change()
    page = window.key_change
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    assert page.text.startswith("Press the new key for")
    qtbot.keyClick(page.list, Qt.Key.Key_Escape)
    assert window.pages.currentWidget() is page
    assert page.text.startswith("Choose a command")
    press(qtbot, window, Qt.Key.Key_Escape)
    assert window.pages.currentWidget() is window.page


def test_standard_keys_come_back_by_a_button(open_night, qtbot):
    window = open_night(*NIGHT)
    window.book.change(Command.UNDO, "Y")
    window.show_key_change()
    window.key_change._reset_all()
    assert window.book.changed == frozenset()
    assert "Every command has its standard keys again." in window.key_change.text


def test_a_modifier_alone_is_waited_out_and_signs_are_named_without_shift(open_night, qtbot):
    window = open_night(*NIGHT)
    window.show_key_change()
    page = window.key_change
    page.choose(Command.COMPARE)
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    qtbot.keyClick(page.list, Qt.Key.Key_Shift)
    assert page.text.startswith("Press the new key for")
    qtbot.keyClick(page.list, Qt.Key.Key_Exclam, Qt.KeyboardModifier.ShiftModifier)
    assert window.book.spoken(Command.COMPARE) == "!"
