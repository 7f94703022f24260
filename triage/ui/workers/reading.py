"""Read a card in a thread of its own: the pipeline's steps come out as signals."""

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot

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


class CardReading(QObject):
    """One card at a time: starting another one stops the one before and drops what it still tells."""

    stepped = Signal(object)
    looked = Signal(object, object)
    failed = Signal(str)
    ended = Signal(bool)
    """Whether it was stopped before the end."""

    def __init__(self, pipeline: Pipeline, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pipeline = pipeline
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._readers: dict[int, Reader] = {}
        self._number = 0

    @property
    def is_running(self) -> bool:
        """Whether a card is being read."""
        return self._number in self._readers

    def start(self, root: Path, options: Options) -> None:
        """Read a card."""
        self.stop()
        self._number += 1
        reader = Reader(self._number, self._pipeline, root, options)
        self._readers[self._number] = reader
        reader.signals.stepped.connect(self._step)
        reader.signals.looked.connect(self._look)
        reader.signals.failed.connect(self._fail)
        reader.signals.ended.connect(self._end)
        self._pool.start(reader)

    def stop(self) -> None:
        """Ask the reader to end; `ended` follows."""
        for reader in self._readers.values():
            reader.stop()

    def close(self) -> None:
        """Stop and wait for the thread."""
        self.stop()
        self._pool.waitForDone()

    @Slot(int, object)
    def _step(self, number: int, step: Step) -> None:
        if number == self._number:
            self.stepped.emit(step)

    @Slot(int, object, object)
    def _look(self, number: int, read: PictureRead, look: FirstLook | None) -> None:
        if number == self._number:
            self.looked.emit(read, look)

    @Slot(int, str)
    def _fail(self, number: int, words: str) -> None:
        if number == self._number:
            self.failed.emit(words)

    @Slot(int)
    def _end(self, number: int) -> None:
        reader = self._readers.pop(number)
        if number == self._number:
            self.ended.emit(reader.is_stopped)
