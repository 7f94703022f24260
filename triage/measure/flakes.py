"""Snow, rain and insects lit by the flash: many small bright spots that are nobody's animal."""

import cv2
import numpy as np

from triage.measure.medians import row_medians
from triage.records.arrays import Mask, Plane

LARGEST_PX = 9
"""Bright spots narrower than this, in pixels of the searched picture, may be flakes."""

MANY = 12
"""So many separate bright spots, beyond the dark ones, make a frame flaky..."""

_BRIGHTER = 1.6
"""...if they are also this many times as many: sway makes spots of both kinds."""

_CELLS = (4, 3)
_SPREAD = 0.4
"""They lie in this share of the cells of a grid of 4 by 3, unlike the lights in one animal's coat."""

_CLEAR = 8.0
"""A spot stands out by this many times the frame's usual change."""


def without_flakes(change: Plane) -> tuple[Plane, bool]:
    """Take small bright spots out of a frame full of them.

    What darkens the scene stays whole: a flake never does.

    Parameters
    ----------
    change : ndarray of float32, shape (M, N, 3)
        From `triage.measure.scenery.compare`.

    Returns
    -------
    change : ndarray of float32, shape (M, N, 3)
        The same array where the frame is not flaky.
    flaky : bool
        Whether it is.
    """
    lightness = np.asarray(cv2.extractChannel(change, 0))
    usual = 1.4826 * float(row_medians(np.abs(lightness[::2, ::2]).reshape(1, -1))[0]) + 1e-3
    if np.count_nonzero(lightness > _CLEAR * usual) < MANY:
        return change, False
    brighter = np.maximum(lightness, 0.0)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (LARGEST_PX, LARGEST_PX))
    broad = np.asarray(cv2.morphologyEx(brighter, cv2.MORPH_OPEN, kernel), np.float32)
    spots = brighter - broad
    bright = _centres(spots > _CLEAR * usual)
    if len(bright) < MANY:
        return change, False
    dark = _centres(-lightness > _CLEAR * usual)
    excess = len(bright) - len(dark)
    if excess < MANY or len(bright) < _BRIGHTER * len(dark) or _spread(bright, lightness.shape) < _SPREAD:
        return change, False
    near_spot = cv2.dilate((spots > 2 * usual).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    cleaned = change.copy()
    cleaned[..., 0] = np.where(lightness > 0, broad, lightness)
    cleaned[..., 1:][near_spot] = 0.0
    return cleaned, True


def _centres(mask: Mask) -> Plane:
    """Find the centres (column, row) of the separate spots of a mask, shape (K, 2)."""
    return np.asarray(cv2.connectedComponentsWithStats(mask.astype(np.uint8))[3][1:], np.float32)


def _spread(centres: Plane, shape: tuple[int, ...]) -> float:
    """Tell over what share of a coarse grid of the picture the spots are spread, 0 to 1."""
    cells = np.floor(centres / (shape[1], shape[0]) * _CELLS).astype(int)
    return len({(int(col), int(row)) for col, row in cells}) / float(np.prod(_CELLS))
