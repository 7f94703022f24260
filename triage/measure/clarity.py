"""Contrast and sharpness of the fixed scene, block by block."""

from dataclasses import dataclass

import cv2
import numpy as np

from triage.measure.blocks import GRID, block_trust
from triage.measure.medians import median, row_medians
from triage.records.arrays import Mask, Plane

_LOWER = np.repeat(np.arange(GRID[0]) >= 2 * GRID[0] // 3, GRID[1])


_FAR_OUT = (0.5, 0.6)
"""Fine detail relative to middle detail between which a picture begins to be so far out of focus that middle detail is
lost as well, and coarse detail tells of haze; fog, which scatters light near and far, leaves 0.65 and more."""

_FEWEST = 24
"""Blocks, of 384, from which there is enough to go by."""

_FINE_CELLS = 16
"""Each block is looked at in so many rows and columns."""

_REST = ((5.0**2 - 1.8**2 - 1.0) / 4) ** 0.5
"""Smoothing, in pixels of half the size, that makes a sigma of 5 out of one of 1.8, halving (variance of a quarter) and
doubling again by straight lines (three quarters)."""


@dataclass(frozen=True, slots=True)
class Contrast:
    """Detail of one frame on the grid, relative to the light of each block.

    Attributes
    ----------
    fine, middle, coarse : ndarray of float32, shape (P,)
        Median size of detail of about two, six and twenty pixels, over the block's mean, in square-root light. The
        median leaves flakes and small subjects out.
    """

    fine: Plane
    middle: Plane
    coarse: Plane


def detail_bands(lightness: Plane) -> tuple[Plane, Plane]:
    """Part a picture's detail into fine and middle.

    Parameters
    ----------
    lightness : ndarray of float32, shape (M, N)
        Square-root lightness.

    Returns
    -------
    fine, middle : ndarray of float32, shape (M, N)
        Differences of Gaussians of 0.7, 1.8 and 5 pixels: detail of about two and about six pixels. The widest
        one is taken at half the size: the middle band is true to 2 %.
    """
    rows, cols = lightness.shape
    first, second = (cv2.GaussianBlur(lightness, (0, 0), sigma) for sigma in (0.7, 1.8))
    # What is smoothed this much already is as good at half the size, and costs a sixth there.
    half = cv2.resize(second, ((cols + 1) // 2, (rows + 1) // 2), interpolation=cv2.INTER_AREA)
    third = cv2.resize(cv2.GaussianBlur(half, (0, 0), _REST), (cols, rows), interpolation=cv2.INTER_LINEAR)
    return np.asarray(cv2.subtract(first, second), np.float32), np.asarray(
        cv2.subtract(second, third), np.float32
    )


def block_contrast(lightness: Plane) -> Contrast:
    """Measure a frame's detail on the grid.

    Parameters
    ----------
    lightness : ndarray of float32, shape (M, N)
        Square-root lightness.

    Returns
    -------
    Contrast
        Independent of a change of light that is even over a block; sensor noise adds to `Contrast.fine`.
    """
    fine, middle = detail_bands(lightness)
    mean = _blocks(lightness) + 0.01
    return Contrast(
        fine=_typical(np.abs(fine)) / mean,
        middle=_typical(np.abs(middle)) / mean,
        coarse=_typical(np.abs(_coarse_band(lightness))) / mean,
    )


def _coarse_band(lightness: Plane) -> Plane:
    """Take the detail of about twenty pixels, on a quarter of the size: nothing finer is in it."""
    small = cv2.resize(lightness, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    first, second = (cv2.GaussianBlur(small, (0, 0), sigma / 4.0) for sigma in (5.0, 14.0))
    return np.asarray(first - second, np.float32)


def _blocks(plane: Plane) -> Plane:
    """Average over the grid."""
    return np.asarray(cv2.resize(plane, GRID[::-1], interpolation=cv2.INTER_AREA), np.float32).ravel()


def _typical(plane: Plane) -> Plane:
    """Take the median over each block of the grid."""
    rows, cols = GRID
    even = cv2.resize(plane, (cols * _FINE_CELLS, rows * _FINE_CELLS), interpolation=cv2.INTER_LINEAR)
    cells = np.asarray(even, np.float32).reshape(rows, _FINE_CELLS, cols, _FINE_CELLS).swapaxes(1, 2)
    return row_medians(cells.reshape(rows * cols, -1))


@dataclass(frozen=True, slots=True)
class ClearView:
    """The clearest the card shows each block.

    Attributes
    ----------
    fine, middle, coarse : ndarray of float32, shape (P,)
        As in `Contrast`, the 80th percentile over the well lit frames.
    """

    fine: Plane
    middle: Plane
    coarse: Plane


def learn_clear_view(contrasts: list[Contrast], lit: list[bool]) -> ClearView | None:
    """Learn the clearest view from the lit frames.

    Parameters
    ----------
    contrasts : list of Contrast
        One for each frame.
    lit : list of bool
        Whether the frame is lit well enough to count.

    Returns
    -------
    ClearView or None
        None with fewer than three lit frames.
    """
    chosen = [contrast for contrast, good in zip(contrasts, lit, strict=True) if good]
    if len(chosen) < 3:
        return None
    bands = ([getattr(each, band) for each in chosen] for band in ("fine", "middle", "coarse"))
    return ClearView(*(np.percentile(np.stack(band), 80, axis=0).astype(np.float32) for band in bands))


def _known(view: ClearView, means: Plane) -> Mask:
    """Find the blocks that are lit well and have detail to lose."""
    return np.asarray((block_trust(means) > 0.5) & (view.middle > median(view.middle) * 0.5))


def haze_and_sharpness(
    view: ClearView, contrast: Contrast, means: Plane
) -> tuple[float | None, float | None]:
    """Compare a frame's detail with the clearest the card shows.

    Fog on the glass lowers detail of all sizes alike, near and far; being out of focus takes the fine detail first, and
    leaves the coarse one where it is far out.

    Parameters
    ----------
    view : ClearView
        From `learn_clear_view`.
    contrast : Contrast
        The frame's.
    means : ndarray of float32, shape (P,)
        The frame's block means.

    Returns
    -------
    haze : float or None
        0 (clear) to 1 (nothing left); real fog far away leaves the near ground clear and counts as no haze.
    sharpness : float or None
        Fine detail relative to middle detail, about 1 when sharp. Both None where too little is lit to tell.
    """
    known = _known(view, means)
    if np.count_nonzero(known) < _FEWEST:
        return None, None
    middle = contrast.middle / (view.middle + 1e-6)
    coarse = contrast.coarse / (view.coarse + 1e-6)
    fine = contrast.fine / (view.fine + 1e-6)
    near = known & _LOWER
    parts = [known, near] if np.count_nonzero(near) >= 12 else [known]
    clearest, kept = (max(median(band[part]) for part in parts) for band in (middle, coarse))
    sharp = median(fine[known] / np.maximum(middle[known], 0.05))
    far_out = float(np.clip((_FAR_OUT[1] - sharp) / (_FAR_OUT[1] - _FAR_OUT[0]), 0.0, 1.0))
    clearest += far_out * max(0.0, kept - clearest)
    return round(float(np.clip(1.0 - clearest, 0.0, 1.0)), 4), round(min(sharp, 2.0), 4)


def veil_far_off(view: ClearView, contrast: Contrast, means: Plane) -> float:
    """Say how much of the detail far off, in the upper two thirds of the picture, mist or fog takes.

    Parameters
    ----------
    view : ClearView
        From `learn_clear_view`.
    contrast : Contrast
        The frame's.
    means : ndarray of float32, shape (P,)
        The frame's block means.

    Returns
    -------
    float
        0 (none) to 1; 0 also where too little is lit to tell.
    """
    far = _known(view, means) & ~_LOWER
    if np.count_nonzero(far) < _FEWEST:
        return 0.0
    middle = median(contrast.middle[far] / (view.middle[far] + 1e-6))
    coarse = median(contrast.coarse[far] / (view.coarse[far] + 1e-6))
    return float(np.clip(1.0 - max(middle, coarse), 0.0, 1.0))  # being out of focus leaves the coarse detail
