"""A time scale that shortens long pauses, and says where; no Qt."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class Pause:
    """A stretch without a frame that is drawn shorter than it was.

    Attributes
    ----------
    x0, x1 : float
        Where it is drawn, in pixels.
    seconds : float
        How long it really was.
    """

    x0: float
    x1: float
    seconds: float


@dataclass(frozen=True, slots=True)
class BrokenScale:
    """Times and their pixels, long pauses shortened.

    Attributes
    ----------
    times : tuple of float
        Seconds, from the earliest; never falling.
    xs : tuple of float
        Pixels from the first, which stands at 0; never falling.
    px_per_s : float
        The scale wherever no pause is shortened.
    pauses : tuple of Pause
        Those that are.
    """

    times: tuple[float, ...]
    xs: tuple[float, ...]
    px_per_s: float
    pauses: tuple[Pause, ...]

    @property
    def width(self) -> float:
        """Pixels from the first to the last."""
        return self.xs[-1]

    def x_of(self, seconds: float) -> float:
        """Return the pixel of any moment; true to scale before the first and after the last."""
        if seconds <= self.times[0]:
            return (seconds - self.times[0]) * self.px_per_s
        if seconds >= self.times[-1]:
            return self.width + (seconds - self.times[-1]) * self.px_per_s
        after = bisect_right(self.times, seconds)
        share = (seconds - self.times[after - 1]) / (self.times[after] - self.times[after - 1])
        return self.xs[after - 1] + share * (self.xs[after] - self.xs[after - 1])


def broken_scale(times: Sequence[float], *, px_per_s: float, longest_px: float) -> BrokenScale:
    """Lay times out to scale, but draw no gap wider than `longest_px`.

    A longer gap is thus never drawn narrower than a shorter one, and every shortened one is a `Pause`.
    Times that run backwards (a clock that jumped) are held at the latest seen.
    """
    held = [times[0]]
    for time in times[1:]:
        held.append(max(held[-1], time))
    xs = [0.0]
    pauses = []
    for before, after in pairwise(held):
        wanted = (after - before) * px_per_s
        if wanted > longest_px:
            pauses.append(Pause(xs[-1], xs[-1] + longest_px, after - before))
        xs.append(xs[-1] + min(wanted, longest_px))
    return BrokenScale(tuple(held), tuple(xs), px_per_s, tuple(pauses))


def tempo_s(times: Sequence[float]) -> float:
    """Return the gap in seconds that is usual within a burst (lower third of gaps); 1 if there is none."""
    gaps = sorted(after - before for before, after in pairwise(times) if after > before)
    return gaps[len(gaps) // 3] if gaps else 1.0
