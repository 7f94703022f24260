"""When visits come, by the clock: circular statistics, kernel densities and independence of visits.

Degrees of the published examples are hours of the clock times 15.
"""

import math
from datetime import datetime, timedelta

import numpy as np
import pytest
from scipy.integrate import trapezoid
from scipy.special import iv
from scipy.stats import circmean, circstd, gaussian_kde, vonmises

from triage.events import activity as act
from triage.events import limits
from triage.records.night import Window

NIGHT = datetime(2026, 10, 3)
ZAR = (45, 55, 81, 96, 110, 117, 132, 154)
ROULETTE = (43, 45, 52, 61, 75, 88, 88, 279, 357)


def hours(degrees):
    return np.asarray(degrees, float) / 15.0


@pytest.mark.source(
    "table",
    "Zar, Biostatistical Analysis, example 26.4 (data and 99 degrees from memory): p by Zar's formula",
)
@pytest.mark.source(
    "table", "Mardia & Jupp, Directional Statistics, roulette (data and 51 degrees from memory)"
)
@pytest.mark.parametrize(
    ("degrees", "book", "mean", "resultant", "chance"),
    [(ZAR, 99, 98.99, 0.82522, 0.00185), (ROULETTE, 51, 51.05, 0.7110, 0.0070)],
)
def test_the_worked_examples_of_two_handbooks_come_out(degrees, book, mean, resultant, chance):
    found, length = act.circular_mean(hours(degrees))
    assert found * 15 == pytest.approx(mean, abs=0.01)
    assert round(found * 15) == book
    assert length == pytest.approx(resultant, abs=5e-5)
    assert act.rayleigh_p(len(degrees), length) == pytest.approx(chance, rel=0.01)


@pytest.mark.source(
    "library", "astropy 8.0, documentation of circmean, circvar, rayleightest and vonmisesmle"
)
def test_the_values_in_another_librarys_documentation_come_out():
    found, length = act.circular_mean(hours([51, 67, 40, 109, 31, 358]))
    assert found * 15 == pytest.approx(48.62718088722989, abs=1e-9)
    assert 1 - length == pytest.approx(0.16356352748437508, abs=1e-9)
    found, length = act.circular_mean(hours([130, 90, 0, 145]))
    assert found * 15 == pytest.approx(101.16894320, abs=1e-6)
    # Four times are below what the program tests; the formula of Zar and the series still agree to half a percent.
    assert act.rayleigh_p(4, length) == pytest.approx(0.2563487733797317, abs=0.005)
    # The library takes a formula of Fisher's that is good to half a percent; ours solves the equation itself.
    ours = act._concentration_of(length, 1)
    assert ours == pytest.approx(1.49358958737, rel=0.006)
    assert iv(1, ours) / iv(0, ours) == pytest.approx(length, rel=1e-10)


@pytest.mark.source("library", "SciPy 1.17, circmean and circstd")
@pytest.mark.parametrize("seed", range(5))
def test_mean_and_spread_are_the_librarys(seed):
    rng = np.random.default_rng(seed)
    times = (rng.normal(23.5, 2.0, 40)) % 24
    found, length = act.circular_mean(times)
    apart = (found - circmean(times, high=24) + 12) % 24 - 12
    assert apart == pytest.approx(0, abs=1e-9)
    assert act.circular_spread_h(length) == pytest.approx(circstd(times, high=24), rel=1e-9)


@pytest.mark.source("law", "midnight lies between an hour before it and an hour after it")
@pytest.mark.parametrize("times", [(23.0, 1.0), (22.0, 23.5, 0.5, 2.0)])
def test_the_mean_wraps_round_midnight(times):
    found, _length = act.circular_mean(np.array(times))
    assert min(found, 24 - found) == pytest.approx(0, abs=1e-9)


@pytest.mark.source("law", "random draws: of even times, as many as it says lie so close together")
@pytest.mark.parametrize("number", [limits.FEWEST_FOR_RAYLEIGH, 12, 60])
def test_rayleighs_chance_is_the_share_of_even_draws(number):
    rng = np.random.default_rng(number)
    lengths = np.abs(np.exp(2j * math.pi * rng.random((20000, number))).mean(axis=1))
    for chance in (0.01, 0.05, 0.2, 0.5):
        limit = np.quantile(lengths, 1 - chance)
        assert act.rayleigh_p(number, limit) == pytest.approx(chance, abs=0.004 + 0.03 * chance)


