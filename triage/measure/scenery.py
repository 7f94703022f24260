"""Expected pictures: what a frame would show with nobody in it, predicted from other frames of the same view.

Every pixel of a frame is compared with several other frames, relit to the frame's own light and aligned to its
sway. What most of them explain is scenery; a subject is explained by hardly any, since it stood elsewhere, or
nowhere, in the others.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np

from triage.measure.blocks import gain_over, smooth_log_gains
from triage.records.arrays import Numbers, Plane, Rgb

COMPARED = 8
"""How many other frames each frame is compared with."""

APART_S = 90.0
"""Frames closer in time than this may show the same visitor, so they are compared only for want of others."""

_REACH_PX = 2.5
"""The farthest that sway is followed, in pixels of the searched picture."""

_CANDIDATES = 160
"""At most this many frames, nearest in time, are considered for comparison."""

_MISMATCH = 1.0
"""Penalty, in log light, for a frame from the same visit; larger than any real difference of light."""


def choose_references(
    index: int,
    means: Plane,
    seconds: Plane,
    views: Numbers,
    oddness: Plane,
) -> list[int]:
    """Choose the frames that a frame is compared with.

    Parameters
    ----------
    index : int
        The frame.
    means : ndarray of float32, shape (N, P)
        Block means of all frames of the same size.
    seconds : ndarray of float64, shape (N,)
        Time of each frame.
    views : ndarray of int, shape (N,)
        Frames with the same number look the same way.
    oddness : ndarray of float32, shape (N,)
        0 for frames that look like most others, towards 1 for those likely to hold a subject.

    Returns
    -------
    list of int
        At most `COMPARED` frames: of like light, seldom of the same visit, spread over the night.
    """
    gap = np.abs(seconds - seconds[index])
    near = np.argsort(gap, kind="stable")[: _CANDIDATES + 1]
    near = near[near != index]
    if len(near) == 0:
        return []
    ratio = np.log((means[index] + 5e-4) / (means[near] + 5e-4))
    level = np.median(ratio, axis=1)
    shape = np.median(np.abs(ratio - level[:, None]), axis=1)
    cost = shape + 0.15 * np.abs(level) + 0.02 * np.minimum(1.0, gap[near] / 7200.0) + 0.3 * oddness[near]
    cost += _MISMATCH * (gap[near] < APART_S) + 4.0 * _MISMATCH * (views[near] != views[index])
    ranked = near[np.argsort(cost, kind="stable")]
    chosen: list[int] = []
    for apart in (APART_S, APART_S / 3, 0.0):
        for candidate in ranked:
            if len(chosen) >= COMPARED:
                return chosen
            spaced = all(abs(seconds[candidate] - seconds[other]) >= apart for other in chosen)
            if candidate not in chosen and spaced:
                chosen.append(int(candidate))
    return chosen


def _relit(reference: Plane, log_gain: Plane) -> Plane:
    """Bring a reference to the frame's light."""
    return reference * gain_over((reference.shape[0], reference.shape[1]), log_gain)[..., None]


def _coded(planes: Plane, scale: float) -> Rgb:
    """Code lightness to eight bits for the optical flow."""
    return np.asarray(cv2.convertScaleAbs(cv2.extractChannel(planes, 0), alpha=255.0 * scale), np.uint8)


@lru_cache(maxsize=4)
def _places(rows: int, cols: int) -> tuple[Plane, Plane]:
    """Give each pixel its row and its column."""
    row, col = np.mgrid[0:rows, 0:cols].astype(np.float32)
    return row, col


