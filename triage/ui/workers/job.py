"""Long work with an end: copying a card, handing keepers over, making a sample card."""

import threading
from collections.abc import Callable, Iterator

from PySide6.QtCore import QObject, Signal

from triage.errors import Stopped, TriageError

Work = Callable[[Callable[[], bool]], Iterator[object]]
"""Takes a question whether to stop; yields progress, and its outcome last."""


class JobSignals(QObject):
    """What a job tells."""

    progressed = Signal(object)
    """Everything it yields, its outcome included."""
    failed = Signal(str)
    """A known error in words."""
    stopped = Signal()
    ended = Signal()
    """Always the last one, whatever happened."""


class Job:
    """One piece of work in a thread of its own: its owner gives `run` to a pool.

    Not a `QRunnable`: the toolkit takes those over for good, and with them all that they know.
    """

    def __init__(self, work: Work) -> None:
        self.signals = JobSignals()
        self._work = work
        self._stop = threading.Event()

    def stop(self) -> None:
        """Ask it to end."""
        self._stop.set()

    def run(self) -> None:
        """Do the work; called by the pool. An unknown error is a bug and surfaces with its traceback."""
        try:
            for told in self._work(self._stop.is_set):
                self.signals.progressed.emit(told)
        except Stopped:
            self.signals.stopped.emit()
        except TriageError as error:
            self.signals.failed.emit(str(error))
        finally:
            self.signals.ended.emit()