@pytest.mark.source(
    "law", "random draws: visits at any hour alike while the rig stood are not called bunched more often"
)
def test_a_rig_that_stands_by_night_only_makes_no_night_animal():
    rng = np.random.default_rng(3)
    nights = [
        Window(NIGHT + timedelta(days=day, hours=18), NIGHT + timedelta(days=day, hours=30))
        for day in range(10)
    ]
    bunched, by_clock = 0, 0
    for _ in range(150):
        starts = [night.start + timedelta(hours=12 * rng.random()) for night in nights for _ in range(2)]
        found = act.activity([Window(start, start) for start in starts], nights, apart=timedelta(0))
        bunched += found.rayleigh_watched_p < 0.05
        by_clock += found.rayleigh_p < 0.05
    assert 0.01 * 150 <= bunched <= 0.11 * 150
    assert by_clock > 0.95 * 150  # without minding what was watched, nearly every such record would be


@pytest.mark.source(
    "paper", "Ridout & Linkie 2009, doi 10.1198/jabes.2009.08038: von Mises kernels, a density on the circle"
)
@pytest.mark.source("library", "SciPy 1.17, vonmises.pdf")
@pytest.mark.parametrize("concentration", [0.5, 8.0, 300.0])
def test_the_density_is_the_mean_of_the_librarys_kernels_and_sums_to_one(concentration):
    times = np.array([0.1, 1.5, 22.0, 23.9, 12.0])
    at = np.linspace(0, 24, 2881)
    found = act.density(times, at, concentration)
    turn = 2 * math.pi / 24
    theirs = vonmises.pdf(turn * at[:, None], concentration, loc=turn * times[None, :]).mean(axis=1) * turn
    assert found == pytest.approx(theirs, rel=1e-9)
    assert trapezoid(found, at) == pytest.approx(1.0, abs=1e-6)
    assert found[0] == pytest.approx(found[-1], rel=1e-12)


@pytest.mark.source(
    "paper", "Taylor 2008, doi 10.1016/j.csda.2007.11.003: for narrow times the rule is Silverman's"
)
@pytest.mark.source("library", "SciPy 1.17, gaussian_kde with Silverman's rule")
@pytest.mark.parametrize("number", [40, 400])
def test_for_times_close_together_the_curve_is_that_of_a_plain_kernel_density(number):
    times = np.random.default_rng(4).vonmises(0.0, 20.0, number) * 24 / (2 * math.pi) + 12
    concentration = act.kernel_concentration(times)
    spread_h = 24 / (2 * math.pi) / math.sqrt(concentration)
    theirs = gaussian_kde(times, "silverman")
    assert spread_h == pytest.approx(float(np.sqrt(theirs.covariance[0, 0])), rel=0.06)
    at = np.linspace(8, 16, 81)
    assert np.abs(act.density(times, at, concentration) - theirs(at)).max() < 0.03 * theirs(at).max()


@pytest.mark.source(
    "paper", "Ridout & Linkie 2009, doi 10.1198/jabes.2009.08038: three moments, so that two peaks stay two"
)
def test_two_hours_of_activity_are_two_peaks():
    rng = np.random.default_rng(8)
    times = np.concatenate([rng.normal(6, 0.8, 60), rng.normal(18, 0.8, 60)]) % 24
    at = np.arange(0, 24, 0.25)
    curve = act.density(times, at, act.kernel_concentration(times))
    assert max(curve[20:28].max(), 0) > 4 * curve[46:50].max()
    assert max(curve[68:76].max(), 0) > 4 * curve[:4].max()


@pytest.mark.source(
    "paper",
    "O'Brien, Kinnaird & Wibisono 2003, doi 10.1017/S1367943003003172: more than 0.5 h (from memory)",
)
@pytest.mark.parametrize(("gap_min", "count"), [(29.9, 1), (30.0, 1), (30.02, 2), (60.0, 2)])
def test_visits_are_independent_when_more_than_half_an_hour_apart(gap_min, count):
    first = Window(NIGHT, NIGHT + timedelta(minutes=4))
    second = Window(first.end + timedelta(minutes=gap_min), first.end + timedelta(minutes=gap_min + 1))
    apart = timedelta(seconds=limits.INDEPENDENT_S)
    assert apart == timedelta(minutes=30)
    assert len(act.independent([second, first], apart)) == count


@pytest.mark.source(
    "paper", "O'Brien, Kinnaird & Wibisono 2003: the pause is between one picture and the next (from memory)"
)
def test_an_animal_that_keeps_coming_back_is_one_visit():
    coming = [
        Window(NIGHT + timedelta(minutes=20 * at), NIGHT + timedelta(minutes=20 * at)) for at in range(10)
    ]
    (only,) = act.independent(coming, timedelta(minutes=30))
    assert only == Window(coming[0].start, coming[-1].end)
