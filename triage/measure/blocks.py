"""A frame's light on a coarse grid, robust to detail, sway and small subjects."""

import cv2
import numpy as np

from triage.measure.tone import linear, luminance
from triage.records.arrays import Plane, Rgb

GRID = (16, 24)
"""Rows and columns of the grid."""

LEFT_THIRD = np.tile(np.arange(GRID[1]) < GRID[1] // 3, GRID[0])
RIGHT_THIRD = np.tile(np.arange(GRID[1]) >= GRID[1] - GRID[1] // 3, GRID[0])
"""Blocks in the left and in the right third of the picture."""

FLOOR = 2e-4
"""Linear luminance added before logarithms: about two thirds of code 1 of 255, the least a camera tells apart."""

BURNT = 0.9
"""Linear luminance above which a block no longer follows the light."""

BLACK = 2.5e-3
"""Mean linear luminance (about code 8 of 255) below which a frame shows next to nothing."""

_HONEST = 2e-3
"""Linear luminance (code 6 of 255) from which a block's mean is above noise and coding error."""


def block_means(picture: Rgb) -> Plane:
    """Average linear luminance over the grid.

    Parameters
    ----------
    picture : ndarray of uint8, shape (M, N, 3)
        A measuring picture.

    Returns
    -------
    ndarray of float32, shape (384,)
        Row by row, 0 to 1.
    """
    coarse = cv2.resize(linear(picture), GRID[::-1], interpolation=cv2.INTER_AREA)
    return luminance(np.asarray(coarse, np.float32)).ravel()


def _smooth_basis() -> Plane:
    """Build the cubic polynomials of row and column, one column each."""
    row, col = np.meshgrid(np.linspace(-1, 1, GRID[0]), np.linspace(-1, 1, GRID[1]), indexing="ij")
    r, c = row.ravel(), col.ravel()
    terms = [r**p * c**q for p in range(4) for q in range(4 - p)]
    return np.stack(terms, axis=1).astype(np.float32)


_BASIS = _smooth_basis()


def block_trust(*means: Plane) -> Plane:
    """Say how far each block can be trusted to follow the light in all the frames given.

    Parameters
    ----------
    *means : ndarray of float32, shape (P,)
        Block means of each frame.

    Returns
    -------
    ndarray of float32, shape (P,)
        0.02 (dark, burnt) to 1.
    """
    lowest = np.minimum.reduce(means)
    highest = np.maximum.reduce(means)
    return np.where(highest > BURNT, 0.05, np.clip(lowest / _HONEST, 0.02, 1.0)).astype(np.float32)


_PRODUCTS = (_BASIS[:, :, None] * _BASIS[:, None, :]).reshape(len(_BASIS), -1)
"""Products of each two polynomials at each block, for the normal equations."""


def log_ratio(means: Plane, references: Plane) -> Plane:
    """Compare the light of a frame with that of references, block by block.

    Parameters
    ----------
    means : ndarray of float32, shape (P,)
        Block means of the frame.
    references : ndarray of float32, shape (K, P)
        Block means of each reference.

    Returns
    -------
    ndarray of float32, shape (K, P)
        Natural logarithm of the ratios.
    """
    return np.asarray(np.log((means + FLOOR) / (references + FLOOR)), np.float32)


def smooth_log_gains(means: Plane, references: Plane) -> Plane:
    """Fit the smooth change of light from each reference to a frame, not drawn along by subjects.

    Parameters
    ----------
    means : ndarray of float32, shape (P,)
        Block means of the frame.
    references : ndarray of float32, shape (K, P)
        Block means of each reference.

    Returns
    -------
    ndarray of float32, shape (K, P)
        Natural logarithm of the gains in linear light: a cubic in row and column each, fitted by iteratively
        reweighted least squares with Tukey-like weights.

    References
    ----------
    Holland & Welsch 1977, Commun. Stat. 6:813-827, doi 10.1080/03610927708827533.
    """
    ratio = log_ratio(means, references)
    trust = block_trust(np.broadcast_to(means, references.shape), references)
    counted = trust > 0.3
    counted |= ~counted.any(axis=1, keepdims=True)
    every, middle = np.arange(len(ratio)), counted.sum(axis=1) // 2
    terms = _BASIS.shape[1]
    ridge = 1e-3 * trust.sum(axis=1)[:, None, None] * np.eye(terms, dtype=np.float32)
    weight = trust
    gain = np.broadcast_to(np.median(ratio, axis=1)[:, None], ratio.shape)
    for _ in range(5):
        normal = (weight @ _PRODUCTS).reshape(-1, terms, terms) + ridge
        gain = np.linalg.solve(normal, ((weight * ratio) @ _BASIS)[..., None])[..., 0] @ _BASIS.T
        error = ratio - gain
        usual = np.sort(np.where(counted, np.abs(error), np.inf), axis=1)[every, middle, None]
        doubt = 1.0 + (error / (2.0 * (1.4826 * usual + 1e-3))) ** 2
        weight = (trust / doubt**2).astype(np.float32)
    return np.asarray(gain, np.float32)


def gain_over(shape: tuple[int, int], log_gain: Plane) -> Plane:
    """Spread a change of light over a picture.

    Parameters
    ----------
    shape : (int, int)
        Rows and columns of the picture.
    log_gain : ndarray of float32, shape (P,)
        One of `smooth_log_gains`.

    Returns
    -------
    ndarray of float32, shape `shape`
        Factor of square-root light at each pixel.
    """
    # Smooth already: a straight line from block to block is enough.
    gain = np.exp(0.5 * log_gain).reshape(GRID)
    return np.asarray(cv2.resize(gain, shape[::-1], interpolation=cv2.INTER_LINEAR), np.float32)
