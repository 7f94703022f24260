"""What a few counted frames prove, against published and library values.

The spot check's own bound is also compared with SciPy beside its code, in `tests/gui/test_spot_check.py`, and the
bench's interval in `tests/unit/benchmarks/test_counts.py`.
"""

import pytest
from scipy.stats import beta, hypergeom

from tests.benchmarks.accuracy.counts import interval
from triage.ui.spot_check import SpotCheck, upper_bound

CLOPPER_PEARSON = "Clopper & Pearson 1934, Biometrika 26:404, doi 10.1093/biomet/26.4.404"

# Nothing in n: the rule of three, the exact one-sided bound at 95 %, the upper end of the two-sided interval at 95 %
# (closed forms 1 - 0.05^(1/n) and 1 - 0.025^(1/n)).
NOTHING = [
    (10, 0.300, 0.25887, 0.30850),
    (20, 0.150, 0.13911, 0.16843),
    (30, 0.100, 0.09503, 0.11570),
    (50, 0.060, 0.05816, 0.07112),
    (100, 0.030, 0.02951, 0.03622),
    (300, 0.010, 0.00994, 0.01222),
    (1000, 0.003, 0.00299, 0.00368),
]


@pytest.mark.source("paper", CLOPPER_PEARSON)
@pytest.mark.source(
    "table", "rule of three, -ln 0.05 = 2.996 (Hanley & Lippman-Hand 1983, JAMA 249:1743), good for n over 30"
)
@pytest.mark.parametrize(("looked_at", "rule", "one_sided", "two_sided"), NOTHING)
def test_no_miss_in_n_is_bounded_by_the_rule_of_three_and_exactly(looked_at, rule, one_sided, two_sided):
    assert upper_bound(0, looked_at) == pytest.approx(one_sided, abs=5e-6)
    assert interval(0, looked_at, level=0.90) == (0.0, pytest.approx(one_sided, abs=5e-6))
    assert interval(0, looked_at) == (0.0, pytest.approx(two_sided, abs=5e-6))
    assert upper_bound(0, looked_at) <= rule
    if looked_at > 30:
        assert upper_bound(0, looked_at) == pytest.approx(rule, rel=0.04)


@pytest.mark.source("library", "SciPy 1.17, documentation of binomtest: 7 of 50, and 3 of 15 from below")
@pytest.mark.source(
    "table", "Conover, Practical Nonparametric Statistics: 682 of 925 (as SciPy's tests quote it)"
)
@pytest.mark.parametrize(
    ("part", "whole", "level", "low", "high"),
    [
        (7, 50, 0.95, 0.05819, 0.26740),
        (682, 925, 0.95, 0.70767, 0.76541),
        (10, 100, 0.95, 0.04900, 0.17622),
        (5, 20, 0.95, 0.08657, 0.49105),
        (1, 10, 0.95, 0.00253, 0.44502),
        (20, 20, 0.95, 0.83157, 1.0),
        (3, 15, 0.90, 0.05685, None),
    ],
)
def test_exact_intervals_are_the_printed_ones(part, whole, level, low, high):
    found = interval(part, whole, level)
    assert found[0] == pytest.approx(low, abs=5e-6)
    if high is not None:
        assert found[1] == pytest.approx(high, abs=5e-6)
        if part < whole:
            assert upper_bound(part, whole, sureness=0.975) == pytest.approx(high, abs=5e-6)


@pytest.mark.source("paper", CLOPPER_PEARSON)
@pytest.mark.source("library", "SciPy 1.17, beta.ppf")
@pytest.mark.parametrize(("misses", "looked_at"), [(0, 20), (1, 20), (3, 60), (19, 20)])
def test_the_spot_checks_bound_is_the_quantile_of_the_beta_law(misses, looked_at):
    assert upper_bound(misses, looked_at) == pytest.approx(beta.ppf(0.95, misses + 1, looked_at - misses))


def promise_kept(group, there, looked_at):
    """Chance that the true number left unseen is not above what the check says, over all samples (hypergeometric)."""
    kept = 0.0
    for misses in range(min(there, looked_at) + 1):
        answers = (True,) * misses + (False,) * (looked_at - misses)
        check = SpotCheck(tuple(range(group)), looked_at, answers)
        if there - misses <= check.most_left:
            kept += hypergeom.pmf(misses, group, there, looked_at)
    return kept


@pytest.mark.source("library", "SciPy 1.17, hypergeom: drawing from a group without putting back")
@pytest.mark.parametrize(("group", "looked_at"), [(25, 20), (60, 20), (200, 20), (200, 60), (1000, 100)])
def test_however_many_are_really_there_the_promise_holds_nineteen_times_in_twenty(group, looked_at):
    step = max(1, group // 50)
    assert min(promise_kept(group, there, looked_at) for there in range(0, group + 1, step)) >= 0.95
