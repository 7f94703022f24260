import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QKeySequence

from triage.records.event import EventKind
from triage.ui.command import Command, Group
from triage.ui.commands import COMMANDS, entry
from triage.ui.keymap import Key, KeyClashError, Keymap, parse_key
from triage.ui.views.keys import HAND, KeysPage


def test_every_command_is_in_the_table_once():
    assert [row.command for row in COMMANDS] == list(dict.fromkeys(row.command for row in COMMANDS))
    assert {row.command for row in COMMANDS} == set(Command)


def test_every_command_has_a_key_a_title_and_a_sentence_of_help():
    for row in COMMANDS:
        assert row.keys
        assert row.title[0].isupper()
        assert row.help.endswith(".")


def test_titles_are_unique():
    assert len({row.title for row in COMMANDS}) == len(COMMANDS)


def test_no_key_means_two_things():
    Keymap()
    twice = (COMMANDS[0], entry(Command.UNDO), entry(Command.UNDO))
    with pytest.raises(KeyClashError, match="means both"):
        Keymap(twice)


def test_no_decision_repeats_while_its_key_is_held():
    assert not [row.command for row in COMMANDS if row.group is Group.DECIDE and row.repeats]


def test_keys_are_found_whatever_their_case():
    keymap = Keymap()
    assert keymap.command("s") is Command.KEEP_FRAME
    assert keymap.command("shift+w") is Command.KEEP_EVENT
    assert keymap.command("Ctrl++") is Command.TEXT_LARGER
    assert keymap.command("Y") is None


@pytest.mark.parametrize("text", ["", "Hyper+A", "Ctrl+"])
def test_what_names_no_key_is_refused(text):
    with pytest.raises(ValueError, match="names no key"):
        parse_key(text)


@given(
    st.sampled_from(["A", "Space", "+", "?", "Left", "."]),
    st.frozensets(st.sampled_from(["Ctrl", "Alt", "Shift"])),
)
def test_a_key_survives_being_written_and_read(name, modifiers):
    key = Key(name, modifiers)
    assert parse_key(key.text) == key


def test_qt_knows_every_key_of_the_table():
    for row in COMMANDS:
        for text in row.keys:
            assert QKeySequence(text).toString(QKeySequence.SequenceFormat.PortableText), text


def test_the_hand_has_a_row_for_each_scope_and_a_column_for_each_act():
    keymap = Keymap()
    rows = ["".join(keymap.spoken(key[0]) for key in keys) for _scope, keys in HAND]
    assert rows == ["12345", "QWERT", "ASDFG", "ZXCVB"]


def test_menus_and_sheet_and_table_say_the_same(open_night, qtbot):
    window = open_night((EventKind.SUBJECT, 1))
    in_menus = [
        action.text() for menu in window.actions_.menus.values() for action in menu.actions() if action.text()
    ]
    assert in_menus == [row.title for row in COMMANDS]
    for row in COMMANDS:
        action = window.actions_.by_command[row.command]
        assert [key.toString() for key in action.shortcuts()] == [
            QKeySequence(text).toString() for text in row.keys
        ]
        assert action.autoRepeat() == row.repeats


def test_the_sheet_of_keys_holds_every_command_with_its_keys_and_help(qtbot):
    keymap = Keymap()
    page = KeysPage(keymap)
    qtbot.addWidget(page)
    for row in COMMANDS:
        keys = " or ".join(key.spoken for key in keymap.keys(row.command))
        assert f"{row.title}: {keys}. {row.help}" in page.text
