"""Typed doors to the few picture operations taken from OpenCV."""

from collections.abc import Iterator
from contextlib import contextmanager

import cv2
import numpy as np

from sample_cards.arrays import Field


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Keep picture operations on the thread that asked for them, where the caller has threads of its own."""
    before = cv2.getNumThreads()
    cv2.setNumThreads(1)
    try:
        yield
    finally:
        cv2.setNumThreads(before)


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


def turned(rows: Field, matrix: Field) -> Field:
    """Return rows of three times a matrix of three by three, on the thread that asks for it."""
    found: Field = np.asarray(cv2.transform(rows[None], np.ascontiguousarray(matrix.T)), dtype=np.float32)
    return np.asarray(found[0], dtype=np.float32)


def lowest_near(values: Field, reach: int) -> Field:
    """Return the lowest value in a square around each pixel."""
    return np.asarray(cv2.erode(values, np.ones((reach, reach), np.uint8)), dtype=np.float32)


def dragged(values: Field, across: float, down: float) -> Field:
    """Spread every value evenly along a straight way from where it is, in pixels to the right and downwards."""
    reach = int(np.ceil(max(abs(across), abs(down)))) + 1
    kernel = np.zeros((2 * reach + 1, 2 * reach + 1), dtype=np.float32)
    for share in (np.arange(4 * reach) + 0.5) / (4 * reach):
        # Looked up where it comes from: against the way.
        row, col = reach - share * down, reach - share * across
        top, left = int(row), int(col)
        low, right = row - top, col - left
        kernel[top : top + 2, left : left + 2] += np.outer((1 - low, low), (1 - right, right))
    kernel /= kernel.sum()
    return np.asarray(cv2.filter2D(values, -1, kernel, borderType=cv2.BORDER_REPLICATE), dtype=np.float32)
