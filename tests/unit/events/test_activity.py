from datetime import datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.events import activity as act
from triage.events import limits
from triage.records.night import Window

NIGHT = datetime(2026, 10, 3)
HALF_AN_HOUR = timedelta(minutes=30)
clock_times = st.lists(st.floats(0, 23.999), min_size=1, max_size=30)


def stretch(start_h: float, length_h: float) -> Window:
    start = NIGHT + timedelta(hours=start_h)
    return Window(start, start + timedelta(hours=length_h))


def test_of_no_visit_everything_is_untold() -> None:
    found = act.activity([], [], apart=HALF_AN_HOUR)
    assert found == act.Activity((), None, 0.0, None, None, None, None, None, (), (0.0,) * 24)


def test_opposite_times_have_no_mean() -> None:
    assert act.circular_mean(np.array([0.0, 12.0])) == (None, 0.0)


def test_few_visits_are_not_tested_and_have_no_curve() -> None:
    visits = [stretch(20 + hour, 0.0) for hour in range(limits.FEWEST_FOR_RAYLEIGH - 1)]
    found = act.activity(visits, [stretch(18, 12)], apart=HALF_AN_HOUR)
    assert found.mean_h == pytest.approx(21.5)
    assert (found.rayleigh_p, found.half, found.concentration, found.density) == (None, None, None, ())


@given(clock_times, st.floats(0, 24))
def test_turning_the_clock_turns_the_mean_and_changes_nothing_else(times: list[float], turn: float) -> None:
    hours = np.array(times)
    mean, length = act.circular_mean(hours)
    turned, turned_length = act.circular_mean((hours + turn) % 24)
    assert turned_length == pytest.approx(length, abs=1e-9)
    if mean is not None and turned is not None and length > 1e-3:
        assert (turned - mean - turn + 12) % 24 - 12 == pytest.approx(0, abs=1e-6)
    narrow = act.kernel_concentration(hours)
    assert act.kernel_concentration((hours + turn) % 24) == pytest.approx(narrow, rel=1e-4)


@given(clock_times)
def test_at_least_half_of_the_times_lie_in_the_closest_half(times: list[float]) -> None:
    begin, end = act.closest_half(np.array(times))
    inside = sum((time - begin) % 24 <= (end - begin) % 24 + 1e-9 for time in times)
    assert 2 * inside >= len(times)


def test_the_closest_half_may_pass_midnight() -> None:
    assert act.closest_half(np.array([23.5, 0.5, 12.0])) == (23.5, 0.5)


def test_kernels_are_never_narrower_or_wider_than_makes_sense() -> None:
    assert act.kernel_concentration(np.full(20, 22.0)) == limits.MOST_CONCENTRATION
    assert act.kernel_concentration(np.arange(24.0)) == limits.LEAST_CONCENTRATION


def test_watched_hours_are_counted_round_the_clock() -> None:
    def hours(*windows: Window) -> tuple[float, ...]:
        return act.activity([], windows, apart=HALF_AN_HOUR).watched

    by_night = hours(stretch(18.5, 11))
    assert by_night[17:20] == pytest.approx((0.0, 0.5, 1.0))
    assert by_night[4:7] == pytest.approx((1.0, 0.5, 0.0))
    assert sum(by_night) == pytest.approx(11)
    assert sum(hours(stretch(18.25, 100))) == pytest.approx(100, abs=1e-6)
    assert min(hours(stretch(18.25, 100))) == pytest.approx(4)
    assert sum(hours(stretch(18, 0), stretch(18, -3))) == 0


def test_where_whole_days_were_watched_both_tests_are_one() -> None:
    visits = [stretch(20 + 24 * day, 0.1) for day in range(8)]
    found = act.activity(visits, [stretch(0, 24 * 9)], apart=HALF_AN_HOUR)
    assert found.rayleigh_watched_p == pytest.approx(found.rayleigh_p)
