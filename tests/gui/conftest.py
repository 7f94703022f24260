"""Windows without a screen, and a check after each test that nothing of Qt is left behind."""

import os
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

os.environ["QT_QPA_PLATFORM"] = "offscreen"

from PySide6.QtCore import QCoreApplication, QEvent, QTimer
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication

from tests.gui import timeline_records
from tests.gui.patience import PatientBot
from tests.gui.stand_ins import Answers, FakePipeline, fake_decode, make_night
from triage.pipeline.steps import Step
from triage.records.event import EventKind
from triage.records.night import Night
from triage.records.result import Options
from triage.store.library import Library
from triage.ui.dressing import SYSTEM_FONT
from triage.ui.main_window import MainWindow
from triage.ui.settings import Settings
from triage.ui.timeline.panel import TimelinePanel

NO_SCREEN = "This plugin does not support"
"""So Qt's platform without a screen complains of size hints, raising and grabbing; there is nothing to mend."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let that one message pass in this folder."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.qt_log_ignore(NO_SCREEN))
            item.add_marker(pytest.mark.gui)


@pytest.fixture(autouse=True)
def nothing_left_behind(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fail a test that leaves a top-level widget, a thread or an active timer."""
    yield
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        return
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    app.processEvents()
    widgets = [widget for widget in app.topLevelWidgets() if widget.isVisible()]
    timers = [
        timer for widget in app.topLevelWidgets() for timer in widget.findChildren(QTimer) if timer.isActive()
    ]
    workers = [
        thread.name
        for thread in threading.enumerate()
        if thread is not threading.main_thread() and not thread.daemon and thread.is_alive()
    ]
    for widget in app.topLevelWidgets():
        widget.close()
        widget.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    _undress(app)
    assert not widgets, f"{request.node.name} leaves windows open: {widgets}"
    assert not timers, f"{request.node.name} leaves timers running: {timers}"
    assert not workers, f"{request.node.name} leaves threads running: {workers}"


def _undress(app: QApplication) -> None:
    """Take the theme off again, so that no test depends on one before it."""
    app.setStyleSheet("")
    font = app.property(SYSTEM_FONT)
    if isinstance(font, QFont):
        app.setFont(font)


@pytest.fixture
def qtbot(qapp: QApplication, request: pytest.FixtureRequest) -> PatientBot:
    """Give pytest-qt's helper, with more patience."""
    return PatientBot(request)


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    """Give a library of decisions in a folder of its own."""
    with Library(tmp_path / "library.sqlite") as store:
        yield store


@pytest.fixture
def make_window(qtbot, library: Library, tmp_path: Path) -> Iterator[Callable[..., MainWindow]]:
    """Give a builder of windows on a stand-in for the recipe."""
    made: list[MainWindow] = []

    def build(pipeline: Callable[..., Iterator[Step]], *, store: Library = library) -> MainWindow:
        settings = Settings(tmp_path / "window.ini")
        window = MainWindow(store, settings, pipeline=pipeline, decode=fake_decode, options=Options())
        window.asking = Answers()
        made.append(window)
        window.show()
        return window

    yield build
    for window in made:
        window.asking.agrees = True
        window.close()
        window.deleteLater()


@pytest.fixture
def open_night(qtbot, make_window: Callable[..., MainWindow]) -> Callable[..., MainWindow]:
    """Give a builder of windows on a card read to its end."""

    def build(*events: tuple[EventKind, int], **others: object) -> MainWindow:
        window = make_window(FakePipeline(make_night(events)), **others)
        with qtbot.waitSignal(window.reading.ended):
            window.open_card(Path("/cards/night"))
            window.sorting.stay()  # at the first frame, as a person does who presses a key meanwhile
        qtbot.waitUntil(lambda: not window.pictures.is_busy)
        return window

    return build


@pytest.fixture
def panel(qtbot) -> TimelinePanel:
    """Give a time line in a window of its own."""
    widget = TimelinePanel()
    qtbot.addWidget(widget)
    widget.resize(1280, 420)
    widget.show()
    return widget


@pytest.fixture
def night() -> Night:
    """Give a made-up night with its sky."""
    return timeline_records.night()
