"""How long cells will last, as the record of a site tells it, against what statistics says of one more draw."""

import math

import numpy as np
import pytest
from scipy.stats import norm, t

from triage.diagnose.cells import life_interval


@pytest.mark.source(
    "table", "Hahn & Meeker, Statistical Intervals, section 4.7 (from memory): mean +- t s sqrt(1 + 1/n)"
)
@pytest.mark.source("library", "SciPy 1.17, t.ppf")
def test_the_interval_is_that_of_one_more_draw():
    lives = [180, 220, 205]
    expected, least, most = life_interval(lives)
    logs = np.log(lives)
    reach = t.ppf(0.975, 2) * logs.std(ddof=1) * math.sqrt(4 / 3)
    assert math.log(expected) == pytest.approx(logs.mean())
    assert (math.log(least), math.log(most)) == pytest.approx((logs.mean() - reach, logs.mean() + reach))


@pytest.mark.source("law", "random draws: the next set lies inside nineteen times in twenty")
@pytest.mark.parametrize("sets", [2, 3, 8])
def test_the_next_set_lies_inside_nineteen_times_in_twenty(sets):
    rng = np.random.default_rng(sets)
    inside = 0
    for _ in range(800):
        *lives, following = np.round(np.exp(rng.normal(math.log(300), 0.2, sets + 1)))
        _expected, least, most = life_interval([int(life) for life in lives])
        inside += least <= following <= most
    scatter = 3 * math.sqrt(0.95 * 0.05 / 800)
    assert inside / 800 == pytest.approx(0.95, abs=scatter + 0.003)


@pytest.mark.source("law", "with many sets before, the interval is that of the normal law")
def test_many_sets_give_the_normal_laws_interval():
    logs = norm.ppf((np.arange(400) + 0.5) / 400, math.log(250), 0.1)
    _expected, least, most = life_interval([round(life) for life in np.exp(logs)])
    assert math.log(most / least) == pytest.approx(2 * 1.96 * 0.1, rel=0.03)


@pytest.mark.source(
    "common practice", "one set of cells before says nothing of how far the next may be from it"
)
def test_one_set_gives_no_interval():
    assert life_interval([212]) == (pytest.approx(212), None, None)
