"""Whether the view itself has shifted."""

import cv2
import numpy as np

from triage.measure.texture import detail
from triage.records.arrays import Plane

_LEAST_RESPONSE = 0.08
"""Phase correlation below this peak value found no common view."""

SAME_VIEW_PX = 1.5
"""Views closer than this, in pixels of the measuring picture, count as one."""

_LEAST_FRAMES = 3
"""A view shown by fewer frames than this is taken for a chance match."""


def view_shift(reference: Plane, lightness: Plane) -> tuple[float, float] | None:
    """Find how far a frame's view is shifted against a reference.

    Parameters
    ----------
    reference, lightness : ndarray of float32, shape (M, N)
        Square-root lightness of the reference and of the frame.

    Returns
    -------
    (row, col) or None
        Shift in pixels, positive when the scene moved down and to the right; None where no common view is found.

    References
    ----------
    Kuglin & Hines 1975, phase correlation; as in OpenCV `phaseCorrelate`.
    """
    rows, cols = reference.shape
    window = cv2.createHanningWindow((cols, rows), cv2.CV_32F)
    flat = [np.clip(detail(plane, finest=0.8, coarsest=2.5), -0.05, 0.05) for plane in (reference, lightness)]
    (col, row), response = cv2.phaseCorrelate(flat[0], flat[1], window)
    if response < _LEAST_RESPONSE:
        return None
    return float(row), float(col)


def group_views(shifts: list[tuple[float, float] | None]) -> tuple[list[int], list[tuple[float, float]]]:
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
