"""Sun and moon in camera time; tables, worked examples and the second library are in `tests/checks`."""

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


def test_midsummer_beyond_the_polar_circle_has_no_event_but_has_its_span():
    # Both libraries: the sun never sets at 69.6 N on 21 June 2024.
    start, end = datetime(2024, 6, 20, 20), datetime(2024, 6, 21, 9)
    sky = night_sky(start, end, lat=69.6492, lon=18.9553, zone=ZoneInfo("Europe/Oslo"))
    assert (sky.sunset, sky.sunrise) == (None, None)
    assert [(span.start, span.end, span.kind) for span in sky.spans] == [(start, end, "day")]


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


def test_a_stretch_inside_the_hour_that_occurs_twice_is_not_negative():
    start, end = datetime(2024, 10, 27, 2, 50), datetime(2024, 10, 27, 2, 55)
    sky = night_sky(start, end, lat=52.52, lon=13.405, zone=ZoneInfo("Europe/Berlin"))
    assert [(span.start, span.end, span.kind) for span in sky.spans] == [(start, end, "night")]


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


def test_the_sun_s_path_covers_the_stretch_and_agrees_with_its_altitude():
    zone = ZoneInfo("Europe/Berlin")
    # The clocks go back at 3 in the morning of 25 October 2026: an hour of camera time occurs twice.
    start, end = datetime(2026, 10, 24, 17), datetime(2026, 10, 25, 8)
    sky = night_sky(start, end, lat=52.52, lon=13.405, zone=zone)
    moments = [moment for moment, _ in sky.sun]
    assert moments[0] <= start
    assert moments[-1] >= end
    assert all(before < after for before, after in pairwise(moments))
    for moment, height in sky.sun[:40]:
        assert abs(sun_altitude(moment.replace(tzinfo=zone).astimezone(UTC), 52.52, 13.405) - height) < 0.01


def test_the_sun_s_path_passes_each_border_of_the_spans_where_the_spans_say():
    sky = night_sky(
        datetime(2026, 10, 3, 17), datetime(2026, 10, 4, 8), lat=52.4, lon=9.1, zone=parse_zone("+02:00")
    )
    levels = {"day": -50 / 60, "civil": -6.0, "nautical": -12.0, "astronomical": -18.0}
    for span, after in pairwise(sky.spans):
        border = max(levels.get(span.kind, -90), levels.get(after.kind, -90))
        before = max(pair for pair in sky.sun if pair[0] <= span.end)
        behind = min(pair for pair in sky.sun if pair[0] > span.end)
        assert min(before[1], behind[1]) <= border <= max(before[1], behind[1])
