"""Watch a live window: when it paints, and for how long it does not answer."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from PySide6.QtCore import QDeadlineTimer, QEvent, QEventLoop, QObject, Qt, QTimer
from PySide6.QtWidgets import QApplication, QWidget

BEAT_MS = 5


class PaintWatch(QObject):
    """Note when a widget has just painted a state of interest.

    The widget is painted from within the filter, so that the time is taken after its painting and not before.
    """

    def __init__(self, widget: QWidget, conditions: dict[str, Callable[[], bool]]) -> None:
        super().__init__(widget)
        self._widget = widget
        self._conditions = conditions
        self.seen: dict[str, float] = {}
        self.worked: dict[str, float] = {}
        widget.installEventFilter(self)

    def restart(self) -> None:
        """Forget what was seen."""
        self.seen.clear()
        self.worked.clear()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Paint, then note the time of each condition that holds for the first time."""
        if watched is not self._widget or event.type() is not QEvent.Type.Paint:
            return False
        self._widget.event(event)
        for name, holds in self._conditions.items():
            if name not in self.seen and holds():
                self.seen[name], self.worked[name] = time.perf_counter(), time.thread_time()
        return True


@dataclass
class Heartbeat:
    """Beat in the event loop every few milliseconds; what lies between two beats is how long nothing answers.

    Attributes
    ----------
    gaps_ms : list of float
        How much later than due each beat came.
    busy_ms : list of float
        How much of that the window's own thread was computing; the rest it waited for a processor or for
        another thread of the program.
    """

    gaps_ms: list[float] = field(default_factory=list)
    busy_ms: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin."""
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._beat)
        self._last = (time.perf_counter(), time.thread_time())
        self._timer.start(BEAT_MS)

    def _beat(self) -> None:
        now = (time.perf_counter(), time.thread_time())
        self.gaps_ms.append(max(0.0, (now[0] - self._last[0]) * 1000 - BEAT_MS))
        self.busy_ms.append((now[1] - self._last[1]) * 1000)
        self._last = now

    def stop(self) -> None:
        """End."""
        self._timer.stop()


def live(until: Callable[[], bool], *, patience_s: float) -> None:
    """Let the event loop run, as it does for a person, until something is so."""
    loop, deadline = QEventLoop(), QDeadlineTimer(round(patience_s * 1000))
    tick = QTimer()
    tick.timeout.connect(lambda: loop.quit() if until() or deadline.hasExpired() else None)
    tick.start(2)
    loop.exec()
    tick.stop()
    if not until():
        message = "The window never came to the state wanted."
        raise TimeoutError(message)


def rest(seconds: float) -> None:
    """Let the event loop run for a while, as while a person looks."""
    loop = QEventLoop()
    QTimer.singleShot(round(seconds * 1000), loop.quit)
    loop.exec()


def application() -> QApplication:
    """Return the application."""
    existing = QApplication.instance()
    return existing if isinstance(existing, QApplication) else QApplication(["tests.benchmarks.feel"])
