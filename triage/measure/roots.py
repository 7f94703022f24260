"""Square-rooted pictures: light on a scale where photon noise is equally large in shadows and lights."""

import cv2
import numpy as np

from triage.measure.tone import DECODED
from triage.records.arrays import Plane, Rgb

_ROOTS = np.sqrt(DECODED)

_WEIGHTS = np.array([[0.3, 0.5, 0.2]], np.float32)
"""Weights of the three square-rooted channels in lightness: green carries most, none is ignored."""

_OPPONENT = np.array([*_WEIGHTS, (1.0, -1.0, 0.0), (0.0, -1.0, 1.0)], np.float32)

_CHANNELS = np.asarray(np.linalg.inv(_OPPONENT), np.float32)

_HALVED_FROM = 320
"""Pictures with a long edge of so many pixels or more are searched at half size."""


def root_lightness(picture: Rgb) -> Plane:
    """Take the lightness of a picture: the square root of linear light, lightly smoothed.

    The square root makes photon noise equally large in shadows and lights (variance-stabilising transform).

    Parameters
    ----------
    picture : ndarray of uint8, shape (M, N, 3)
        A measuring picture.

    Returns
    -------
    ndarray of float32, shape (M, N)
        0 to 1.

    References
    ----------
    Anscombe 1948, Biometrika 35:246-254, doi 10.1093/biomet/35.3-4.246.
    """
    lightness = cv2.transform(cv2.LUT(picture, _ROOTS), _WEIGHTS)
    return np.asarray(cv2.GaussianBlur(lightness, (0, 0), 0.8), np.float32)


def search_picture(picture: Rgb) -> Plane:
    """Take lightness and two differences of colour, at the size that subjects are searched at.

    Parameters
    ----------
    picture : ndarray of uint8, shape (M, N, 3)
        A measuring picture.

    Returns
    -------
    ndarray of float32, shape (M/2, N/2, 3)
        As of `colour_roots`. Half the size, or the full one where the picture is small: half averages noise and the
        finest sway, and costs a quarter.
    """
    roots = np.asarray(cv2.LUT(picture, _ROOTS), np.float32)
    rows, cols = picture.shape[:2]
    if max(rows, cols) >= _HALVED_FROM:
        roots = np.asarray(cv2.resize(roots, (cols // 2, rows // 2), interpolation=cv2.INTER_AREA))
    return _opponents(roots)


def colour_roots(picture: Rgb) -> Plane:
    """Take lightness and two differences of colour.

    Parameters
    ----------
    picture : ndarray of uint8, shape (M, N, 3)
        Any picture.

    Returns
    -------
    ndarray of float32, shape (M, N, 3)
        Square-root lightness, 0 to 1; red less green; blue less green.
    """
    return _opponents(np.asarray(cv2.LUT(picture, _ROOTS), np.float32))


def _opponents(roots: Plane) -> Plane:
    """Smooth square-rooted channels lightly and turn them into lightness and two differences."""
    return opponents(np.asarray(cv2.GaussianBlur(roots, (0, 0), 0.6)))


def opponents(roots: Plane) -> Plane:
    """Turn square-rooted channels into lightness and two differences of colour.

    Parameters
    ----------
    roots : ndarray of float32, shape (M, N, 3)
        Square roots of linear light.

    Returns
    -------
    ndarray of float32, shape (M, N, 3)
        As of `colour_roots`.
    """
    return np.asarray(cv2.transform(roots, _OPPONENT), np.float32)


def roots_of(picture: Plane) -> Plane:
    """Turn lightness and two differences of colour back into square-rooted channels.

    Parameters
    ----------
    picture : ndarray of float32, shape (M, N, 3)
        From `colour_roots` or `search_picture`.

    Returns
    -------
    ndarray of float32, shape (M, N, 3)
        Square roots of linear light.
    """
    return np.asarray(cv2.transform(picture, _CHANNELS), np.float32)
