"""A frame's light on a coarse grid, robust to detail, sway and small subjects."""

import cv2
import numpy as np

from triage.measure.tone import linear, luminance
from triage.records.arrays import Plane, Rgb

GRID = (16, 24)
"""Rows and columns of the grid."""

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
    light = luminance(linear(picture))
    return np.asarray(cv2.resize(light, GRID[::-1], interpolation=cv2.INTER_AREA), np.float32).ravel()


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


def log_ratio(means: Plane, reference: Plane) -> Plane:
    """Compare the light of a frame with a reference's, block by block.

    Parameters
    ----------
    means, reference : ndarray of float32, shape (P,)
        Block means of the frame and of the reference.

    Returns
    -------
    ndarray of float32, shape (P,)
        Natural logarithm of the ratio.
    """
    return np.asarray(np.log((means + FLOOR) / (reference + FLOOR)), np.float32)


def smooth_log_gain(means: Plane, reference: Plane) -> Plane:
    """Fit the smooth change of light from a reference to a frame, not drawn along by subjects.

    Parameters
    ----------
    means, reference : ndarray of float32, shape (P,)
        Block means of the frame and of the reference.

    Returns
    -------
    ndarray of float32, shape (P,)
        Natural logarithm of the gain in linear light: a cubic in row and column, fitted by iteratively
        reweighted least squares with Tukey-like weights.

    References
    ----------
    Holland & Welsch 1977, Commun. Stat. 6:813-827, doi 10.1080/03610927708827533.
    """
    ratio = log_ratio(means, reference)
    trust = block_trust(means, reference)
    weight = trust
    ridge = 1e-3 * float(trust.sum()) * np.eye(_BASIS.shape[1], dtype=np.float32)
    gain = np.full_like(ratio, np.median(ratio))
    for _ in range(5):
        weighted = weight[:, None] * _BASIS
        gain = _BASIS @ np.linalg.solve(_BASIS.T @ weighted + ridge, weighted.T @ ratio)
        error = ratio - gain
        trusted = np.abs(error[trust > 0.3]) if np.any(trust > 0.3) else np.abs(error)
        spread = 1.4826 * float(np.median(trusted)) + 1e-3
        weight = trust / (1.0 + (error / (2.0 * spread)) ** 2) ** 2
    return np.asarray(gain, np.float32)
