"""Sun and moon against published tables and a second library's figures.

Sources: the US Naval Observatory's table for Atlanta of September 2009 as quoted in the documentation of
`ephem`;
*Almanac for Computers* (USNO 1990), worked example; Meeus, *Astronomical Algorithms*, 2nd ed., example 48.a;
and a cross-check of `ephem` 4.2.1 with `astral` 3.2 (their own settings differ by up to 25 s below 60
degrees).
"""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.sky.heaven import moon_lit, night_sky, sun_altitude
from triage.sky.zone import parse_zone

MINUTE = timedelta(minutes=1)


def near(moment, expected, tolerance=MINUTE):
    assert moment is not None
    return abs(moment - expected) <= tolerance


def test_sunrise_of_the_almanacs_worked_example():
    # Almanac for Computers (USNO 1990): Wayne NJ 40.9 N 74.3 W, 25 June 1990, sunrise 5:26 EDT.
    sky = night_sky(
        datetime(1990, 6, 24, 18),
        datetime(1990, 6, 25, 8),
        lat=40.9,
        lon=-74.3,
        zone=ZoneInfo("America/New_York"),
    )
    assert near(sky.sunrise, datetime(1990, 6, 25, 5, 26))


def test_observatory_table_of_atlanta():
    # USNO table, 33.8 N 84.4 W, 6 September 2009, EDT: civil 6:50, rise 7:15, set 19:56, civil 20:21;
    # moon rise 20:17 (5th), set 9:05 (6th), rise 20:44 (6th), set 10:05 (7th).
    place = {"lat": 33.8, "lon": -84.4, "zone": ZoneInfo("America/New_York")}
    sky = night_sky(datetime(2009, 9, 5, 18), datetime(2009, 9, 7, 12), **place)
    edges = [span.start for span in sky.spans]
    for expected in (
        datetime(2009, 9, 6, 6, 50),
        datetime(2009, 9, 6, 7, 15),
        datetime(2009, 9, 6, 19, 56),
        datetime(2009, 9, 6, 20, 21),
    ):
        assert any(near(edge, expected) for edge in edges), expected
    (first, second) = sky.moon_up
    assert near(first.start, datetime(2009, 9, 5, 20, 17))
    assert near(first.end, datetime(2009, 9, 6, 9, 5))
    assert near(second.start, datetime(2009, 9, 6, 20, 44))
    assert near(second.end, datetime(2009, 9, 7, 10, 5))


@pytest.mark.parametrize(
    ("lat", "lon", "zone", "day", "rise", "down"),
    [  # two libraries agree on each to 25 s
        (51.4779, 0.0, "Europe/London", (2024, 3, 20), (6, 1, 55), (18, 13, 40)),
        (51.4779, 0.0, "Europe/London", (2024, 6, 20), (4, 42, 50), (21, 20, 35)),
        (51.4779, 0.0, "Europe/London", (2024, 12, 21), (8, 3, 30), (15, 53, 7)),
        (52.52, 13.405, "Europe/Berlin", (2024, 5, 1), (5, 34, 28), (20, 33, 30)),
        (38.9072, -77.0369, "America/New_York", (2024, 1, 1), (7, 26, 52), (16, 56, 23)),
        (-0.1807, -78.4678, "America/Guayaquil", (2024, 3, 20), (6, 17, 55), (18, 24, 15)),
        (-42.8821, 147.3272, "Australia/Hobart", (2024, 6, 21), (7, 42, 13), (16, 42, 49)),
    ],
)
def test_sunset_and_sunrise_agree_with_two_libraries(lat, lon, zone, day, rise, down):
    noon = datetime(*day, 12)
    evening = night_sky(noon, noon + timedelta(hours=11), lat=lat, lon=lon, zone=ZoneInfo(zone))
    assert near(evening.sunset, datetime(*day, *down))
    morning = night_sky(noon - timedelta(hours=11), noon, lat=lat, lon=lon, zone=ZoneInfo(zone))
    assert near(morning.sunrise, datetime(*day, *rise))


def test_midsummer_beyond_the_polar_circle_has_no_event_but_has_its_span():
    # Both libraries: the sun never sets at 69.6 N on 21 June 2024.
    start, end = datetime(2024, 6, 20, 20), datetime(2024, 6, 21, 9)
    sky = night_sky(start, end, lat=69.6492, lon=18.9553, zone=ZoneInfo("Europe/Oslo"))
    assert (sky.sunset, sky.sunrise) == (None, None)
    assert [(span.start, span.end, span.kind) for span in sky.spans] == [(start, end, "day")]


