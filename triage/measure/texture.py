"""Whether a changed place still shows the scene's own texture: then only the light changed there."""

import cv2
import numpy as np

from triage.records.arrays import Mask, Plane

_LEAST_PIXELS = 40
"""A smaller place holds too little texture to be told by it."""

_LEAST_DETAIL = 2e-3
"""Detail (root mean square, square-root units) that a place must have to be recognised."""


def detail(lightness: Plane, *, finest: float = 0.5, coarsest: float = 1.5) -> Plane:
    """Keep only detail between two sizes.

    Parameters
    ----------
    lightness : ndarray of float32, shape (M, N)
        Square-root lightness.
    finest, coarsest : float, optional
        Sigma of two Gaussians in pixels.

    Returns
    -------
    ndarray of float32, shape (M, N)
        Their difference.
    """
    return np.asarray(
        cv2.GaussianBlur(lightness, (0, 0), finest) - cv2.GaussianBlur(lightness, (0, 0), coarsest),
        np.float32,
    )


def texture_kept(frame_detail: Plane, expected_detail: Plane, mask: Mask) -> float | None:
    """Correlate a place's detail with that of the scenery.

    Parameters
    ----------
    frame_detail, expected_detail : ndarray of float32, shape (M, N)
        From `detail`.
    mask : ndarray of bool, shape (M, N)
        The place.

    Returns
    -------
    float or None
        -1 to 1; towards 1 the same texture is still there under another light. None where the scenery has too
        little detail there, or the place is too small, to tell.
    """
    expected = expected_detail[mask]
    if expected.size < _LEAST_PIXELS or float(np.sqrt(np.mean(expected**2))) < _LEAST_DETAIL:
        return None
    shown = frame_detail[mask]
    both = float(np.sqrt(np.sum(shown**2) * np.sum(expected**2)))
    return float(np.sum(shown * expected)) / both if both > 0 else None


def texture_kept_around(frame: Plane, expected: Plane, sigma: float) -> Plane:
    """Correlate detail with that of the scenery around each pixel.

    Parameters
    ----------
    frame, expected : ndarray of float32, shape (M, N)
        Square-root lightness.
    sigma : float
        Width in pixels (of a Gaussian) of what counts as detail, and of the surroundings.

    Returns
    -------
    ndarray of float32, shape (M, N)
        -1 to 1; towards 1 the same texture is still there under another light, towards 0 another one, or none.
    """
    one, other = frame - _around(frame, sigma), expected - _around(expected, sigma)
    both = (_around(one * one, sigma) + _LEAST_DETAIL**2) * (_around(other * other, sigma) + _LEAST_DETAIL**2)
    return np.asarray(_around(one * other, sigma) / np.sqrt(both), np.float32)


def _around(plane: Plane, sigma: float) -> Plane:
    """Average around each pixel."""
    return np.asarray(cv2.GaussianBlur(plane, (0, 0), sigma), np.float32)
