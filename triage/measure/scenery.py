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
from triage.records.arrays import Plane, Rgb

_REACH_PX = 2.5
"""The farthest that sway is followed, in pixels of the searched picture."""

_CELLS = (8, 12)
"""Rows and columns in which it is told whether the scenery sways."""

_NO_CHANGE = 1e-4
"""Change, in square-root units, that is none: a fortieth of a code value at middle grey."""

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
        Dense inverse search, the fastest setting, down to half the searched picture's size.

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
    """

    change: Plane
    expected: Plane


class TwoBest:
    """The two smallest changes at each pixel, kept while references come by.

    Parameters
    ----------
    shape : (int, int, 3)
        Of the frame.
    """

    def __init__(self, shape: tuple[int, ...]) -> None:
        self._best, self._second = (np.zeros(shape, np.float32) for _ in range(2))
        self._least, self._next = (np.full(shape[:2], np.inf, np.float32) for _ in range(2))

    def offer(self, frame: Plane, scenery: Plane) -> None:
        """Take one more reference's change into account.

        Parameters
        ----------
        frame, scenery : ndarray of float32, shape (M, N, 3)
            Lightness and two differences of colour in square-root units; the scenery in the frame's light.
        """
        # Masked copies, since most pixels stay as they are.
        change = cv2.subtract(frame, scenery)
        size = cv2.transform(cv2.absdiff(frame, scenery), _SIZE)
        beats_best = cv2.compare(size, self._least, cv2.CMP_LT)
        beats_second = cv2.subtract(cv2.compare(size, self._next, cv2.CMP_LT), beats_best)
        cv2.copyTo(self._best, beats_best, self._second)
        cv2.copyTo(change, beats_second, self._second)
        cv2.copyTo(change, beats_best, self._best)
        cv2.min(self._next, cv2.max(self._least, size), self._next)
        cv2.min(self._least, size, self._least)

    def rank(self, place: int) -> Plane:
        """Give the best change or the second-best.

        Parameters
        ----------
        place : int
            0 or 1; the second only where there were two references or more.

        Returns
        -------
        ndarray of float32, shape (M, N, 3)
            Frame less scenery.
        """
        return (self._best, self._second)[place]


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
    matches = TwoBest(frame.shape)
    follower = None if flow is None else _Follower(frame, flow)
    expected = np.zeros(frame.shape[:2], np.float32)
    log_gains = smooth_log_gains(means, np.stack([each for _, each in references]))
    for (picture, _), log_gain in zip(references, log_gains, strict=True):
        scenery = _relit(picture, log_gain)
        if follower is not None:
            scenery = follower.follow(scenery)
        matches.offer(frame, scenery)
        expected += scenery[..., 0]
    kept = matches.rank(min(best, len(references)) - 1)
    return Comparison(kept, np.asarray(expected / len(references), np.float32))
