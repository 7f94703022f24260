"""Read a card in a thread of its own: the pipeline's steps come out as signals."""

import threading
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QElapsedTimer, QObject, QThreadPool, QTimer, Signal, Slot

from triage.errors import Stopped, TriageError
from triage.pipeline.outward import Nearest, nobody
from triage.pipeline.steps import PictureRead, Step, TimeLineReady
from triage.records.result import Options
from triage.ui.workers.images import FirstLook, LookBook

Pipeline = Callable[..., Iterator[Step]]
"""`triage.pipeline.run.run`, or a stand-in."""


FLUSH_MS = 60
"""What a reader tells is taken in batches at most this often: each taking wakes the window."""
TURN_S = 0.012
"""No longer than this is spent on a batch at a time, so that keys are answered in between."""
SHOWING_S = 0.3
"""A reader waits no longer than this for the time line to be shown: both would only keep each other waiting."""


def _at_once() -> bool:
    """Tell that nobody needs more time for what was told."""
    return True


class ReadingSignals(QObject):
    """What a reader tells; each signal carries the reader's number, so that late ones can be told apart."""

    waiting = Signal(int)
    """Something is in the outbox that was empty before."""
    ended = Signal(int)
    """Always the last one, whatever happened."""


@dataclass(frozen=True, slots=True)
class Look:
    """`PictureRead` without its picture, and a first look in its place, or None."""

    read: PictureRead
    look: FirstLook | None


@dataclass(frozen=True, slots=True)
class Failure:
    """A known error in words."""

    words: str


Told = Step | Look | Failure


class Reader:
    """One reading of one card; what it tells waits in its outbox until the window's thread takes it."""

    def __init__(
        self, number: int, pipeline: Pipeline, root: Path, options: Options, nearest: Nearest
    ) -> None:
        self.number = number
        self.signals = ReadingSignals()
        self.book = LookBook()
        self._pipeline = pipeline
        self._root = root
        self._options = options
        self._nearest = nearest
        self._stop = threading.Event()
        self._is_shown = threading.Event()
        self._outbox: deque[Told] = deque()
        self._lock = threading.Lock()

    def stop(self) -> None:
        """Ask it to end; it does so within one frame's work."""
        self._stop.set()
        self._is_shown.set()

    def go_on(self) -> None:
        """Tell it that the time line is on the screen."""
        self._is_shown.set()

    @property
    def is_stopped(self) -> bool:
        """Whether it was asked to end."""
        return self._stop.is_set()

    @property
    def has_more(self) -> bool:
        """Whether something waits to be taken."""
        with self._lock:
            return bool(self._outbox)

    def take(self) -> Told | None:
        """Take the next thing told; None where nothing waits."""
        with self._lock:
            return self._outbox.popleft() if self._outbox else None

    def run(self) -> None:
        """Do the work; called by the pool. An unknown error is a bug and surfaces with its traceback."""
        try:
            steps = self._pipeline(self._root, self._options, stop=self._stop.is_set, nearest=self._nearest)
            for step in steps:
                if self._stop.is_set():
                    break
                self._tell(self._without_picture(step))
                if isinstance(step, TimeLineReady):
                    self._is_shown.wait(SHOWING_S)
        except Stopped:
            pass
        except TriageError as error:
            self._tell(Failure(str(error)))
        finally:
            self.signals.ended.emit(self.number)

    def _without_picture(self, step: Step) -> Told:
        if not isinstance(step, PictureRead):
            return step
        look = None if step.picture is None else self.book.keep(step.picture)
        return Look(PictureRead(step.frame, None, step.done, step.total), look)

    def _tell(self, told: Told) -> None:
        with self._lock:
            self._outbox.append(told)
            is_first = len(self._outbox) == 1
        if is_first:
            self.signals.waiting.emit(self.number)


