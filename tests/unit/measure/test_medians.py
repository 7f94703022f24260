import numpy as np
import pytest

from triage.measure.medians import median, medians_of_some, row_medians


@pytest.mark.parametrize("count", [1, 2, 7, 384])
@pytest.mark.source("library", "NumPy's median")
def test_it_is_the_median_of_each_row(count):
    rows = np.random.default_rng(1).standard_normal((5, count)).astype(np.float32)
    assert np.array_equal(row_medians(rows), np.median(rows, axis=1))


@pytest.mark.parametrize("count", [1, 2, 7, 384])
@pytest.mark.source("library", "NumPy's median")
def test_it_is_the_median_of_numbers(count):
    numbers = np.random.default_rng(2).standard_normal(count)
    assert median(numbers) == np.median(numbers)
    assert median(numbers.astype(np.float32)) == np.median(numbers.astype(np.float32))


@pytest.mark.source("library", "NumPy's median without what is not a number")
def test_it_is_the_median_of_those_that_count():
    rng = np.random.default_rng(3)
    rows = rng.standard_normal((200, 9)).astype(np.float32)
    counted = rng.random((200, 9)) < 0.5
    counted[:, 4] = True
    expected = np.nanmedian(np.where(counted, rows, np.float32(np.nan)), axis=1)
    assert np.array_equal(medians_of_some(rows, counted), expected)


def test_it_leaves_the_rows_as_they_are():
    rows = np.array([[3.0, 1.0, 2.0]], np.float32)
    assert row_medians(rows).tolist() == [2.0]
    assert rows.tolist() == [[3.0, 1.0, 2.0]]
