"""The bound against printed values; sources beside each."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest, hypergeom

from triage.ui.spot_check import SAMPLE, SHEET, SpotCheck, upper_bound

DIGEST = "0123456789abcdef0123456789abcdef"


@pytest.mark.parametrize(
    ("subjects", "one_in"),
    [(1500, 500), (300, 100)],
)
@pytest.mark.source("paper", "Hanley & Lippman-Hand 1983, JAMA 249:1743")
def test_no_miss_gives_the_rule_of_three(subjects, one_in):
    """Published examples of the rule (Hanley and Lippman-Hand, JAMA 1983;249:1743-5, as widely retold)."""
    assert upper_bound(0, subjects) == pytest.approx(1 / one_in, rel=0.01)
    assert upper_bound(0, subjects) <= 3 / subjects


@pytest.mark.parametrize(
    ("misses", "looked_at", "upper"),
    [(7, 50, 0.26740), (10, 100, 0.17622), (5, 20, 0.49105), (1, 10, 0.44502)],
)
@pytest.mark.source("paper", "Clopper & Pearson 1934, doi 10.1093/biomet/26.4.404")
def test_the_two_sided_interval_is_that_of_clopper_and_pearson(misses, looked_at, upper):
    """7 of 50 is printed in the documentation of SciPy's `binomtest`; the others follow from the same paper."""
    assert upper_bound(misses, looked_at, sureness=0.975) == pytest.approx(upper, abs=5e-6)


@given(st.integers(1, 400), st.data())
@pytest.mark.source("library", "SciPy 1.17, binomtest")
def test_the_bound_is_that_of_a_second_library_function(looked_at, data):
    misses = data.draw(st.integers(0, looked_at - 1))
    other = binomtest(misses, looked_at, alternative="less").proportion_ci(0.95, method="exact").high
    assert upper_bound(misses, looked_at) == pytest.approx(other, abs=1e-9)


@given(st.integers(1, 400), st.data())
def test_at_the_bound_so_few_misses_are_seen_in_one_sample_of_twenty(looked_at, data):
    misses = data.draw(st.integers(0, looked_at - 1))
    assert binom.cdf(misses, looked_at, upper_bound(misses, looked_at)) == pytest.approx(0.05, abs=1e-6)


def test_a_look_at_nothing_proves_nothing():
    assert upper_bound(0, 0) == 1.0
    assert upper_bound(4, 4) == 1.0
    assert "nothing is proved" in SpotCheck.draw(range(9), seed=DIGEST).proof()


def test_the_same_card_gives_the_same_sample_and_another_card_another():
    one = SpotCheck.draw(range(300), seed=DIGEST)
    assert one == SpotCheck.draw(reversed(range(300)), seed=DIGEST)
    assert one.order != SpotCheck.draw(range(300), seed=DIGEST[::-1]).order
    assert sorted(one.order) == list(range(300))


def test_every_frame_is_as_likely_to_be_drawn():
    """Over many cards, each of 50 frames is drawn near 24/50 of the time; limits of four standard errors."""
    draws = 2_000
    counts = [0] * 50
    for card in range(draws):
        check = SpotCheck.draw(range(50), seed=f"{card:032x}")
        for index in check.order[: check.goal]:
            counts[index] += 1
    share = SAMPLE / 50
    error = (share * (1 - share) / draws) ** 0.5
    assert all(abs(count / draws - share) < 4 * error for count in counts)


def test_a_check_goes_on_until_its_goal_and_can_be_extended_and_taken_back():
    check = SpotCheck.draw(range(30), seed=DIGEST, size=2 * SHEET)
    first = check.sheet
    assert set(first) == set(check.order[:SHEET])
    assert list(first) == sorted(first)
    assert check.sheets == (1, 2)
    check = check.answered()
    assert check.taken_back().sheet == first
    second = check.sheet
    check = check.answered({second[2]})
    assert check.sheet == ()
    assert check.misses == (second[2],)
    assert check.taken_back().sheet == second
    check = check.extended(SHEET)
    assert set(check.sheet) == set(check.order[2 * SHEET : 3 * SHEET])
    assert check.extended(100).goal == 30


def test_the_last_sheet_holds_what_is_left():
    check = SpotCheck.draw(range(8), seed=DIGEST)
    assert check.sheets == (1, 2)
    check = check.answered()
    assert len(check.sheet) == 2
    assert check.answered().rest == 0
    assert check.answered().taken_back() == check


def test_the_proof_is_said_with_its_figures():
    check = SpotCheck.draw(range(120), seed=DIGEST)
    while check.sheet:
        check = check.answered()
    # 1 - 0.05 ** (1 / 24) = 0.1173; of 120 frames that is 14.
    assert "You looked at 24 of 120 frames" in check.proof()
    assert "none of them showed something" in check.proof()
    assert "at most 11.7\u00a0%" in check.proof()
    assert "at most 14 of the 96 not looked at" in check.proof()


@given(st.integers(2, 400), st.data())
def test_the_bound_holds_for_drawing_without_putting_back(group, data):
    """More animals than said would have shown up in 19 of 20 samples (SciPy's hypergeometric distribution)."""
    looked = data.draw(st.integers(1, group - 1))
    misses = data.draw(st.integers(0, min(3, looked - 1)))
    check = SpotCheck(tuple(range(group)), looked, tuple(place < misses for place in range(looked)))
    for more in range(check.most_left + 1, check.rest + 1):
        assert hypergeom.cdf(misses, group, misses + more, looked) <= 0.05 + 1e-9


def test_looking_at_all_of_a_group_is_no_sample():
    check = SpotCheck.draw(range(3), seed=DIGEST).answered()
    assert check.proof() == "You looked at all 3 frames; none of them showed something."
