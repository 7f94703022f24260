"""Stated confidence against what is true."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binned_statistic

from tests.benchmarks.accuracy.calibration import calibration_error, reliability


def test_calibration_error_by_hand() -> None:
    # Four said at 0.9, three true: gap 0.15. One said at 0.5 and true: gap 0.5. (4 * 0.15 + 1 * 0.5) / 5 = 0.22.
    stated = [(0.9, True), (0.9, True), (0.9, True), (0.9, False), (0.5, True)]
    assert calibration_error(stated) == pytest.approx(0.22)
    low, high = reliability(stated)
    assert (low.low, low.count, low.stated, low.observed) == (0.5, 1, 0.5, 1.0)
    assert (high.low, high.count, high.stated, high.observed) == (0.9, 4, pytest.approx(0.9), 0.75)


def test_what_means_what_it_says_has_no_error() -> None:
    assert calibration_error([(0.75, True)] * 3 + [(0.75, False)]) == pytest.approx(0.0)
    assert calibration_error([]) is None


def test_certainty_belongs_to_the_last_tenth_and_decimals_to_their_own() -> None:
    assert [step.low for step in reliability([(1.0, True), (0.0, False)])] == [0.0, 0.9]
    assert [step.low for step in reliability([(tenth / 10, True) for tenth in range(10)])] == [
        tenth / 10 for tenth in range(10)
    ]


@given(st.lists(st.tuples(st.integers(0, 999).filter(lambda mil: mil % 100), st.booleans()), min_size=1))
def test_table_is_scipys_binned_mean(drawn: list[tuple[int, bool]]) -> None:
    # Source outside the project: scipy.stats.binned_statistic over ten equal bins.
    stated = [(mil / 1000, right) for mil, right in drawn]
    levels, rights = zip(*stated, strict=True)
    counts = binned_statistic(levels, rights, "count", bins=10, range=(0.0, 1.0)).statistic
    means = binned_statistic(levels, rights, "mean", bins=10, range=(0.0, 1.0)).statistic
    found = {round(step.low * 10): (step.count, step.observed) for step in reliability(stated)}
    assert found == {
        tenth: (count, pytest.approx(means[tenth])) for tenth, count in enumerate(counts) if count
    }
