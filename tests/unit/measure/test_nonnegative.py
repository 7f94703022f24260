import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import nnls

from triage.measure.nonnegative import non_negative_least_squares

LAW = settings(deadline=None, max_examples=200)


@LAW
@given(st.integers(0, 10_000), st.integers(1, 6), st.floats(0.0, 2.0))
@pytest.mark.source("library", "SciPy, optimize.nnls")
def test_the_powers_are_the_librarys(seed, count, noise):
    rng = np.random.default_rng(seed)
    columns = rng.random((40, count))
    target = columns @ rng.normal(0.3, 1.0, count) + noise * rng.normal(size=40)
    powers = non_negative_least_squares(columns, target)
    assert powers == pytest.approx(nnls(columns, target)[0], abs=1e-7)
    assert powers.min() >= 0.0


def test_columns_that_are_one_and_the_same_share_the_target():
    column = np.arange(1.0, 9.0)
    powers = non_negative_least_squares(np.stack([column, column], axis=1), 2 * column)
    assert powers.sum() == pytest.approx(2.0)


@pytest.mark.parametrize("target", [np.zeros(5), -np.ones(5)])
def test_what_only_negative_powers_could_reach_gets_none(target):
    assert non_negative_least_squares(np.ones((5, 2)), target).tolist() == [0.0, 0.0]
