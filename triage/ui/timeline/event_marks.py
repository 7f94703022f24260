"""Events as marks on the ribbon: merged where they crowd, as tall as they are long in frames; no Qt."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log2

from triage.records.event import Event, EventKind
from triage.ui.timeline.axis import TimeAxis
from triage.ui.timeline.clusters import Cluster, cluster
from triage.ui.timeline.fan import fan

FULL_HEIGHT_FRAMES = 128
"""A mark of so many frames, or more, reaches to the top; heights go with the logarithm below it."""


@dataclass(frozen=True, slots=True)
class EventMark:
    """One mark.

    Attributes
    ----------
    events : tuple of Event
        Those it stands for, in order of time.
    x : float
        Where it is drawn.
    first_x, last_x : float
        Where its events truly stand.
    """

    events: tuple[Event, ...]
    x: float
    first_x: float
    last_x: float

    @property
    def kind(self) -> EventKind:
        """What its events are; subject if any is, so that no visit hides in a crowd."""
        kinds = {event.kind for event in self.events}
        if len(kinds) == 1:
            return next(iter(kinds))
        return EventKind.SUBJECT if EventKind.SUBJECT in kinds else EventKind.MIXED

    @property
    def height(self) -> float:
        """How tall, from 0 to 1: all frames of its events."""
        return frames_height(sum(len(event.frames) for event in self.events))

    def holds(self, event_id: int | None) -> bool:
        """Whether it stands for an event."""
        return any(event.id == event_id for event in self.events)


def frames_height(frames: int) -> float:
    """Return the height of a mark for so many frames: above 0, never falling, 1 at `FULL_HEIGHT_FRAMES`."""
    return min(1.0, 0.3 + 0.7 * log2(max(1, frames)) / log2(FULL_HEIGHT_FRAMES))


def event_marks(
    events: Sequence[Event], starts_s: Sequence[float], axis: TimeAxis, *, single: float, crowd: float
) -> tuple[EventMark, ...]:
    """Return the marks in view, from left to right.

    Parameters
    ----------
    events, starts_s : sequence
        The events in order of id, and when they begin; a clock that jumped may put a later one earlier.
    axis : TimeAxis
        The view.
    single, crowd : float
        Room, in pixels, of the mark of one event, and of one with a count beside it.
    """
    placed = _in_view(events, starts_s, axis)
    xs = [x for x, _ in placed]
    groups = cluster(xs, near=single, widest=crowd)
    widths = [crowd if len(group) > 1 else single for group in groups]
    room = single / 2  # the mark of the very first or last moment reaches half of itself beyond the axis
    centres = fan([group.x for group in groups], widths, low=axis.left - room, high=axis.right + room)
    return tuple(_mark(group, placed, centre) for group, centre in zip(groups, centres, strict=True))


def _in_view(events: Sequence[Event], starts_s: Sequence[float], axis: TimeAxis) -> list[tuple[float, Event]]:
    held = [(axis.held(at), at, event) for event, at in zip(events, starts_s, strict=True)]
    seen = [entry for entry in held if axis.sees(entry[0])]
    seen.sort(key=lambda entry: (entry[1], entry[2].id))
    return [(axis.x_of(at), event) for at, _, event in seen]


def _mark(group: Cluster, placed: Sequence[tuple[float, Event]], centre: float) -> EventMark:
    events = tuple(placed[member][1] for member in group.members)
    return EventMark(events, centre, group.first_x, group.last_x)
