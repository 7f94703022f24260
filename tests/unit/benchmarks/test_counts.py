"""Precision, recall and the interval of a rate."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from tests.benchmarks.accuracy.counts import Counts, interval, one, share


def test_precision_and_recall_by_hand() -> None:
    # Of ten frames six are empty; five are called so, four of them rightly.
    counts = Counts(hits=4, false=1, missed=2, passed=3)
    assert counts.precision == pytest.approx(4 / 5)
    assert counts.recall == pytest.approx(4 / 6)


def test_nothing_said_has_no_precision_and_nothing_true_no_recall() -> None:
    assert Counts(missed=3).precision is None
    assert Counts(missed=3).recall == 0.0
    assert Counts(false=2).recall is None
    assert share(0, 0) is None


def test_each_answer_falls_into_its_own_field() -> None:
    answers = [(True, True), (True, False), (False, True), (False, False)]
    single = [one(said=said, true=true) for said, true in answers]
    assert single == [Counts(hits=1), Counts(false=1), Counts(missed=1), Counts(passed=1)]
    assert sum(single, Counts()) == Counts(1, 1, 1, 1)


def test_no_miss_in_a_hundred_still_allows_three_and_a_half_in_a_hundred() -> None:
    # Clopper & Pearson 1934 in closed form for no event: 1 - (0.05 / 2) ** (1 / n).
    assert interval(0, 100) == (0.0, pytest.approx(1 - 0.025 ** (1 / 100)))
    assert interval(0, 100)[1] == pytest.approx(0.0362, abs=5e-5)
    assert interval(0, 0) == (0.0, 1.0)


@given(st.integers(1, 400), st.data())
@pytest.mark.source("library", "SciPy 1.17, binomtest")
def test_interval_is_scipys_exact_one(whole: int, data: st.DataObject) -> None:
    # Source outside the project: scipy.stats.binomtest(...).proportion_ci(method="exact").
    part = data.draw(st.integers(0, whole))
    theirs = binomtest(part, whole).proportion_ci(0.95, method="exact")
    assert interval(part, whole) == pytest.approx((theirs.low, theirs.high), abs=1e-9)