def test_polar_night_has_its_civil_twilight():
    # Same source, 21 December 2024: the sun never rises; civil twilight 09:31:31 to 13:53:21 (or 77 s either
    # way).
    sky = night_sky(
        datetime(2024, 12, 21, 4),
        datetime(2024, 12, 21, 20),
        lat=69.6492,
        lon=18.9553,
        zone=ZoneInfo("Europe/Oslo"),
    )
    assert (sky.sunset, sky.sunrise) == (None, None)
    (civil,) = [span for span in sky.spans if span.kind == "civil"]
    assert near(civil.start, datetime(2024, 12, 21, 9, 31, 31), 2 * MINUTE)
    assert near(civil.end, datetime(2024, 12, 21, 13, 53, 21), 2 * MINUTE)
    assert not [span for span in sky.spans if span.kind == "day"]


def test_astronomical_night_never_comes_at_greenwich_in_june():
    # Both libraries: the sun does not reach 18 degrees below the horizon on 20 June 2024.
    sky = night_sky(
        datetime(2024, 6, 20, 12),
        datetime(2024, 6, 21, 12),
        lat=51.4779,
        lon=0.0,
        zone=ZoneInfo("Europe/London"),
    )
    kinds = [span.kind for span in sky.spans]
    assert kinds == ["day", "civil", "nautical", "astronomical", "nautical", "civil", "day"]


def test_late_first_frame_still_has_its_sunset_and_an_early_last_one_its_sunrise():
    sky = night_sky(
        datetime(2024, 5, 1, 23, 30),
        datetime(2024, 5, 2, 3),
        lat=52.52,
        lon=13.405,
        zone=ZoneInfo("Europe/Berlin"),
    )
    assert near(sky.sunset, datetime(2024, 5, 1, 20, 33, 30))
    assert sky.sunrise is not None
    assert datetime(2024, 5, 2, 5, 25) < sky.sunrise < datetime(2024, 5, 2, 5, 35)


def test_a_day_card_has_the_sunrise_before_and_the_sunset_after():
    sky = night_sky(
        datetime(2024, 5, 1, 10),
        datetime(2024, 5, 1, 15),
        lat=52.52,
        lon=13.405,
        zone=ZoneInfo("Europe/Berlin"),
    )
    assert near(sky.sunrise, datetime(2024, 5, 1, 5, 34, 28))
    assert near(sky.sunset, datetime(2024, 5, 1, 20, 33, 30))
    assert [span.kind for span in sky.spans] == ["day"]


def test_the_end_of_the_polar_night_gives_the_first_sunset_of_weeks():
    zone = ZoneInfo("Europe/Oslo")
    sky = night_sky(datetime(2025, 1, 5, 18), datetime(2025, 1, 25, 18), lat=69.6492, lon=18.9553, zone=zone)
    assert sky.sunset is not None
    assert datetime(2025, 1, 12) < sky.sunset < datetime(2025, 1, 20)


def test_clocks_going_forward_move_the_sunrise_by_an_hour_on_the_wall():
    berlin = {"lat": 52.52, "lon": 13.405}
    wall = night_sky(
        datetime(2024, 3, 30, 18), datetime(2024, 3, 31, 9), zone=ZoneInfo("Europe/Berlin"), **berlin
    )
    winter = night_sky(
        datetime(2024, 3, 30, 18), datetime(2024, 3, 31, 9), zone=parse_zone("+01:00"), **berlin
    )
    assert wall.sunset == winter.sunset
    assert wall.sunrise is not None
    assert winter.sunrise is not None
    assert wall.sunrise - winter.sunrise == timedelta(hours=1)


def test_a_stretch_inside_the_hour_that_occurs_twice_is_not_negative():
    start, end = datetime(2024, 10, 27, 2, 50), datetime(2024, 10, 27, 2, 55)
    sky = night_sky(start, end, lat=52.52, lon=13.405, zone=ZoneInfo("Europe/Berlin"))
    assert [(span.start, span.end, span.kind) for span in sky.spans] == [(start, end, "night")]


