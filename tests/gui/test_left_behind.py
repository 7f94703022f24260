"""What is closed, and what has been done, does not stay in memory."""

import gc
import weakref
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEvent

from tests.gui.stand_ins import FakePipeline, fake_decode, make_night
from tests.gui.test_window import CARD, NIGHT
from triage.records.event import EventKind
from triage.records.result import Options
from triage.store.library import Library
from triage.ui.main_window import MainWindow
from triage.ui.settings import Settings
from triage.ui.workers import pictures as pictures_module
from triage.ui.workers.pictures import Detail, Pictures


def opened_and_closed(qtbot, library: Library, ini: Path) -> "weakref.ref[MainWindow]":
    """Read a card in a window of its own, close that and forget it; nothing here keeps it alive."""
    pipeline = FakePipeline(make_night(NIGHT))
    window = MainWindow(library, Settings(ini), pipeline=pipeline, decode=fake_decode, options=Options())
    window.show()
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(CARD)
    qtbot.waitUntil(lambda: not window.pictures.is_busy)
    window.close()
    window.deleteLater()
    return weakref.ref(window)


def test_a_closed_window_with_its_card_is_given_back(qtbot, library, tmp_path):
    left = opened_and_closed(qtbot, library, tmp_path / "window.ini")
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    assert left() is None


def test_a_decoded_picture_leaves_no_work_behind(qtbot, monkeypatch):
    made = []

    class Watched(pictures_module._Decoding):
        def __init__(self, *words):
            super().__init__(*words)
            made.append(weakref.ref(self))

    monkeypatch.setattr(pictures_module, "_Decoding", Watched)
    pictures = Pictures(fake_decode)
    pictures.load(CARD, make_night(((EventKind.SUBJECT, 9),)).frames)
    for index in range(9):
        with qtbot.waitSignal(pictures.settled):
            pictures.want(index, Detail.SCREEN, long_edge=600)
    pictures.look_ahead(range(8))
    pictures.want(3, Detail.FULL, long_edge=600)
    pictures.close()
    qtbot.waitUntil(lambda: not pictures.is_busy)
    gc.collect()
    assert len(made) > 9
    assert [work() for work in made if work() is not None] == []
