"""Whether the view itself has shifted."""

from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import pairwise

import cv2
import numpy as np

from triage.measure.mapped import Mapped, one_by_one
from triage.measure.texture import detail
from triage.records.arrays import Plane

_LEAST_RESPONSE = 0.08
"""Phase correlation below this peak value found no common view."""

SAME_VIEW_PX = 1.5
"""Views closer than this, in pixels of the measuring picture, count as one."""

_LEAST_FRAMES = 3
"""A view shown by fewer frames than this is taken for a chance match."""


_PROBED = 3
"""Every so many frames are looked at, and those between only where two of these differ: what is passed over is fewer
frames than make a view."""

Shift = tuple[float, float]
"""Rows and columns, in pixels."""


@lru_cache(maxsize=4)
def _window(rows: int, cols: int) -> Plane:
    """Make the window that fades the borders out."""
    return np.asarray(cv2.createHanningWindow((cols, rows), cv2.CV_32F), np.float32)


def fixed_detail(lightness: Plane) -> Plane:
    """Keep what a view is recognised by: detail, none of it much stronger than the rest.

    Parameters
    ----------
    lightness : ndarray of float32, shape (M, N)
        Square-root lightness.

    Returns
    -------
    ndarray of float32, shape (M, N)
        For `shift_of`.
    """
    return np.asarray(np.clip(detail(lightness, finest=0.8, coarsest=2.5), -0.05, 0.05), np.float32)


class ShiftFinder:
    """Finds how far views are shifted against a reference, which is transformed once for all of them.

    Parameters
    ----------
    reference : ndarray of float32, shape (M, N)
        `fixed_detail` of the reference.

    References
    ----------
    Kuglin & Hines 1975, phase correlation; as in OpenCV `phaseCorrelate`, which fades out the borders of the very
    arrays it is given (version 5.0, where their sides need no padding) and transforms the reference each time.
    """

    def __init__(self, reference: Plane) -> None:
        self._reference = _spectrum(reference)

    def shift_of(self, frame: Plane) -> Shift | None:
        """Find how far a frame's view is shifted.

        Parameters
        ----------
        frame : ndarray of float32, shape (M, N)
            `fixed_detail` of the frame.

        Returns
        -------
        (row, col) or None
            Shift in pixels, positive when the scene moved down and to the right; None where no common view is found.
        """
        both = np.asarray(cv2.mulSpectrums(_spectrum(frame), self._reference, 0, conjB=True), np.float32)
        _whiten(both)
        likeness = np.asarray(cv2.dft(both, flags=cv2.DFT_INVERSE | cv2.DFT_REAL_OUTPUT | cv2.DFT_SCALE))
        peak = np.unravel_index(int(np.argmax(likeness)), likeness.shape)
        around = [(place + _NEAR) % size for place, size in zip(peak, likeness.shape, strict=True)]
        weights = likeness[np.ix_(*around)].astype(np.float64)
        response = float(weights.sum())
        if response < _LEAST_RESPONSE:
            return None
        row, col = (
            float((place + size // 2) % size - size // 2 + weights.sum(axis=1 - axis) @ _NEAR / response)
            for axis, (place, size) in enumerate(zip(peak, likeness.shape, strict=True))
        )
        return row, col


_NEAR = np.arange(-2, 3)
"""The peak's middle is worked out from so many pixels around."""


def _spectrum(plane: Plane) -> Plane:
    """Transform a picture, its borders faded out, in the library's packed form; both sides are even."""
    rows, cols = plane.shape
    high, wide = (2 * cv2.getOptimalDFTSize((size + 1) // 2) for size in (rows, cols))
    faded = cv2.multiply(plane, _window(rows, cols))
    return np.asarray(
        cv2.dft(cv2.copyMakeBorder(faded, 0, high - rows, 0, wide - cols, cv2.BORDER_CONSTANT)), np.float32
    )


def _whiten(packed: Plane) -> None:
    """Make every frequency of a packed spectrum as strong as any other, in place."""
    # Pairs of real and imaginary part lie side by side in each row; in the first and last column, one below the other.
    _level(packed[:, 1:-1:2], packed[:, 2:-1:2])
    for column in (packed[:, 0], packed[:, -1]):
        _level(column[1:-1:2], column[2:-1:2])
        column[[0, -1]] = np.sign(column[[0, -1]])


def _level(real: Plane, imaginary: Plane) -> None:
    """Divide complex numbers by their size, in place."""
    size = np.sqrt(real * real + imaginary * imaginary) + np.float32(np.finfo(np.float32).eps)
    real /= size
    imaginary /= size


def shifts_by_probes(
    places: Sequence[int], shift: Callable[[int], Shift | None], mapped: Mapped = one_by_one
) -> dict[int, Shift | None]:
    """Find the shifts of frames in order, without looking at all of them while nothing moves.

    Parameters
    ----------
    places : sequence of int
        The frames, in order.
    shift : callable
        Looks at one; None where its view cannot be told.
    mapped : Mapped, optional
        Works through them.

    Returns
    -------
    dict of int to ((row, col) or None)
        For each; frames between two of one view are taken to be shifted as the first of these.
    """
    probes = sorted({*range(0, len(places), _PROBED), len(places) - 1}) if places else []
    probed = [places[probe] for probe in probes]
    found = dict(zip(probed, mapped(shift, probed), strict=True))
    unsettled: list[int] = []
    for before, after in pairwise(probes):
        first, between = found[places[before]], places[before + 1 : after]
        if _same_view(first, found[places[after]]):
            found |= dict.fromkeys(between, first)
        else:
            unsettled += between
    return found | dict(zip(unsettled, mapped(shift, unsettled), strict=True))


def _same_view(one: Shift | None, other: Shift | None) -> bool:
    """Say whether two shifts are known and count as one view."""
    if one is None or other is None:
        return False
    return bool(np.hypot(one[0] - other[0], one[1] - other[1]) <= SAME_VIEW_PX)


def group_views(shifts: list[Shift | None]) -> tuple[list[int], list[Shift]]:
    """Group frames that look the same way.

    Parameters
    ----------
    shifts : list of (row, col) or None
        One for each frame, against one reference.

    Returns
    -------
    views : list of int
        A number for each frame; frames whose shift is unknown or a chance match join the view of the frame before.
    centres : list of (row, col)
        Median shift of each view.
    """
    centres: list[list[tuple[float, float]]] = []
    rough: list[int | None] = []
    rough.extend(None if shift is None else _nearest(centres, shift) for shift in shifts)
    counts = [len(members) for members in centres]
    kept = [number for number, count in enumerate(counts) if count >= _LEAST_FRAMES]
    if not kept:
        return [0] * len(shifts), [(0.0, 0.0)]
    renumbered = {number: place for place, number in enumerate(kept)}
    views: list[int] = []
    first = next((renumbered[number] for number in rough if number in renumbered), 0)
    for number in rough:
        before = views[-1] if views else first
        views.append(before if number is None else renumbered.get(number, before))
    medians = [np.median(np.array(centres[number]), axis=0) for number in kept]
    return views, [(float(median[0]), float(median[1])) for median in medians]


def _nearest(centres: list[list[tuple[float, float]]], shift: tuple[float, float]) -> int:
    """Put a shift into the first group within reach, or into a new one."""
    for number, members in enumerate(centres):
        middle = np.median(np.array(members[-25:]), axis=0)
        if np.hypot(middle[0] - shift[0], middle[1] - shift[1]) <= SAME_VIEW_PX:
            members.append(shift)
            return number
    centres.append([shift])
    return len(centres) - 1
