"""Handing over and copying from the window, on files that are really there."""

import threading
from pathlib import Path

import pytest

from tests.factories import lay_out_card, make_small_triage
from tests.gui.patience import PATIENCE_S
from tests.gui.stand_ins import FakePipeline
from triage.errors import OutputError
from triage.ui import outputs as outputs_module


@pytest.fixture
def opened(make_window, qtbot, tmp_path):
    """Open a window on a card with files; the answers choose a folder beside it."""
    root = tmp_path / "card"
    triage = make_small_triage(root)
    contents = lay_out_card(root, triage)
    window = make_window(FakePipeline(triage))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(root)
    window.asking.chosen = tmp_path / "out"
    return window, contents, root


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def test_the_whole_card_is_copied_and_said_to_be_safe_only_then(opened, qtbot, tmp_path):
    window, contents, root = opened
    with qtbot.waitSignal(window.outputs.done) as told:
        window.takeout.copy_card()
    assert told.args[1] is True
    assert "safe to wipe" in window.notice.text
    assert not window.notice.text.startswith("Trouble")
    copied = files(tmp_path / "out")
    assert contents.items() <= copied.items()
    assert files(root) == contents


def test_the_keepers_are_handed_over_with_all_their_files(opened, qtbot, tmp_path):
    window, contents, _root = opened
    window.sorting.go(1)
    window.sorting.keep_frame()
    with qtbot.waitSignal(window.outputs.done) as told:
        window.takeout.hand_over()
    assert told.args[1] is True
    handed = set(files(tmp_path / "out").values())
    for path in ("DCIM/100NIGHT/NGT_0002.JPG", "DCIM/100NIGHT/NGT_0002.NEF"):
        assert contents[path] in handed
    assert contents["DCIM/100NIGHT/NGT_0001.JPG"] not in handed


def test_no_folder_chosen_means_nothing_done(opened, qtbot):
    window, _contents, _root = opened
    window.asking.chosen = None
    window.takeout.copy_card()
    assert not window.outputs.is_busy
    assert window.notice.text == ""


def test_a_copy_that_cannot_be_made_is_told_as_trouble(opened, qtbot, monkeypatch):
    window, _contents, _root = opened

    def full(*_words, **_others):
        msg = "The disk is full."
        raise OutputError(msg)
        yield

    monkeypatch.setattr(outputs_module, "copy_card", full)
    with qtbot.waitSignal(window.outputs.done):
        window.takeout.copy_card()
    assert window.notice.text == "Trouble: The disk is full."


class HeldCopy:
    """Copies until it is stopped."""

    def __init__(self):
        self.begun = threading.Event()

    def __call__(self, _root, _folder, *, stop):
        self.begun.set()
        while not stop():
            pass
        yield from ()


def test_closing_while_copying_asks_first(opened, qtbot, monkeypatch):
    window, _contents, _root = opened
    held = HeldCopy()
    monkeypatch.setattr(outputs_module, "copy_card", held)
    window.takeout.copy_card()
    assert held.begun.wait(PATIENCE_S)
    window.asking.agrees = False
    window.close()
    assert window.isVisible()
    assert window.asking.asked[-1] == "Something is still being copied. Stop it and close?"
    window.asking.agrees = True
    window.close()
    assert not window.isVisible()


def test_one_copy_at_a_time(opened, qtbot, monkeypatch):
    window, _contents, _root = opened
    held = HeldCopy()
    monkeypatch.setattr(outputs_module, "copy_card", held)
    window.takeout.copy_card()
    assert held.begun.wait(PATIENCE_S)
    window.takeout.copy_card()
    assert "Something is still being copied" in window.notice.text
    with qtbot.waitSignal(window.outputs.progressed, check_params_cb=lambda words, _done, _total: not words):
        window.stop_work()
    assert not window.outputs.is_busy
    assert not window.status.is_working
