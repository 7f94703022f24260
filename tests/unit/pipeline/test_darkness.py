from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.factories import make_frame
from triage.measure.daylight import NIGHT
from triage.pipeline.darkness import natural_darkness

LAW = settings(deadline=None, max_examples=40)
MOMENTS = st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1))
SOMEWHERE = (50.0, 10.0)


def darkness_at(moment, place=None, zone=None):
    return float(natural_darkness([replace(make_frame(0), time=moment)], place, zone)[0])


@LAW
@given(MOMENTS)
def test_by_the_clock_darkness_is_a_chance(moment):
    assert 0.0 < darkness_at(moment) <= 1.0


@LAW
@given(MOMENTS, st.floats(-89.0, 89.0), st.floats(-180.0, 180.0))
def test_by_the_sun_darkness_is_a_chance(moment, lat, lon):
    assert 0.0 < darkness_at(moment, (lat, lon), UTC) <= 1.0


@pytest.mark.parametrize(
    ("hour", "night"), [(0, True), (2, True), (23, True), (12, False), (10, False), (15, False)]
)
def test_by_the_clock_the_small_hours_are_night_and_noon_is_day(hour, night):
    found = darkness_at(datetime(2026, 10, 3, hour, 0))
    assert found >= NIGHT if night else found < 0.1


@pytest.mark.parametrize("hour", [7, 19])
def test_by_the_clock_morning_and_evening_are_left_open(hour):
    assert 0.1 < darkness_at(datetime(2026, 10, 3, hour, 30)) < NIGHT


@pytest.mark.source(
    "common practice", "where most people live, seven in the evening is dark in winter, light in summer"
)
def test_by_the_clock_the_season_counts():
    winter, summer = (darkness_at(datetime(2026, month, 21, 19, 0)) for month in (12, 6))
    assert winter >= NIGHT
    assert summer < NIGHT / 2  # left open: the clock may be wrong


def test_by_the_clock_no_season_is_certain_for_a_clock_may_be_wrong():
    evenings = [darkness_at(datetime(2026, month, 15, 18, 0)) for month in range(1, 13)]
    assert min(evenings) > 0.05
    assert max(evenings) < 0.9


def test_by_the_clock_darkness_does_not_jump_at_midnight():
    before, after = (darkness_at(moment) for moment in (datetime(2026, 1, 1, 23, 59), datetime(2026, 1, 2)))
    assert before == pytest.approx(after, abs=0.01)


def test_by_the_clock_minutes_count():
    times = [datetime(2026, 10, 3, 4, 30) + timedelta(minutes=each) for each in range(0, 60, 10)]
    found = [darkness_at(moment) for moment in times]
    assert found == sorted(found, reverse=True)
    assert len(set(found)) == 6


def test_the_sun_tells_a_winter_evening_from_a_summer_one():
    winter, summer = (
        darkness_at(datetime(2026, month, 21, 18, 0), SOMEWHERE, timezone(timedelta(hours=1)))
        for month in (12, 6)
    )
    assert winter == 1.0
    assert summer == pytest.approx(0.05)


def test_the_midnight_sun_leaves_no_darkness_and_the_polar_night_little_light():
    # Within the polar circle (66.6 degrees) the sun does not set at midsummer; from -9 degrees down it is night here.
    assert darkness_at(datetime(2026, 6, 21, 0, 0), (70.0, 0.0), UTC) == pytest.approx(0.05)
    assert darkness_at(datetime(2026, 12, 21, 12, 0), (80.0, 0.0), UTC) == 1.0


def test_the_same_moment_in_two_zones_is_equally_dark():
    moment = datetime(2026, 3, 1, 18, 40, tzinfo=UTC)
    found = [
        darkness_at(moment.astimezone(zone).replace(tzinfo=None), SOMEWHERE, zone)
        for zone in (UTC, timezone(timedelta(hours=9)), timezone(timedelta(hours=-7)))
    ]
    assert found[1:] == pytest.approx([found[0]] * 2)


def test_darkness_never_falls_while_the_sun_goes_down():
    dusk = [datetime(2026, 10, 3, 15, 0) + timedelta(minutes=10 * step) for step in range(48)]
    found = [darkness_at(moment, SOMEWHERE, UTC) for moment in dusk]
    assert found == sorted(found)
    assert found[0] < 0.1
    assert found[-1] == 1.0


@pytest.mark.parametrize(("place", "zone"), [(None, UTC), (SOMEWHERE, None)])
def test_without_both_place_and_zone_the_clock_decides(place, zone):
    moment = datetime(2026, 6, 21, 21, 30)
    assert darkness_at(moment, place, zone) == darkness_at(moment)


def test_each_frame_gets_its_own_darkness():
    frames = [
        replace(make_frame(index), time=datetime(2026, 10, 3, hour)) for index, hour in enumerate((12, 0, 7))
    ]
    found = natural_darkness(frames, None, None)
    assert found.dtype == np.float32
    assert found.shape == (3,)
    assert found[1] > found[2] > found[0]
