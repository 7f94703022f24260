"""Small pictures, decoded one after the other off the window's thread, the last one asked for first."""

import threading
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, QThreadPool, Signal, Slot
from PySide6.QtGui import QImage

from triage.ingest.decode import embedded_thumbnail
from triage.records.frame import Frame
from triage.ui.workers.images import to_image

Make = Callable[[], QImage]
"""Decodes a small picture in a worker; a null one where there is none."""


class _Signals(QObject):
    made = Signal(int, int, QImage)


class _Working:
    """Make what is asked for until nothing waits."""

    def __init__(self, take: Callable[[], tuple[int, int, Make] | None]) -> None:
        self.signals = _Signals()
        self._take = take

    def run(self) -> None:
        """Work; called by the pool."""
        while (next_one := self._take()) is not None:
            generation, index, make = next_one
            self.signals.made.emit(generation, index, make())


class Thumbnails(QObject):
    """Answers of `want` come through `arrived`."""

    arrived = Signal(int, QImage)
    """A frame's index, and its small picture."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._lock = threading.Lock()
        self._waiting: dict[int, Make] = {}
        self._generation = 0
        self._is_working = False
        self._working = _Working(self._take)
        self._working.signals.made.connect(self._tell)

    def want(self, index: int, make: Make) -> None:
        """Ask for a small picture; what was asked for last comes first, for it is in view."""
        with self._lock:
            self._waiting.pop(index, None)
            self._waiting[index] = make
            starts, self._is_working = not self._is_working, True
        if starts:
            self._pool.start(self._working.run)

    def forget(self) -> None:
        """Want nothing any more."""
        with self._lock:
            self._waiting.clear()
            self._generation += 1

    def close(self) -> None:
        """Wait for the thread."""
        self.forget()
        self._pool.waitForDone()

    def _take(self) -> tuple[int, int, Make] | None:
        with self._lock:
            if not self._waiting:
                self._is_working = False
                return None
            return self._generation, *self._waiting.popitem()

    @Slot(int, int, QImage)
    def _tell(self, generation: int, index: int, image: QImage) -> None:
        if generation == self._generation and not image.isNull():
            self.arrived.emit(index, image)


def embedded(root: Path, frame: Frame) -> QImage:
    """Return the small preview that the camera put into a file; null where there is none."""
    rgb = None if frame.problem is not None else embedded_thumbnail(root, frame)
    return QImage() if rgb is None else to_image(rgb)
