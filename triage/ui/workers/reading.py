"""Read a card in a thread of its own: the pipeline's steps come out as signals."""

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

from PySide6.QtCore import QObject, QRunnable, Signal

from triage.errors import Stopped, TriageError
from triage.pipeline.steps import PictureRead, Step
from triage.records.result import Options
from triage.ui.workers.images import FirstLook

Pipeline = Callable[..., Iterator[Step]]
"""`triage.pipeline.run.run`, or a stand-in."""


class ReadingSignals(QObject):
    """What a reader tells; each signal carries the reader's number, so that late ones can be told apart."""

    stepped = Signal(int, object)
    """Any step but `PictureRead`."""
    looked = Signal(int, object, object)
    """`PictureRead` without its picture, and a `FirstLook` or None."""
    failed = Signal(int, str)
    """A known error in words."""
    ended = Signal(int)
    """Always the last one, whatever happened."""


class Reader(QRunnable):
    """One reading of one card."""

    def __init__(self, number: int, pipeline: Pipeline, root: Path, options: Options) -> None:
        super().__init__()
        self.setAutoDelete(False)
        self.number = number
        self.signals = ReadingSignals()
        self._pipeline = pipeline
        self._root = root
        self._options = options
        self._stop = threading.Event()

    def stop(self) -> None:
        """Ask it to end; it does so within one frame's work."""
        self._stop.set()

    @property
    def is_stopped(self) -> bool:
        """Whether it was asked to end."""
        return self._stop.is_set()

    def run(self) -> None:
        """Do the work; called by the pool. An unknown error is a bug and surfaces with its traceback."""
        try:
            for step in self._pipeline(self._root, self._options, stop=self._stop.is_set):
                if self._stop.is_set():
                    break
                self._tell(step)
        except Stopped:
            pass
        except TriageError as error:
            self.signals.failed.emit(self.number, str(error))
        finally:
            self.signals.ended.emit(self.number)

    def _tell(self, step: Step) -> None:
        if not isinstance(step, PictureRead):
            self.signals.stepped.emit(self.number, step)
            return
        look = None if step.picture is None else FirstLook.of(step.picture)
        self.signals.looked.emit(self.number, PictureRead(step.frame, None, step.done, step.total), look)
