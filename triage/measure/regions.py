"""From unexplained change to the one coherent region that may be a subject."""

from dataclasses import dataclass

import cv2
import numpy as np

from triage.measure.wobble import SCALES, Wobble, at_scale
from triage.records.arrays import Mask, Plane
from triage.records.measurement import Box, Side

_LOW = 3.0
"""Evidence from which a pixel may belong to a region."""

_SHARE = 0.12
"""...but at least this share of the picture's peak, so that a strong subject does not swell by its blur."""

_ENOUGH = 6.0
"""Evidence that is enough for the rest of a large subject, whose brightest part must not hide it."""

_LARGE = 0.02
"""Fraction of the picture from which a region outlined at `_ENOUGH` counts as a large subject..."""

_MUCH_MORE = 3.0
"""...if it is this many times the region outlined by `_SHARE`."""

_JOIN_PX = 11
"""Parts of one subject (a leg behind a stem) are joined across gaps up to this many pixels."""

_RIM_PX = 2
"""A region reaching within this many pixels of the border touches it."""


@dataclass(frozen=True, slots=True)
class Region:
    """One coherent unexplained region.

    Attributes
    ----------
    strength : float
        Peak of its evidence: how many times the usual wobble, less one.
    mask : ndarray of bool, shape (M, N)
        Its pixels.
    box : Box
        Around it.
    cut_by : tuple of Side
        The borders it touches.
    area : float
        Fraction of the picture.
    """

    strength: float
    mask: Mask
    box: Box
    cut_by: tuple[Side, ...]
    area: float


def evidence(change: Plane, wobble: Wobble) -> tuple[Plane, Plane, float]:
    """Weigh a frame's change against the usual wobble, at all scales.

    Parameters
    ----------
    change : ndarray of float32, shape (M, N, 3)
        Unexplained change, flakes taken out.
    wobble : Wobble
        The usual size of change.

    Returns
    -------
    peak : ndarray of float32, shape (M, N)
        Strongest evidence over the scales.
    fine : ndarray of float32, shape (M, N)
        Evidence at the finest scale, for outlines.
    unrest : float
        How restless the whole frame is, in units of the usual wobble; about 0.5 for an ordinary frame. Evidence
        is already divided by it where it is high.
    """
    strengths: list[Plane] = []
    unrest = 0.0
    for scale, size in zip(SCALES, wobble.sizes, strict=True):
        relative = np.abs(at_scale(change, scale)) / size
        usual = np.median(relative[::2, ::2], axis=(0, 1))
        unrest = max(unrest, float(usual.max()))
        relative /= np.maximum(1.0, usual / 0.6)
        above = np.maximum(relative - 1.0, 0.0) ** 2
        strengths.append(np.sqrt(above[..., 0] + above[..., 1] + above[..., 2], dtype=np.float32))
    return np.maximum.reduce(strengths), strengths[0], unrest


def strongest_region(peak: Plane, fine: Plane) -> Region | None:
    """Outline the region around the strongest evidence.

    Parameters
    ----------
    peak, fine : ndarray of float32, shape (M, N)
        From `evidence`.

    Returns
    -------
    Region or None
        None where nothing rises above `_LOW`.
    """
    strength = float(peak.max())
    if strength <= _LOW:
        return None
    row, col = np.unravel_index(int(np.argmax(peak)), peak.shape)
    own = max(_LOW, _SHARE * float(fine.max()))
    mask = _connected(fine > own, int(row), int(col))
    if own > _ENOUGH:
        whole = _connected(fine > _ENOUGH, int(row), int(col))
        if whole.mean() > _LARGE and whole.sum() > _MUCH_MORE * mask.sum():
            mask = whole
    return region_of(mask, strength)


def _connected(above: Mask, row: int, col: int) -> Mask:
    """Keep what hangs together with one pixel, across small gaps."""
    outline = above.astype(np.uint8)
    outline[row, col] = 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (_JOIN_PX, _JOIN_PX))
    joined = cv2.morphologyEx(
        cv2.copyMakeBorder(outline, 8, 8, 8, 8, cv2.BORDER_REPLICATE), cv2.MORPH_CLOSE, kernel
    )
    joined = joined[8:-8, 8:-8]
    _, labels = cv2.connectedComponents(joined)
    return np.asarray((labels == labels[row, col]) & (outline > 0))


def region_of(mask: Mask, strength: float) -> Region:
    """Describe a mask as a region.

    Parameters
    ----------
    mask : ndarray of bool, shape (M, N)
        At least one pixel.
    strength : float
        Peak of its evidence.

    Returns
    -------
    Region
        With its box, borders and area.
    """
    rows, cols = mask.shape
    in_row = np.flatnonzero(mask.any(axis=1))
    in_col = np.flatnonzero(mask.any(axis=0))
    top, bottom = int(in_row[0]), int(in_row[-1]) + 1
    left, right = int(in_col[0]), int(in_col[-1]) + 1
    touches = {
        Side.LEFT: left < _RIM_PX,
        Side.TOP: top < _RIM_PX,
        Side.RIGHT: right > cols - _RIM_PX,
        Side.BOTTOM: bottom > rows - _RIM_PX,
    }
    return Region(
        strength=strength,
        mask=mask,
        box=Box(left / cols, top / rows, right / cols, bottom / rows),
        cut_by=tuple(side for side, touching in touches.items() if touching),
        area=float(mask.mean()),
    )
