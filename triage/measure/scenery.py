"""Expected pictures: what a frame would show with nobody in it, predicted from other frames of the same view.

Every pixel of a frame is compared with several other frames, relit to the frame's own light and aligned to its
sway. What most of them explain is scenery; a subject is explained by hardly any, since it stood elsewhere, or
nowhere, in the others.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np

from triage.measure.blocks import gain_over, smooth_log_gains
from triage.records.arrays import Plane, Rgb

_REACH_PX = 2.5
"""The farthest that sway is followed, in pixels of the searched picture."""

_CELLS = (8, 12)
"""Rows and columns in which it is told whether the scenery sways."""

_NO_CHANGE = 1e-4
"""Change, in square-root units, that is none: a fortieth of a code value at middle grey."""

_NEARBY = np.ones((3, 3), np.uint8)
"""A pixel around: as far as following the sway goes wrong in leaves."""

_SIZE = np.array([[1.0, 0.5, 0.5]], np.float32)
"""Weights of lightness and the two differences of colour in the size of a change."""


def _relit(reference: Plane, log_gain: Plane) -> Plane:
    """Bring a reference to the frame's light."""
    gain = gain_over((reference.shape[0], reference.shape[1]), log_gain)
    return np.asarray(cv2.multiply(reference, cv2.merge([gain, gain, gain])), np.float32)


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
        right, down = cv2.split(field)
        within = cv2.divide(_REACH_PX, cv2.max(cv2.magnitude(right, down), _REACH_PX))  # type: ignore[call-overload]
        col = cv2.add(self._col, cv2.multiply(right, within))
        row = cv2.add(self._row, cv2.multiply(down, within))
        moved = cv2.remap(expected, col, row, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(moved, np.float32)


def sway_follower() -> cv2.DISOpticalFlow:
    """Make the optical flow that follows sway.

    Returns
    -------
    cv2.DISOpticalFlow
        Dense inverse search, the fastest setting, down to half the searched picture's size. Half its steps leave no
        more change over on the whole, but hide a small bird by day and people in snow.

    References
    ----------
    Kroeger, Timofte, Dai & Van Gool 2016, ECCV, doi 10.1007/978-3-319-46493-0_29.
    """
    flow = cv2.DISOpticalFlow.create(cv2.DISOPTICAL_FLOW_PRESET_ULTRAFAST)
    flow.setFinestScale(1)
    return flow


def shrunk_by_following(frame: Plane, means: Plane, reference: tuple[Plane, Plane]) -> float:
    """Tell how much smaller a change is once its scenery is moved along the sway.

    Parameters
    ----------
    frame : ndarray of float32, shape (M, N, 3)
        `search_picture` of the frame.
    means : ndarray of float32, shape (P,)
        Its block means.
    reference : (search picture, block means)
        What it is compared with.

    Returns
    -------
    float
        Change without over change with, in the middle one of the picture's cells, so that subjects do not count:
        a little below 1 where nothing sways, since moving by parts of a pixel costs sharpness; above it in wind.
    """
    left_over = []
    for flow in (None, sway_follower()):
        found = compare(frame, means, [reference], flow)
        lightness = np.abs(cv2.extractChannel(found.change, 0))
        left_over.append(cv2.resize(lightness, _CELLS[::-1], interpolation=cv2.INTER_AREA) + _NO_CHANGE)
    return float(np.median(left_over[0] / left_over[1]))


@dataclass(frozen=True, slots=True)
class Comparison:
    """A frame against its references.

    Attributes
    ----------
    change : ndarray of float32, shape (M, N, 3)
        Differences of lightness, red-green and blue-green in square-root units: frame less the match kept.
    expected : ndarray of float32, shape (M, N)
        Lightness of the scenery in the frame's own light: the mean of the references.
    beyond : ndarray of float32, shape (M, N)
        How far the frame's lightness lies outside all that the references show within a pixel of the place, 0 and up:
        leaves that sway show what was beside them, an animal shows what was nowhere near.
    """

    change: Plane
    expected: Plane
    beyond: Plane


class _Reach:
    """The darkest and the brightest that references show near each place; one of them may hold a subject there."""

    def __init__(self, shape: tuple[int, int]) -> None:
        # The two lowest and, turned round, the two highest: the second counts.
        self._lowest = [np.full(shape, np.inf, np.float32) for _ in range(4)]

    def add(self, lightness: Plane) -> None:
        """Take in one reference."""
        for place, nearby in ((0, cv2.erode(lightness, _NEARBY)), (2, -cv2.dilate(lightness, _NEARBY))):
            least, second = self._lowest[place : place + 2]
            cv2.min(second, cv2.max(least, nearby), second)
            cv2.min(least, nearby, least)

    def beyond(self, lightness: Plane, *, count: int) -> Plane:
        """Measure how far a frame lies outside the reach of so many references."""
        counted = min(2, count) - 1
        below, above = self._lowest[counted] - lightness, lightness + self._lowest[2 + counted]
        return np.asarray(cv2.max(cv2.max(below, above), 0.0), np.float32)  # type: ignore[call-overload]


def least_change(frame: Plane, sceneries: Iterable[Plane], count: int, *, best: int) -> Plane:
    """Keep, at each pixel, the smallest change or the second-smallest.

    Parameters
    ----------
    frame : ndarray of float32, shape (M, N, 3)
        Lightness and two differences of colour in square-root units.
    sceneries : iterable of ndarray of float32, shape (M, N, 3)
        What it may be explained by, in its light.
    count : int
        How many; at least one.
    best : int
        1 or 2; the smallest where there is one scenery only.

    Returns
    -------
    ndarray of float32, shape (M, N, 3)
        Frame less scenery.
    """
    shape = frame.shape[:2]
    changes = np.empty((count, *frame.shape), np.float32)
    least, following = (np.full(shape, np.inf, np.float32) for _ in range(2))
    # Which scenery it was is noted, and its change taken over once in the end: copying numbers costs far less.
    first, second, own = (np.zeros(shape, np.uint8) for _ in range(3))
    for number, (scenery, change) in enumerate(zip(sceneries, changes, strict=True)):
        cv2.subtract(frame, scenery, change)
        size = cv2.transform(np.abs(change), _SIZE)
        beats_best = cv2.compare(size, least, cv2.CMP_LT)
        own.fill(number)
        cv2.copyTo(own, cv2.compare(size, following, cv2.CMP_LT), second)
        cv2.copyTo(first, beats_best, second)
        cv2.copyTo(own, beats_best, first)
        cv2.min(following, cv2.max(least, size), following)
        cv2.min(least, size, least)
    kept = first if min(best, count) == 1 else second
    places = kept.ravel() * np.intp(kept.size) + np.arange(kept.size)
    return changes.reshape(-1, frame.shape[2]).take(places, axis=0).reshape(frame.shape)


def compare(
    frame: Plane,
    means: Plane,
    references: Sequence[tuple[Plane, Plane]],
    flow: cv2.DISOpticalFlow | None,
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
    flow : cv2.DISOpticalFlow or None
        From `sway_follower`; None to take the references as they stand, where nothing sways.
    best : int, optional
        Which match is kept: 2, the second best, or 1; the best where there is one reference only.

    Returns
    -------
    Comparison
        What the scenery does not explain, and the scenery.
    """
    follower = None if flow is None else _Follower(frame, flow)
    expected = np.zeros(frame.shape[:2], np.float32)
    log_gains = smooth_log_gains(means, np.stack([each for _, each in references]))
    reach = _Reach((frame.shape[0], frame.shape[1]))

    def sceneries() -> Iterator[Plane]:
        for (picture, _), log_gain in zip(references, log_gains, strict=True):
            scenery = _relit(picture, log_gain)
            if follower is not None:
                scenery = follower.follow(scenery)
            lightness = np.asarray(cv2.extractChannel(scenery, 0), np.float32)
            np.add(expected, lightness, out=expected)
            reach.add(lightness)
            yield scenery

    change = least_change(frame, sceneries(), len(references), best=best)
    beyond = reach.beyond(np.asarray(cv2.extractChannel(frame, 0), np.float32), count=len(references))
    return Comparison(change, np.asarray(expected / len(references), np.float32), beyond)
