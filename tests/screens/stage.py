"""One window for one picture: opened on a night, driven by the table of commands, then grabbed."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QDeadlineTimer, QEvent, QEventLoop, QPoint, QTimer
from PySide6.QtGui import QPainter, QPixmap
from PySide6.QtWidgets import QApplication, QWidget

from tests.gui.stand_ins import Answers
from tests.screens.nights import Sample
from triage.records.result import Options
from triage.store.library import Library
from triage.ui.command import Command
from triage.ui.main_window import MainWindow
from triage.ui.settings import Settings
from triage.ui.workers.reading import Pipeline

PATIENCE_MS = 120_000
CARD = "Alder Hollow, 3 October"


class Stage:
    """The window, and a hand on it.

    Parameters
    ----------
    sample : Sample
        Where pictures come from.
    pipeline : callable
        What the window reads.
    folder : Path
        For its library and its state; empty.
    size : tuple of int
        Width and height of the window.
    """

    def __init__(self, sample: Sample, pipeline: Pipeline, folder: Path, size: tuple[int, int]) -> None:
        self.sample = sample
        self.card = folder / CARD
        self.card.mkdir()
        self.library = Library(folder / "library.sqlite")
        self.window = MainWindow(
            self.library,
            Settings(folder / "window.ini"),
            pipeline=pipeline,
            decode=sample.decode,
            options=Options(),
        )
        self.answers = self.window.asking = Answers()
        self.window.offer_demo(lambda: self.card)
        self.window.resize(*size)
        self.window.show()
        self.window.activateWindow()

    def wait(self, until: Callable[[], bool]) -> None:
        """Let the window live until something is so."""
        loop, deadline = QEventLoop(), QDeadlineTimer(PATIENCE_MS)
        tick = QTimer()
        tick.timeout.connect(loop.quit)
        tick.start(10)
        while not until():
            if deadline.hasExpired():
                message = "The window never came to the state wanted."
                raise TimeoutError(message)
            loop.exec()
        tick.stop()

    def settle(self) -> None:
        """Let everything arrive that is on its way."""
        self.wait(lambda: not self.window.pictures.is_busy and not self.window.page.reasons.is_behind)
        for _turn in range(20):
            QApplication.processEvents()

    def open(self) -> None:
        """Read the night to its end."""
        self.window.open_card(self.card)
        self.wait(lambda: not self.window.reading.is_running)
        self.settle()

    def open_until(self, is_there: Callable[[], bool]) -> None:
        """Read the night until something is so."""
        self.window.open_card(self.card)
        self.wait(is_there)
        self.settle()

    def do(self, *commands: Command) -> None:
        """Do what menus and keys do."""
        for command in commands:
            self.window.actions_.by_command[command].trigger()
        self.settle()

    def grab(self, out: Path) -> None:
        """Save the window as a picture; a menu or question above it is painted in."""
        self.settle()
        shot = self.window.grab()
        over = QApplication.activePopupWidget() or _dialog_of(self.window)
        if over is not None:
            _paint_over(shot, over, self.window)
        if not shot.save(str(out)):
            message = f"{out} cannot be written"
            raise OSError(message)

    def strike(self) -> None:
        """Take the window down."""
        popup = QApplication.activePopupWidget()
        if popup is not None:
            popup.close()
        self.window.close()
        self.window.deleteLater()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        self.library.close()


def _paint_over(shot: QPixmap, over: QWidget, window: QWidget) -> None:
    at = window.mapFromGlobal(over.mapToGlobal(QPoint(0, 0)))
    with QPainter(shot) as painter:
        painter.drawPixmap(at, over.grab())


def _dialog_of(window: QWidget) -> QWidget | None:
    return next(
        (each for each in QApplication.topLevelWidgets() if each is not window and each.isVisible()), None
    )
