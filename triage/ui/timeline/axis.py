"""Where a moment of the night stands across the window, with zoom; no Qt."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

EPOCH = datetime(1970, 1, 1)
"""Camera time has no zone, so any origin will do; from this one whole hours are multiples of 3,600 s."""

SHORTEST_VIEW_S = 20.0
"""Zooming in ends here: below it one frame of a burst would fill the window."""


def to_seconds(moment: datetime) -> float:
    """Return camera time as seconds since `EPOCH`."""
    return (moment - EPOCH).total_seconds()


def to_moment(seconds: float) -> datetime:
    """Return seconds since `EPOCH` as camera time."""
    return EPOCH + timedelta(seconds=seconds)


@dataclass(frozen=True, slots=True)
class TimeAxis:
    """A stretch of time laid across a stretch of pixels.

    Attributes
    ----------
    first, last : float
        The whole stretch there is to see, seconds since `EPOCH`; last is after first.
    start, end : float
        The part in view, within the whole.
    left, width : float
        Where the view lies, in pixels.
    """

    first: float
    last: float
    start: float
    end: float
    left: float
    width: float

    @classmethod
    def over(cls, first: float, last: float) -> "TimeAxis":
        """Make an axis that shows all from first to last; a stretch too short to see is widened evenly."""
        lacking = SHORTEST_VIEW_S - (last - first)
        if lacking > 0:
            first, last = first - lacking / 2, last + lacking / 2
        return cls(first, last, first, last, 0.0, 1.0)

    @property
    def span(self) -> float:
        """Seconds in view."""
        return self.end - self.start

    @property
    def right(self) -> float:
        """Where the view ends, in pixels."""
        return self.left + self.width

    @property
    def is_zoomed(self) -> bool:
        """Whether only a part of the whole is in view."""
        return self.start > self.first or self.end < self.last

    def x_of(self, seconds: float) -> float:
        """Return the pixel of a moment; outside the view for moments out of view."""
        return self.left + (seconds - self.start) / self.span * self.width

    def seconds_at(self, x: float) -> float:
        """Return the moment at a pixel."""
        return self.start + (x - self.left) / self.width * self.span

    def held(self, seconds: float) -> float:
        """Return the moment of the whole stretch that is nearest; a stray clock lands on an end."""
        return min(max(seconds, self.first), self.last)

    def sees(self, seconds: float) -> bool:
        """Whether a moment is in view."""
        return self.start <= seconds <= self.end

    def placed(self, left: float, width: float) -> "TimeAxis":
        """Return the same view over other pixels."""
        return replace(self, left=left, width=max(1.0, width))

    def zoomed(self, factor: float, x: float) -> "TimeAxis":
        """Return a view `factor` times closer; what stands at pixel `x` stays there, but for the ends."""
        span = min(max(self.span / factor, SHORTEST_VIEW_S), self.last - self.first)
        anchor = self.seconds_at(x)
        return self._view(anchor - (x - self.left) / self.width * span, span)

    def panned(self, pixels: float) -> "TimeAxis":
        """Return a view that lies later by so many pixels; it stops at the ends of the whole."""
        return self._view(self.start + pixels / self.width * self.span, self.span)

    def whole(self) -> "TimeAxis":
        """Return a view of all there is."""
        return replace(self, start=self.first, end=self.last)

    def over_window(self, start: float, end: float) -> "TimeAxis":
        """Return a view of one stretch, or of the nearest that may be seen."""
        span = min(max(end - start, SHORTEST_VIEW_S), self.last - self.first)
        return self._view((start + end - span) / 2, span)

    def showing(self, seconds: float, *, margin: float = 0.08) -> "TimeAxis":
        """Return this view, moved only if a moment is out of it, or within `margin` of its border."""
        room = self.span * margin
        moment = self.held(seconds)
        if moment < self.start + room:
            return self._view(moment - room, self.span)
        if moment > self.end - room:
            return self._view(moment + room - self.span, self.span)
        return self

    def _view(self, start: float, span: float) -> "TimeAxis":
        start = max(self.first, min(start, self.last - span))
        return replace(self, start=start, end=min(self.last, start + span))
