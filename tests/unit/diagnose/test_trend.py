"""Slopes, against a general library."""

import numpy as np
import pytest
from scipy.stats import theilslopes

from triage.diagnose.trend import find_trend


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.source("library", "SciPy 1.17, theilslopes")
def test_slope_and_interval_are_those_of_a_general_library(seed):
    """Oracle: `scipy.stats.theilslopes` (Theil 1950, Sen 1968)."""
    rng = np.random.default_rng(seed)
    number = int(rng.integers(5, 60))
    times = np.sort(rng.uniform(0, 14, number))
    values = 1.0 + rng.normal(0, 0.3) * times + rng.normal(0, 0.2, number)
    expected = theilslopes(values, times, alpha=0.95)
    found = find_trend(times, values)
    assert found is not None
    assert found.slope == pytest.approx(expected.slope)
    assert (found.low, found.high) == pytest.approx((expected.low_slope, expected.high_slope))


def test_wild_values_hardly_move_the_slope():
    times = np.linspace(0, 12, 30)
    values = 1.0 - 0.03 * times
    values[[3, 11, 20]] = (4.0, 0.0, 3.0)
    found = find_trend(times, values)
    assert found is not None
    assert found.slope == pytest.approx(-0.03, abs=0.003)
    assert found.end == pytest.approx(0.64, abs=0.02)


def test_the_interval_holds_the_true_slope_nineteen_times_in_twenty():
    held = 0
    for seed in range(200):
        rng = np.random.default_rng(1000 + seed)
        times = np.sort(rng.uniform(0, 12, 20))
        found = find_trend(times, 1.0 - 0.02 * times + rng.normal(0, 0.05, 20))
        assert found is not None
        held += found.low <= -0.02 <= found.high
    assert 180 <= held <= 199


def test_too_few_times_give_no_slope():
    assert find_trend(np.array([0.0, 0.0, 1.0]), np.array([1.0, 1.0, 0.9])) is None


def test_a_long_row_is_thinned_and_keeps_its_slope():
    times = np.linspace(0, 900, 5000)
    found = find_trend(times, 2.0 - 0.001 * times)
    assert found is not None
    assert found.slope == pytest.approx(-0.001)
