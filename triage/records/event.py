"""Visits: frames that belong together in time."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from triage.records.measurement import Side


class EventKind(StrEnum):
    """What an event is made of."""

    SUBJECT = "subject"
    EMPTY = "empty"
    SETUP = "setup"
    DARK = "dark"
    MIXED = "mixed"


@dataclass(frozen=True, slots=True)
class Travel:
    """How a subject goes across the picture.

    Attributes
    ----------
    toward : Side or None
        Left or right; None where it stays.
    widths_per_s : float
        Speed in widths of the picture a second, 0 and up.
    """

    toward: Side | None
    widths_per_s: float


@dataclass(frozen=True, slots=True)
class Event:
    """Bursts close enough together to be one visit.

    Attributes
    ----------
    id : int
        From 1, in order of time.
    start, end : datetime
        Camera time of the first and the last frame.
    frames : tuple of int
        `Frame.index` of each frame, in order.
    lead : int
        `Frame.index` of the frame that shows the event best.
    kind : EventKind
        What it is made of.
    travel : Travel or None
        How its subject goes; None where it is not seen twice in a burst.
    """

    id: int
    start: datetime
    end: datetime
    frames: tuple[int, ...]
    lead: int
    kind: EventKind
    travel: Travel | None = None
