import pytest

from triage.ui.command import Command
from triage.ui.commands import entry
from triage.ui.key_book import KeyBook
from triage.ui.keymap import KeyClashError


@pytest.fixture
def path(tmp_path):
    return tmp_path / "keys.json"


def test_keys_are_the_standard_ones_until_changed(path):
    book = KeyBook(path)
    assert book.changed == frozenset()
    assert book.spoken(Command.KEEP_FRAME) == "S"
    assert not path.exists()


def test_a_changed_key_is_kept_for_the_next_time(path):
    KeyBook(path).change(Command.KEEP_FRAME, "Y")
    again = KeyBook(path)
    assert again.changed == {Command.KEEP_FRAME}
    assert again.keymap.command("y") is Command.KEEP_FRAME
    assert again.keymap.command("S") is None


def test_a_key_that_is_taken_is_refused_in_words(path):
    book = KeyBook(path)
    assert book.conflict(Command.KEEP_FRAME, "d") == (
        "D already means “Reject this frame”. Press another key, or change that one first."
    )
    with pytest.raises(KeyClashError, match="Reject this frame"):
        book.change(Command.KEEP_FRAME, "D")
    assert book.spoken(Command.KEEP_FRAME) == "S"
    assert book.conflict(Command.KEEP_FRAME, "S") == ""


@pytest.mark.parametrize("key", ["Esc", "Tab", "Enter"])
def test_keys_that_lead_out_stay_what_they_are(path, key):
    assert "cannot be changed" in KeyBook(path).conflict(Command.KEEP_FRAME, key)


def test_standard_keys_come_back_one_by_one_or_all_at_once(path):
    book = KeyBook(path)
    book.change(Command.KEEP_FRAME, "Y")
    book.change(Command.REJECT_FRAME, "S")
    with pytest.raises(KeyClashError, match="S already means"):
        book.reset(Command.KEEP_FRAME)
    book.reset(Command.REJECT_FRAME)
    book.reset(Command.KEEP_FRAME)
    assert KeyBook(path).changed == frozenset()
    book.change(Command.UNDO, "Backspace")
    book.reset()
    assert KeyBook(path).keymap.keys(Command.UNDO) == book.keymap.keys(Command.UNDO)
    assert book.spoken(Command.UNDO) == entry(Command.UNDO).keys[0]


@pytest.mark.parametrize(
    "text",
    ["", "[1]", "{", '{"keep-frame": "S"}', '{"keep-frame": [7]}', '{"keep-frame": ["D"]}', '{"fly": ["Y"]}'],
)
def test_a_damaged_file_counts_as_empty(path, text):
    path.write_text(text, encoding="utf-8")
    assert KeyBook(path).changed == frozenset()
