"""Which other frames a frame is compared with."""

import numpy as np

from triage.measure.blocks import BLACK
from triage.measure.medians import row_medians
from triage.measure.mixtures import pairs_by_fit
from triage.records.arrays import Numbers, Plane

Reference = tuple[int] | tuple[int, int]
"""A frame, or two whose light is added up."""

COMPARED = 8
"""How many references each frame is compared with."""

APART_S = 90.0
"""Frames closer in time than this may show the same visitor, so they are compared only for want of others."""

_CANDIDATES = 160
"""At most this many frames, nearest in time, are considered for comparison."""

_MISMATCH = 1.0
"""Penalty, in log light, for a frame from the same visit; larger than any real difference of light."""

_ODDITY, _ODDITY_BESIDE_PAIRS = 0.3, 0.1
"""Penalty, in log light, for the frame likeliest to hold a subject itself: a third where pairs are to choose from."""

_MIXED_FROM = 40
"""So many frames are tried two by two: half of them nearest in time, half spread over the others."""

_MIXTURES = 6
"""At most so many pairs serve, each frame in at most two of them."""

_FITS = 0.12
"""Misfit, in log light, from which a pair explains nothing: in a burnt-out frame none fits."""

_IN_TWO = 0.01
"""Penalty, in log light, for a pair: two shares fit better than one even where they mean nothing."""

_SAME_LIGHT = 1.4
"""Difference of log light up to which two frames of a burst are compared: one or two flashes, not one or none."""

_FAINT = 5e-4
"""Linear luminance added before logarithms."""


class Others:
    """The frames of one view, ready to be chosen from: what a choice costs does not grow with the card.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of all frames of the same size.
    seconds : ndarray of float64, shape (N,)
        Time of each frame.

    Attributes
    ----------
    oddness : ndarray of float32, shape (N,)
        Rank of each frame's largest local departure from the card's median shape of light, 0 to 1: towards 1 for
        those likely to hold a subject.
    """

    def __init__(self, means: Plane, seconds: Plane) -> None:
        self._means = means
        self._logs = np.log(means + _FAINT)
        self._level = np.log(means.mean(axis=1) + BLACK)
        self._seconds = seconds
        self._in_time = np.argsort(seconds, kind="stable")
        self._place = np.argsort(self._in_time, kind="stable")
        self.oddness = _oddness_of(self._logs)

    def references(self, index: int, views: Numbers, *, in_two_lights: bool = False) -> list[Reference]:
        """Choose the frames that a frame is compared with.

        Parameters
        ----------
        index : int
            The frame.
        views : ndarray of int, shape (N,)
            Frames with the same number look the same way.
        in_two_lights : bool, optional
            Whether sky and flash may both light it, so that it may look like two frames together.

        Returns
        -------
        list of tuple of int
            At most `COMPARED` frames, or pairs of them: of like light, seldom of the same visit, spread over the night.
        """
        near, gap = self._nearest(index)
        if len(near) == 0:
            return []
        ratio = self._logs[index] - self._logs[near]
        level = row_medians(ratio)
        shape = row_medians(np.abs(ratio - level[:, None]))
        cost = shape + 0.15 * np.abs(level) + 0.02 * np.minimum(1.0, gap / 7200.0)
        cost += _ODDITY * self.oddness[near] + _MISMATCH * (gap < APART_S)
        cost += 4.0 * _MISMATCH * (views[near] != views[index])
        ranked = near[np.argsort(cost, kind="stable")]
        chosen = _spread([int(other) for other in ranked], self._seconds[ranked].tolist())
        if not in_two_lights:
            return [(other,) for other in chosen]
        misfit = shape + _ODDITY_BESIDE_PAIRS * self.oddness[near] + _MISMATCH * (gap < APART_S)
        alone: list[tuple[Reference, float]] = [
            ((int(other),), float(much)) for other, much in zip(near, misfit, strict=True) if other in chosen
        ]
        apart = near[(gap >= APART_S) & (views[near] == views[index])]
        either = sorted(alone + self._pairs(index, apart), key=lambda each: each[1])
        return [reference for reference, _ in either[:COMPARED]]

    def _pairs(self, index: int, near: Numbers) -> list[tuple[Reference, float]]:
        """Choose pairs of frames that explain a frame together, with their misfit; `near` are the nearest first."""
        half = _MIXED_FROM // 2
        rest = near[half:]
        tried = np.r_[near[:half], rest[:: max(1, len(rest) // half)][:half]]
        places, misfit = pairs_by_fit(self._means[index], self._means[tried])
        pairs = tried[places]
        cost = misfit + _ODDITY_BESIDE_PAIRS * self.oddness[pairs].mean(axis=1) + _IN_TWO
        served: dict[int, int] = {}
        chosen: list[tuple[Reference, float]] = []
        for place in np.argsort(cost, kind="stable"):
            one, other = (int(frame) for frame in pairs[place])
            fits = misfit[place] < _FITS and max(served.get(one, 0), served.get(other, 0)) < 2
            if fits and len(chosen) < _MIXTURES:
                served |= {one: served.get(one, 0) + 1, other: served.get(other, 0) + 1}
                chosen.append(((one, other), float(cost[place])))
        return chosen

    def burst(self, index: int, views: Numbers) -> list[int]:
        """Choose the two frames nearest in time, of the same visit, view and much the same light.

        Parameters
        ----------
        index : int
            The frame.
        views : ndarray of int, shape (N,)
            Frames with the same number look the same way.

        Returns
        -------
        list of int
            At most two, the nearest first.
        """
        near, gap = self._nearest(index)
        near = near[gap < APART_S]
        alike = np.abs(self._level[near] - self._level[index]) < _SAME_LIGHT
        return [int(other) for other in near[alike & (views[near] == views[index])][:2]]

    def _nearest(self, index: int) -> tuple[Numbers, Plane]:
        """Give the frames nearest in time, the nearest first, and how many seconds they are apart from one."""
        place = int(self._place[index])
        around = self._in_time[max(0, place - _CANDIDATES) : place + _CANDIDATES + 1]
        around = np.sort(around[around != index])
        gap = np.abs(self._seconds[around] - self._seconds[index])
        nearest = np.argsort(gap, kind="stable")[:_CANDIDATES]
        return around[nearest], gap[nearest]


def _spread(ranked: list[int], seconds: list[float]) -> list[int]:
    """Take the best candidates that lie apart in time, then what is left until there are enough."""
    chosen: dict[int, float] = {}
    for apart in (APART_S, APART_S / 3, 0.0):
        for candidate, second in zip(ranked, seconds, strict=True):
            if len(chosen) >= COMPARED:
                return list(chosen)
            if candidate not in chosen and all(abs(second - other) >= apart for other in chosen.values()):
                chosen[candidate] = second
    return list(chosen)


def _oddness_of(logs: Plane) -> Plane:
    """Guess from coarse light alone which frames differ from the rest."""
    shape = logs - np.median(logs, axis=1, keepdims=True)
    apart = np.abs(shape - np.median(shape, axis=0))
    spread = np.median(apart, axis=1, keepdims=True) + 0.02
    local = np.percentile(apart / spread, 98, axis=1)
    rank = np.argsort(np.argsort(local, kind="stable"), kind="stable")
    return np.asarray(rank / max(1, len(logs) - 1), np.float32)
