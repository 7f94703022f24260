"""Between coded values and light."""

import cv2
import numpy as np

from triage.records.arrays import Plane, Rgb

LUMINANCE = np.array([0.2126, 0.7152, 0.0722], np.float32)
"""Weights of linear red, green and blue in luminance (IEC 61966-2-1, Rec. 709 primaries)."""


def _decoding_table() -> Plane:
    """Tabulate the sRGB decoding of the 256 codes."""
    coded = np.arange(256) / 255.0
    low = coded / 12.92
    high = ((coded + 0.055) / 1.055) ** 2.4
    return np.where(coded <= 0.04045, low, high).astype(np.float32)


DECODED = _decoding_table()
"""Linear light of each of the 256 codes."""


def linear(rgb: Rgb) -> Plane:
    """Decode sRGB codes to linear light.

    Parameters
    ----------
    rgb : ndarray of uint8
        Any shape.

    Returns
    -------
    ndarray of float32
        Same shape, 0 to 1. Cameras add a tone curve of their own, so ratios hold to about a third of a stop.

    References
    ----------
    IEC 61966-2-1:1999.
    """
    return np.asarray(cv2.LUT(rgb, DECODED), np.float32).reshape(rgb.shape)


def luminance(light: Plane) -> Plane:
    """Weigh linear red, green and blue to luminance.

    Parameters
    ----------
    light : ndarray of float32, shape (M, N, 3)
        Linear light.

    Returns
    -------
    ndarray of float32, shape (M, N)
        0 to 1.
    """
    return light @ LUMINANCE