class CardReading(QObject):
    """One card at a time: starting another one stops the one before and drops what it still tells.

    Parameters
    ----------
    pipeline : callable
        The recipe.
    parent : QObject, optional
        The window.
    nearest : callable, optional
        Tells the frame a person looks at; asked in the reader's thread. What is near it is read first.
    is_shown : callable, optional
        Tells whether what was told last is on the screen; nothing more is told before.
    """

    stepped = Signal(object)
    """Any step but `PictureRead`."""
    looked = Signal(object, object)
    """`PictureRead` without its picture, and a `FirstLook` or None."""
    failed = Signal(str)
    """A known error in words."""
    ended = Signal(bool)
    """Whether it was stopped before the end."""

    def __init__(
        self,
        pipeline: Pipeline,
        parent: QObject | None = None,
        *,
        nearest: Nearest = nobody,
        is_shown: Callable[[], bool] = _at_once,
    ) -> None:
        super().__init__(parent)
        self._pipeline = pipeline
        self._nearest = nearest
        self._is_shown = is_shown
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._readers: dict[int, Reader] = {}
        self._number = 0
        self._book: LookBook | None = None
        self._ending: Reader | None = None
        self._has_time_line = False
        self._taking = QTimer(self)
        self._taking.setSingleShot(True)
        self._taking.timeout.connect(self._take)
        self._since = QElapsedTimer()

    @property
    def is_running(self) -> bool:
        """Whether a card is being read, or what was read is still being taken."""
        return self._number in self._readers or self._ending is not None

    def start(self, root: Path, options: Options) -> None:
        """Read a card; the first looks of the one before are given back."""
        self.stop()
        self._taking.stop()
        self._ending = None
        self._number += 1
        self._has_time_line = False
        reader = Reader(self._number, self._pipeline, root, options, self._nearest)
        self._close_book()
        self._book = reader.book
        self._readers[self._number] = reader
        reader.signals.waiting.connect(self._wait)
        reader.signals.ended.connect(self._end)
        self._pool.start(reader.run)

    def stop(self) -> None:
        """Ask the reader to end; `ended` follows."""
        for reader in self._readers.values():
            reader.stop()

    def close(self) -> None:
        """Stop and wait for the thread; nothing more is told."""
        self.stop()
        self._number += 1
        self._taking.stop()
        self._ending = None
        self._pool.waitForDone()
        self._close_book()

    def _close_book(self) -> None:
        if self._book is not None:
            self._book.close()
            self._book = None

    @Slot(int)
    def _wait(self, number: int) -> None:
        """Take what was told now, or a little later where something was taken just before."""
        if number == self._number and not self._taking.isActive():
            self._taking.start(self._pause_ms())

    def _pause_ms(self) -> int:
        if not self._since.isValid():
            return 0
        return max(0, FLUSH_MS - self._since.elapsed())

    @Slot()
    def _take(self) -> None:
        reader = self._ending or self._readers.get(self._number)
        if reader is None:
            return
        self._since.restart()
        while self._is_shown() and (told := reader.take()) is not None:
            self._pass_on(told)
            if reader.number != self._number:  # whoever heard it has opened another card
                return
            if self._since.nsecsElapsed() > TURN_S * 1e9:
                break
        if reader.has_more or not self._is_shown():
            self._taking.start(0)
            return
        if self._has_time_line:
            reader.go_on()
        if self._ending is reader:
            self._ending = None
            self.ended.emit(reader.is_stopped)

    def _pass_on(self, told: Told) -> None:
        if isinstance(told, Look):
            self.looked.emit(told.read, told.look)
        elif isinstance(told, Failure):
            self.failed.emit(told.words)
        else:
            self._has_time_line |= isinstance(told, TimeLineReady)
            self.stepped.emit(told)

    @Slot(int)
    def _end(self, number: int) -> None:
        reader = self._readers.pop(number)
        if number != self._number:
            reader.book.close()
            return
        self._ending = reader
        self._taking.start(0)
