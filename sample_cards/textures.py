"""Noise, grain and hair: everything that makes a surface look like matter."""

import cv2
import numpy as np

from sample_cards.arrays import Field
from sample_cards.filters import gather, stretch


def smooth_noise(shape: tuple[int, int], cell: float, rng: np.random.Generator) -> Field:
    """Noise about 0 with deviation about 1 that varies over a number of pixels."""
    rows, cols = max(2, int(shape[0] / cell) + 3), max(2, int(shape[1] / cell) + 3)
    coarse = rng.standard_normal((rows, cols), dtype=np.float32)
    grown = stretch(coarse, int(cols * cell) + 1, int(rows * cell) + 1, smooth=True)
    top, left = int(cell * rng.random()), int(cell * rng.random())
    cut: Field = grown[top : top + shape[0], left : left + shape[1]]
    if cut.shape != shape:
        cut = stretch(cut, shape[1], shape[0])
    return cut


def fractal(
    shape: tuple[int, int], cell: float, rng: np.random.Generator, *, octaves: int = 5, fall: float = 0.55
) -> Field:
    """Sum noise of ever finer cells; about 0, deviation about 1."""
    total = np.zeros(shape, dtype=np.float32)
    weight, sum_squares = 1.0, 0.0
    for _ in range(octaves):
        if cell < 1.0:
            break
        total += np.float32(weight) * smooth_noise(shape, cell, rng)
        sum_squares += weight**2
        weight *= fall
        cell /= 2.0
    return total / np.float32(max(sum_squares, 1e-6) ** 0.5 * 0.7)


def mirrored(tile: Field) -> Field:
    """Return a tile four times as large that repeats without a seam."""
    wide = np.concatenate([tile, tile[:, ::-1]], axis=1)
    whole: Field = np.ascontiguousarray(np.concatenate([wide, wide[::-1]], axis=0))
    return whole


def tile_sample(tile: Field, rows: Field, cols: Field) -> Field:
    """Look a tile up at fractional places, repeating it without end."""
    height, width = tile.shape[:2]
    found = cv2.remap(
        tile, np.mod(cols, width).astype(np.float32), np.mod(rows, height).astype(np.float32),
        cv2.INTER_LINEAR, borderMode=cv2.BORDER_WRAP,
    )  # fmt: skip
    return np.asarray(found, dtype=np.float32)


def comb(noise: Field, across: Field, down: Field, *, length: float) -> Field:
    """Smear noise along a direction field, so that it looks like hair lying that way.

    Parameters
    ----------
    noise : ndarray of float32, shape (M, N)
        Fine noise.
    across, down : ndarray of float32, shape (M, N)
        Unit directions in the picture.
    length : float
        Pixels.

    Returns
    -------
    ndarray of float32, shape (M, N)
        Deviation about 1.
    """
    rows, cols = np.mgrid[0 : noise.shape[0], 0 : noise.shape[1]].astype(np.float32)
    steps = int(np.clip(np.ceil(length), 2, 14))
    total = np.zeros_like(noise)
    for step in np.linspace(-0.5, 0.5, steps):
        shift = np.float32(step * length)
        total += gather(noise, cols + across * shift, rows + down * shift)
    spread = float(total.std())
    combed: Field = (total - total.mean()) / max(spread, 1e-6)
    return combed