class _Follower:
    """Moves expected pictures along the sway seen between them and one frame, within `_REACH_PX`."""

    def __init__(self, frame: Plane, flow: cv2.DISOpticalFlow) -> None:
        self._scale = 0.9 / max(0.1, float(np.percentile(frame[::4, ::4, 0], 99)))
        self._coded = _coded(frame, self._scale)
        self._flow = flow
        self._row, self._col = _places(frame.shape[0], frame.shape[1])

    def follow(self, expected: Plane) -> Plane:
        """Move an expected picture."""
        field = self._flow.calc(self._coded, _coded(expected, self._scale), None)  # type: ignore[call-overload]
        right, down = field[..., 0], field[..., 1]
        within = np.minimum(1.0, _REACH_PX / np.maximum(cv2.magnitude(right, down), 1e-3))
        moved = cv2.remap(
            expected,
            self._col + right * within,
            self._row + down * within,
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
        return np.asarray(moved, np.float32)


def sway_follower() -> cv2.DISOpticalFlow:
    """Make the optical flow that follows sway.

    Returns
    -------
    cv2.DISOpticalFlow
        Dense inverse search, the fastest setting, down to half the searched picture's size.

    References
    ----------
    Kroeger, Timofte, Dai & Van Gool 2016, ECCV, doi 10.1007/978-3-319-46493-0_29.
    """
    flow = cv2.DISOpticalFlow.create(cv2.DISOPTICAL_FLOW_PRESET_ULTRAFAST)
    flow.setFinestScale(1)
    return flow


@dataclass(frozen=True, slots=True)
class Comparison:
    """A frame against its references.

    Attributes
    ----------
    change : ndarray of float32, shape (M, N, 3)
        Differences of lightness, red-green and blue-green in square-root units: frame less the match kept.
    expected : ndarray of float32, shape (M, N)
        Lightness of the scenery in the frame's own light: the mean of the references.
    """

    change: Plane
    expected: Plane


class _TwoBest:
    """The two smallest changes at each pixel, kept while references come by."""

    def __init__(self, shape: tuple[int, ...]) -> None:
        self._changes = [np.zeros(shape, np.float32) for _ in range(2)]
        self._sizes = [np.full(shape[:2], np.inf, np.float32) for _ in range(2)]

    def offer(self, change: Plane) -> None:
        """Take one more reference's change into account; masked copies, since most pixels stay as they are."""
        absolute = np.abs(change)
        size = absolute[..., 0] + 0.5 * (absolute[..., 1] + absolute[..., 2])
        beats_best = (size < self._sizes[0]).astype(np.uint8)
        beats_second = (size < self._sizes[1]).astype(np.uint8) & (1 - beats_best)
        for kept, new in ((self._changes, change), (self._sizes, size)):
            cv2.copyTo(kept[0], beats_best, kept[1])
            cv2.copyTo(new, beats_best, kept[0])
            cv2.copyTo(new, beats_second, kept[1])

    def rank(self, place: int) -> Plane:
        """Give the best change (0) or the second-best (1)."""
        return self._changes[place]


def compare(
    frame: Plane,
    means: Plane,
    references: Sequence[tuple[Plane, Plane]],
    flow: cv2.DISOpticalFlow,
    *,
    best: int = 2,
) -> Comparison:
    """Compare a frame with its references and keep, at each pixel, one of the best matches.

    The best match alone would let one reference with a subject in the same place explain it away; the second
    best still forgives leaves that only some references show in the same place.

    Parameters
    ----------
    frame : ndarray of float32, shape (M, N, 3)
        `search_picture` of the frame.
    means : ndarray of float32, shape (P,)
        Its block means.
    references : sequence of (search picture, block means)
        At least one.
    flow : cv2.DISOpticalFlow
        From `sway_follower`.
    best : int, optional
        Which match is kept: 2, the second best, or 1; the best where there is one reference only.

    Returns
    -------
    Comparison
        What the scenery does not explain, and the scenery.
    """
    matches, follower = _TwoBest(frame.shape), _Follower(frame, flow)
    expected = np.zeros(frame.shape[:2], np.float32)
    log_gains = smooth_log_gains(means, np.stack([each for _, each in references]))
    for (picture, _), log_gain in zip(references, log_gains, strict=True):
        scenery = follower.follow(_relit(picture, log_gain))
        matches.offer(frame - scenery)
        expected += scenery[..., 0]
    kept = matches.rank(min(best, len(references)) - 1)
    return Comparison(kept, np.asarray(expected / len(references), np.float32))


def typical_oddness(means: Plane) -> Plane:
    """Guess from coarse light alone which frames differ from the rest, for choosing references.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means.

    Returns
    -------
    ndarray of float32, shape (N,)
        Rank of each frame's largest local departure from the card's median shape, 0 to 1.
    """
    shape = np.log(means + 5e-4)
    shape -= np.median(shape, axis=1, keepdims=True)
    apart = np.abs(shape - np.median(shape, axis=0))
    spread = np.median(apart, axis=1, keepdims=True) + 0.02
    local = np.percentile(apart / spread, 98, axis=1)
    rank = np.argsort(np.argsort(local, kind="stable"), kind="stable")
    return np.asarray(rank / max(1, len(means) - 1), np.float32)
