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

_USUAL_UNREST = 0.6
"""Median of change over the usual wobble in an ordinary frame; what is above is the frame's own unrest."""

_SUM = np.ones((1, 3), np.float32)

JOIN_PX = 5
"""Parts of one subject (a leg behind a stem) are joined across gaps up to this many pixels."""


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


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a frame shows over the usual wobble.

    Attributes
    ----------
    peak : ndarray of float32, shape (M, N)
        Strongest evidence over the scales.
    scales : tuple of ndarray of float32, shape (M, N)
        Evidence at each of `triage.measure.wobble.SCALES`; the first serves for outlines.
    unrest : float
        How restless the whole frame is, in units of the usual wobble; about 0.5 for an ordinary frame. Evidence
        is already divided by it where it is high.
    """

    peak: Plane
    scales: tuple[Plane, ...]
    unrest: float


def evidence(change: Plane, wobble: Wobble) -> Evidence:
    """Weigh a frame's change against the usual wobble, at all scales.

    Parameters
    ----------
    change : ndarray of float32, shape (M, N, 3)
        Unexplained change, flakes taken out.
    wobble : Wobble
        The usual size of change.

    Returns
    -------
    Evidence
        At all scales.
    """
    strengths: list[Plane] = []
    unrest = 0.0
    for scale, size in zip(SCALES, wobble.sizes, strict=True):
        relative = np.abs(at_scale(change, scale))
        relative /= size
        usual = np.median(relative[::3, ::3].reshape(-1, 3), axis=0)
        unrest = max(unrest, float(usual.max()))
        if unrest > _USUAL_UNREST:
            relative /= np.maximum(1.0, usual / _USUAL_UNREST)
        relative -= 1.0
        np.maximum(relative, 0.0, out=relative)
        relative *= relative
        strengths.append(np.asarray(cv2.sqrt(cv2.transform(relative, _SUM)), np.float32))
    peak = strengths[0]
    for other in strengths[1:]:
        peak = np.maximum(peak, other)
    return Evidence(peak, tuple(strengths), unrest)


def strongest_region(peak: Plane, fine: Plane) -> Region | None:
    """Outline the region around the strongest evidence.

    Parameters
    ----------
    peak, fine : ndarray of float32, shape (M, N)
        Strongest evidence, and evidence at the finest scale.

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
    outline = above.copy()
    outline[row, col] = True
    labels = cv2.connectedComponents(joined(outline, JOIN_PX))[1]
    return np.asarray((labels == labels[row, col]) & outline)


def joined(mask: Mask, gap: int) -> Plane:
    """Close the small gaps of a mask, also along the picture's border.

    Parameters
    ----------
    mask : ndarray of bool, shape (M, N)
        Any.
    gap : int
        Up to so many pixels.

    Returns
    -------
    ndarray of uint8, shape (M, N)
        0 or 1.
    """
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (gap, gap))
    framed = cv2.copyMakeBorder(mask.astype(np.uint8), gap, gap, gap, gap, cv2.BORDER_REPLICATE)
    return np.asarray(cv2.morphologyEx(framed, cv2.MORPH_CLOSE, kernel)[gap:-gap, gap:-gap])


def full_size(mask: Mask, shape: tuple[int, int]) -> Mask:
    """Bring a mask of the searched picture to the size of another.

    Parameters
    ----------
    mask : ndarray of bool, shape (M, N)
        Any.
    shape : (int, int)
        Rows and columns wanted.

    Returns
    -------
    ndarray of bool, shape `shape`
        The same array where it has that size.
    """
    if mask.shape == shape:
        return mask
    return np.asarray(cv2.resize(mask.astype(np.uint8), shape[::-1], interpolation=cv2.INTER_NEAREST) > 0)


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
        Side.LEFT: left == 0,
        Side.TOP: top == 0,
        Side.RIGHT: right == cols,
        Side.BOTTOM: bottom == rows,
    }
    return Region(
        strength=strength,
        mask=mask,
        box=Box(left / cols, top / rows, right / cols, bottom / rows),
        cut_by=tuple(side for side, touching in touches.items() if touching),
        area=float(mask.mean()),
    )
