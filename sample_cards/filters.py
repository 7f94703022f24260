"""Typed doors to the few picture operations taken from OpenCV."""

import cv2
import numpy as np

from sample_cards.arrays import Field


def blur(values: Field, sigma: float) -> Field:
    """Soften with a Gaussian of a deviation in pixels."""
    return np.asarray(cv2.GaussianBlur(values, (0, 0), sigma), dtype=np.float32)


def average_down(values: Field, width: int, height: int) -> Field:
    """Average to a smaller size, area by area."""
    return np.asarray(cv2.resize(values, (width, height), interpolation=cv2.INTER_AREA), dtype=np.float32)


def stretch(values: Field, width: int, height: int, *, smooth: bool = False) -> Field:
    """Enlarge by straight lines, or smoothly."""
    how = cv2.INTER_CUBIC if smooth else cv2.INTER_LINEAR
    return np.asarray(cv2.resize(values, (width, height), interpolation=how), dtype=np.float32)


def gather(
    values: Field, cols: Field, rows: Field, *, nearest: bool = False, outside: float | None = None
) -> Field:
    """Look values up at fractional places; beyond the border they are mirrored, or `outside` where given."""
    how = cv2.INTER_NEAREST if nearest else cv2.INTER_LINEAR
    border = cv2.BORDER_REFLECT if outside is None else cv2.BORDER_CONSTANT
    found = cv2.remap(values, cols, rows, how, borderMode=border, borderValue=outside or 0.0)
    return np.asarray(found, dtype=np.float32)


def lowest_near(values: Field, reach: int) -> Field:
    """Return the lowest value in a square around each pixel."""
    return np.asarray(cv2.erode(values, np.ones((reach, reach), np.uint8)), dtype=np.float32)
