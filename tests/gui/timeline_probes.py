"""What the tests of the time line as a widget share: filling it, and probing its pixels."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from collections.abc import Callable, Sequence
from datetime import timedelta

from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QWidget

from tests.gui import timeline_records as made
from triage.records.event import Event, EventKind
from triage.records.frame import Frame
from triage.records.night import Night
from triage.records.result import Triage
from triage.ui.timeline.panel import TimelinePanel
from triage.ui.timeline.scene import Scene


def show_time_line(panel: TimelinePanel, frames: Sequence[Frame], of: Night, events: Sequence[Event]) -> None:
    """Show a card whose times are known, all at once; whatever was shown before is forgotten."""
    panel.clear()
    _show(panel, lambda: Scene(tuple(frames), of, tuple(events)))


def show_triage(panel: TimelinePanel, triage: Triage) -> None:
    """Show what became of it, all at once."""
    _show(panel, lambda: Scene.of(triage))


def _show(panel: TimelinePanel, make: Callable[[], Scene]) -> None:
    for piece in panel.pieces(make):
        piece()


def fill(panel: TimelinePanel, of: Night, count: int = 12, *, faults: bool = True) -> Triage:
    frames, events = made.visits(count, of)
    triage = made.triage(of, frames, events, made.rig_faults(of) if faults else ())
    show_time_line(panel, frames, of, events)
    show_triage(panel, triage)
    return triage


def answered(panel: TimelinePanel) -> list[int]:
    """Answer the panel's choices as the window does, and remember the events."""
    chosen: list[int] = []

    def choose(event_id: int) -> None:
        chosen.append(event_id)
        panel.set_current(event_id, None)

    panel.event_chosen.connect(choose)
    return chosen


def picture(widget: QWidget) -> QImage:
    return widget.grab().toImage()


def has_colour(image: QImage, name: str, where: QRect, *, reach: float = 12) -> bool:
    """Whether any pixel of a part of the picture is about of a colour."""
    wanted = QColor(name)
    for y in range(max(0, where.top()), min(image.height(), where.bottom() + 1)):
        for x in range(max(0, where.left()), min(image.width(), where.right() + 1)):
            seen = image.pixelColor(x, y)
            off = (seen.red() - wanted.red(), seen.green() - wanted.green(), seen.blue() - wanted.blue())
            if max(abs(part) for part in off) <= reach:
                return True
    return False


def one_event(
    panel: TimelinePanel, of: Night, offsets: list[float], kind: EventKind = EventKind.SUBJECT
) -> Event:
    start = of.start + timedelta(hours=4)
    frames = [made.frame(at, start + timedelta(seconds=offset)) for at, offset in enumerate(offsets)]
    event = Event(1, frames[0].time, frames[-1].time, tuple(range(len(frames))), 0, kind)
    show_time_line(panel, frames, of, (event,))
    panel.set_current(1, 0)
    return event
