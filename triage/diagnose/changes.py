"""Where a row of figures changes: steps and ramps fitted by least absolute deviations.

A mean is drawn off by a single wild value, a median is not, and a change fitted by absolute deviations from a
level on each side inherits that.

References
----------
Bai 1995, "Least absolute deviation estimation of a shift", Econometric Theory 11:403-436 (from memory).
Laplace 1818 for the median as the least-absolute-deviation level (from memory).
"""

import math
from dataclasses import dataclass

import numpy as np

from triage.diagnose.timeline import Places, Row

_MOST_TRIED = 28  # places tried at once; the best of them is refined


@dataclass(frozen=True, slots=True)
class Step:
    """A lasting change from one level to another.

    Attributes
    ----------
    place : int
        Position of the first value after the change.
    before, after : ndarray of float, shape (D,)
        The two levels.
    gain : float
        How much smaller the sum of absolute deviations is than without a change.
    """

    place: int
    before: Row
    after: Row
    gain: float

    @property
    def size(self) -> float:
        """Largest change among the columns."""
        return float(np.max(np.abs(self.after - self.before)))


@dataclass(frozen=True, slots=True)
class Ramp:
    """A level that holds until a moment and then runs in a straight line to another one.

    Attributes
    ----------
    place : int
        Position of the first value after the level is left.
    until : int
        Position of the first value at the new level; the last position where it is reached at the end only.
    before, after : float
        The two levels.
    fitted : ndarray of float, shape (N,)
        The ramp at each value.
    cost : float
        Sum of absolute deviations.
    """

    place: int
    until: int
    before: float
    after: float
    fitted: Row
    cost: float


def find_step(values: Row, *, least: int = 2) -> Step | None:
    """Find the one lasting step that explains a row best.

    Parameters
    ----------
    values : ndarray of float, shape (N,) or (N, D)
        Without NaN; several columns step together.
    least : int, optional
        Fewest values on each side.

    Returns
    -------
    Step or None
        None with too few values. A gain of 0 means that nothing changes.
    """
    if len(values) < 2 * least:
        return None
    rows = values.reshape(len(values), -1)
    whole = float(np.abs(rows - np.median(rows, axis=0)).sum())
    tried = _spread_out(least, len(rows) - least)
    best = min(tried, key=lambda place: _two_level_cost(rows, place))
    reach = max(1, (len(rows) // _MOST_TRIED) + 1)
    near = range(max(least, best - reach), min(len(rows) - least, best + reach) + 1)
    best = min(near, key=lambda place: (_two_level_cost(rows, place), place))
    return Step(
        place=best,
        before=np.median(rows[:best], axis=0),
        after=np.median(rows[best:], axis=0),
        gain=max(0.0, whole - _two_level_cost(rows, best)),
    )


def find_ramp(seconds: Row, values: Row) -> Ramp | None:
    """Find the ramp that explains a row best.

    Parameters
    ----------
    seconds : ndarray of float, shape (N,)
        Time of each value, never falling.
    values : ndarray of float, shape (N,)
        Without NaN.

    Returns
    -------
    Ramp or None
        None with fewer than four values.
    """
    if len(values) < 4:
        return None
    places = _spread_out(0, len(values) - 1)
    best = _best_ramp(seconds, values, [(one, two) for one in places for two in places if two > one])
    # Between the places tried, the exact ones are looked for around the best.
    reach = (len(values) // _MOST_TRIED) + 1
    around = [
        (one, two)
        for one in range(max(0, best.place - reach), min(len(values) - 1, best.place + reach) + 1)
        for two in {best.until, max(0, best.until - reach), min(len(values) - 1, best.until + reach)}
        if two > one
    ]
    return _best_ramp(seconds, values, around) if around else best


def walk_back(values: Row, burst: Places, place: int, *, rising: bool, least: float) -> int:
    """Follow a slow change back to the first trip that shows it above the noise.

    A ramp is fitted to the whole, and a few early values weigh little in it; but their own median is telling.

    Parameters
    ----------
    values : ndarray of float, shape (N,)
        Without NaN.
    burst : ndarray of int, shape (N,)
        Trip of each value.
    place : int
        Position from which on the change is known.
    rising : bool
        Whether the values rise.
    least : float
        Smallest change worth the name, whatever the noise.

    Returns
    -------
    int
        Position of the first value of the earliest trip that shows the change; `place` where none before
        does.
    """
    sign = 1.0 if rising else -1.0
    scatter = _scatter(values[:place], burst[:place])
    while place > 0:
        same = np.flatnonzero(burst[:place] == burst[place - 1])
        before = values[: same[0]]
        if len(before) < 3:
            return place
        level = float(np.median(before))
        if sign * (float(np.median(values[same])) - level) < max(least, 3.0 * scatter / np.sqrt(len(same))):
            return place
        place = int(same[0])
    return place


def _scatter(values: Row, burst: Places) -> float:
    """Measure how much values scatter, a slow change left out of it.

    From trip to trip a slow change goes on by about the same step, so that the steps scatter around theirs by
    the noise alone, times the root of two (von Neumann 1941, Annals of Mathematical Statistics 12:367-395, from
    memory); with few trips, around the median.
    """
    trips = [float(np.median(values[burst == trip])) for trip in np.unique(burst)]
    if len(trips) < 4:
        rest = np.abs(values - np.median(values)) if len(values) else np.zeros(1)
        return 1.4826 * float(np.median(rest))
    steps = np.diff(trips)
    return 1.4826 * float(np.median(np.abs(steps - np.median(steps)))) / math.sqrt(2.0)


def _spread_out(low: int, high: int) -> list[int]:
    if high - low <= _MOST_TRIED:
        return list(range(low, high + 1))
    return sorted({int(place) for place in np.linspace(low, high, _MOST_TRIED)})


def _two_level_cost(rows: Row, place: int) -> float:
    return float(
        sum(
            np.abs(part - np.median(part, axis=0)).sum() for part in (rows[:place], rows[place:]) if len(part)
        )
    )


def _best_ramp(seconds: Row, values: Row, pairs: list[tuple[int, int]]) -> Ramp:
    ramps = (_ramp(seconds, values, one, two) for one, two in pairs)
    return min(ramps, key=lambda ramp: ramp.cost)


def _ramp(seconds: Row, values: Row, one: int, two: int) -> Ramp:
    """Fit levels to a ramp that leaves its level with the value at `one` and arrives at `two`."""
    start = seconds[one - 1] if one else seconds[0]
    run = max(float(seconds[two] - start), 1e-9)
    share = np.clip((seconds - start) / run, 0.0, 1.0)
    before = float(np.median(values[:one])) if one >= 2 else float(np.median(values[: one + 2]))
    after = _end_level(values, share, before, two)
    fitted = before + (after - before) * share
    return Ramp(one, two, before, after, fitted, float(np.abs(values - fitted).sum()))


def _end_level(values: Row, share: Row, before: float, two: int) -> float:
    """Take the level at the end from the values there, or, with too few of them, from the slope."""
    if len(values) - two >= 3:
        return float(np.median(values[two:]))
    rising = share > 0.3
    slopes = (values[rising] - before) / share[rising]
    return before + float(np.median(slopes)) if slopes.size else before
