import numpy as np
import pytest

from triage.measure.medians import row_medians


@pytest.mark.parametrize("count", [1, 2, 7, 384])
@pytest.mark.source("library", "NumPy's median")
def test_it_is_the_median_of_each_row(count):
    rows = np.random.default_rng(1).standard_normal((5, count)).astype(np.float32)
    assert np.array_equal(row_medians(rows), np.median(rows, axis=1))


def test_it_leaves_the_rows_as_they_are():
    rows = np.array([[3.0, 1.0, 2.0]], np.float32)
    assert row_medians(rows).tolist() == [2.0]
    assert rows.tolist() == [[3.0, 1.0, 2.0]]
