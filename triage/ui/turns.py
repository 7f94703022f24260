"""Work in pieces, so that keys are answered in between."""

import sys
from collections import deque
from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Slot

Piece = Callable[[], object]

YIELD_S = 0.001
"""For so long the threads that read and decode keep the interpreter once the window asks for it; as Python has it,
five times as long. A picture of the list takes some hundred calls of Qt, and each may have to ask for it anew."""


def answer_soon() -> None:
    """Let other threads of the program give way to the window's sooner."""
    sys.setswitchinterval(YIELD_S)


class Turns(QObject):
    """Pieces of work one after the other, each in a turn of the event loop of its own."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._waiting: deque[Piece] = deque()
        self._next = QTimer(self)
        self._next.setSingleShot(True)
        self._next.setInterval(0)
        self._next.timeout.connect(self._do_one)

    @property
    def is_idle(self) -> bool:
        """Whether nothing waits."""
        return not self._waiting

    def add(self, *pieces: Piece) -> None:
        """Do these after what waits already."""
        self._waiting.extend(pieces)
        if self._waiting:
            self._next.start()

    def hurry(self) -> None:
        """Do now all that waits, as somebody needs it done."""
        while self._waiting:
            self._waiting.popleft()()
        self._next.stop()

    def forget(self) -> None:
        """Do nothing of what waits."""
        self._waiting.clear()
        self._next.stop()

    @Slot()
    def _do_one(self) -> None:
        piece = self._waiting.popleft()
        try:
            piece()
        finally:
            if self._waiting:  # only now: timers come by when they were due, and others are not to wait
                self._next.start()
