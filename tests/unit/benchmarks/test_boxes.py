"""Overlap of boxes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.benchmarks.accuracy.boxes import Box, around, common, overlap

GRID = 24
WHOLE = st.tuples(st.integers(0, GRID), st.integers(0, GRID))


def _box(across: tuple[int, int], down: tuple[int, int]) -> Box:
    return min(across) / GRID, min(down) / GRID, max(across) / GRID, max(down) / GRID


def _painted(box: Box) -> np.ndarray:
    x0, y0, x1, y1 = (round(edge * GRID) for edge in box)
    mask = np.zeros((GRID, GRID), bool)
    mask[y0:y1, x0:x1] = True
    return mask


def test_overlap_by_hand() -> None:
    # Two squares of side 2 that share a square of side 1: 1 / (4 + 4 - 1).
    assert overlap((0.0, 0.0, 0.2, 0.2), (0.1, 0.1, 0.3, 0.3)) == pytest.approx(1 / 7)
    assert overlap((0.1, 0.1, 0.3, 0.3), (0.1, 0.1, 0.3, 0.3)) == pytest.approx(1.0)


def test_boxes_that_only_touch_share_nothing() -> None:
    assert common((0.0, 0.0, 0.5, 1.0), (0.5, 0.0, 1.0, 1.0)) == 0.0
    assert overlap((0.2, 0.2, 0.2, 0.2), (0.2, 0.2, 0.2, 0.2)) == 0.0


@given(WHOLE, WHOLE, WHOLE, WHOLE)
def test_overlap_is_that_of_painted_pixels(
    a: tuple[int, int], b: tuple[int, int], c: tuple[int, int], d: tuple[int, int]
) -> None:
    one, other = _box(a, b), _box(c, d)
    both, either = (_painted(one) & _painted(other)).sum(), (_painted(one) | _painted(other)).sum()
    assert overlap(one, other) == pytest.approx(both / either if either else 0.0)
    assert overlap(one, other) == overlap(other, one)


def test_box_around_holds_all() -> None:
    assert around([(0.4, 0.1, 0.5, 0.2), (0.1, 0.3, 0.2, 0.9)]) == (0.1, 0.1, 0.5, 0.9)
