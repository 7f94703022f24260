"""From unexplained change to the one coherent region that may be a subject."""

from dataclasses import dataclass

import cv2
import numpy as np

from triage.measure.medians import row_medians
from triage.measure.wobble import Wobble, at_scales
from triage.records.arrays import Mask, Plane, Rgb
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
    rows, cols = change.shape[:2]
    for at_scale, size in zip(at_scales(change), wobble.sizes, strict=True):
        relative = np.abs(at_scale, out=at_scale)
        relative /= size
        usual = _usual(relative)
        unrest = max(unrest, float(usual.max()))
        if unrest > _USUAL_UNREST:
            relative /= np.maximum(1.0, usual / _USUAL_UNREST)
        relative -= 1.0
        np.maximum(relative, 0.0, out=relative)
        relative *= relative
        strength = cv2.sqrt(cv2.transform(relative, _SUM))
        if strength.shape != (rows, cols):
            strength = cv2.resize(strength, (cols, rows), interpolation=cv2.INTER_LINEAR)
        strengths.append(np.asarray(strength, np.float32))
    peak = strengths[0]
    for other in strengths[1:]:
        peak = np.maximum(peak, other)
    return Evidence(peak, tuple(strengths), unrest)


def _usual(relative: Plane) -> Plane:
    """Take the median of each channel, from some four thousand pixels."""
    step = max(1, round((relative.shape[0] * relative.shape[1] / 4000) ** 0.5))
    return row_medians(relative[::step, ::step].reshape(-1, relative.shape[2]).T)


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
        area = np.count_nonzero(whole)
        if area > _LARGE * whole.size and area > _MUCH_MORE * np.count_nonzero(mask):
            mask = whole
    return region_of(mask, strength)


def _connected(above: Mask, row: int, col: int) -> Mask:
    """Keep what hangs together with one pixel, across small gaps."""
    outline = above.astype(np.uint8)
    outline[row, col] = 1
    reached = joined(outline, JOIN_PX)
    cv2.floodFill(reached, None, (col, row), 2, flags=8)
    return np.asarray((reached == 2) & (outline > 0))


def joined(mask: Mask | Rgb, gap: int) -> Rgb:
    """Close the small gaps of a mask, also along the picture's border.

    Parameters
    ----------
    mask : ndarray of bool or uint8, shape (M, N)
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
    return np.ascontiguousarray(
        cv2.morphologyEx(framed, cv2.MORPH_CLOSE, kernel)[gap:-gap, gap:-gap], np.uint8
    )


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


def part_around(region: Region, margin: int = 0) -> tuple[slice, slice]:
    """Give the rows and columns of a region's mask that hold all of it.

    Parameters
    ----------
    region : Region
        Any.
    margin : int, optional
        So many pixels more on each side, as far as the picture goes.

    Returns
    -------
    tuple of slice
        To look at nothing else: most regions are small.
    """
    rows, cols = region.mask.shape
    box = region.box
    return (
        slice(max(0, round(box.y0 * rows) - margin), round(box.y1 * rows) + margin),
        slice(max(0, round(box.x0 * cols) - margin), round(box.x1 * cols) + margin),
    )


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
    left, top, wide, high = cv2.boundingRect(mask.view(np.uint8))
    right, bottom = left + wide, top + high
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
        area=np.count_nonzero(mask) / mask.size,
    )
