"""The sun's height by the season, beside an almanac."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from triage.sky.heaven import sun_altitude
from triage.sky.season import height_of_sun


@pytest.mark.source("library", "PyEphem (VSOP 87)")
@pytest.mark.parametrize("latitude", [-40.0, 0.0, 35.0, 60.0])
@pytest.mark.parametrize("month", [1, 3, 6, 9, 11])
def test_the_day_is_as_long_and_noon_as_high_as_the_almanac_says(latitude, month):
    start = datetime(2026, month, 17, tzinfo=UTC)
    steps = np.arange(0, 24 * 60, 5)
    almanac = [sun_altitude(start + timedelta(minutes=int(step)), latitude, 0.0) for step in steps]
    found = height_of_sun(np.full(len(steps), float(start.timetuple().tm_yday)), steps / 60.0, latitude)
    assert found.max() == pytest.approx(max(almanac), abs=1.0)
    assert np.mean(found > 0) == pytest.approx(
        np.mean(np.array(almanac) > 0), abs=0.012
    )  # a quarter of an hour


def test_noon_is_the_highest_and_both_sides_are_alike():
    hours = np.array([6.0, 9.0, 12.0, 15.0, 18.0])
    found = height_of_sun(np.full(5, 80.0), hours, 50.0)
    assert found[2] == found.max()
    assert found[[0, 1]] == pytest.approx(found[[4, 3]])