def test_the_date_line_is_crossed_without_a_seam():
    # Places 0.2 degrees apart on either side of the line see the sun set 48 s apart (a turn of the Earth is
    # 24 h).
    west = night_sky(
        datetime(2024, 3, 20, 12), datetime(2024, 3, 21, 12), lat=-17.0, lon=179.9, zone=parse_zone("+12")
    )
    east = night_sky(
        datetime(2024, 3, 20, 12), datetime(2024, 3, 21, 12), lat=-17.0, lon=-179.9, zone=parse_zone("+12")
    )
    assert west.sunset is not None
    assert east.sunset is not None
    assert timedelta(seconds=40) < west.sunset - east.sunset < timedelta(seconds=56)


def test_one_moment_is_a_stretch():
    moment = datetime(2024, 5, 1, 12)
    sky = night_sky(moment, moment, lat=52.52, lon=13.405, zone=ZoneInfo("Europe/Berlin"))
    assert [(span.start, span.end, span.kind) for span in sky.spans] == [(moment, moment, "day")]


def test_a_month_without_gaps_has_a_night_for_each_day():
    sky = night_sky(
        datetime(2024, 9, 1, 12),
        datetime(2024, 10, 1, 12),
        lat=-42.8821,
        lon=147.3272,
        zone=ZoneInfo("Australia/Hobart"),
    )
    assert sum(span.kind == "night" for span in sky.spans) == 30
    assert len(sky.moon_up) in {29, 30}  # the moon rises about 50 minutes later each day


def test_decades_are_not_one_night():
    sky = night_sky(datetime(2000, 1, 1), datetime(2026, 1, 1), lat=0.0, lon=0.0, zone=UTC)
    assert sky.spans == ()
    assert sky.sunset is None


@pytest.mark.parametrize(("lat", "lon"), [(91.0, 0.0), (0.0, 181.0), (float("nan"), 0.0)])
def test_no_such_place_is_said_so(lat, lon):
    with pytest.raises(ValueError, match="not a place"):
        night_sky(datetime(2024, 1, 1), datetime(2024, 1, 2), lat=lat, lon=lon, zone=UTC)
    with pytest.raises(ValueError, match="not a place"):
        sun_altitude(datetime(2024, 1, 1), lat, lon)


def test_an_end_before_its_start_is_said_so():
    with pytest.raises(ValueError, match="ends before"):
        night_sky(datetime(2024, 1, 2), datetime(2024, 1, 1), lat=0.0, lon=0.0, zone=UTC)


@pytest.mark.parametrize(
    ("moment", "lit"),
    [  # Meeus ex. 48.a (i = 69.0756 degrees, k = 0.6786); principal phases of January 2024
        (datetime(1992, 4, 12), 0.6786),
        (datetime(2024, 1, 11, 11, 57), 0.002),
        (datetime(2024, 1, 18, 3, 53), 0.501),
        (datetime(2024, 1, 25, 17, 54), 0.998),
    ],
)
def test_lit_part_of_the_moon(moment, lit):
    assert moon_lit(moment) == pytest.approx(lit, abs=0.002)


def test_sun_stands_at_the_declination_over_the_pole():
    # Meeus ex. 25.a: declination of the sun -7 deg 47' 06" on 1992-10-13 0h TD; at the pole that is its
    # altitude.
    assert sun_altitude(datetime(1992, 10, 13), 90.0, 0.0) == pytest.approx(-7.785, abs=0.01)


def test_zoned_and_naive_utc_moments_are_the_same():
    aware = datetime(2024, 5, 1, 14, tzinfo=parse_zone("+02:00"))
    assert sun_altitude(aware, 52.5, 13.4) == sun_altitude(datetime(2024, 5, 1, 12), 52.5, 13.4)
    assert moon_lit(aware) == moon_lit(datetime(2024, 5, 1, 12))


@given(
    lat=st.floats(-90, 90),
    lon=st.floats(-180, 180),
    start=st.datetimes(datetime(2000, 1, 1), datetime(2040, 1, 1)),
    hours=st.floats(0, 40),
    zone=st.sampled_from(["Europe/Berlin", "Australia/Lord_Howe", "Pacific/Kiritimati", "UTC"]),
)
def test_spans_cover_any_stretch_without_gap_or_overlap(lat, lon, start, hours, zone):
    end = start + timedelta(hours=hours)
    sky = night_sky(start, end, lat=lat, lon=lon, zone=ZoneInfo(zone))
    assert sky.spans[0].start == start
    assert sky.spans[-1].end == end
    assert all(one.end == two.start and one.kind != two.kind for one, two in pairwise(sky.spans))
    assert all(span.start <= span.end for span in sky.spans)
