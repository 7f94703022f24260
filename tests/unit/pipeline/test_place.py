from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from tests.factories import make_frame
from triage.errors import UsageError
from triage.pipeline.place import place_of, zone_of
from triage.records.result import Options

SUMMER = datetime(2026, 7, 1, 12, 0)


def frame_with(index=0, **capture):
    frame = make_frame(index)
    return replace(frame, capture=replace(frame.capture, **capture))


def offset_of(zone):
    return zone.utcoffset(SUMMER)


def test_the_users_place_comes_before_the_pictures():
    frames = [frame_with(lat=1.0, lon=2.0)]
    assert place_of(frames, Options(lat=50.0, lon=-10.0)) == (50.0, -10.0)


def test_the_equator_at_nought_degrees_is_a_place():
    assert place_of([frame_with(lat=1.0, lon=2.0)], Options(lat=0.0, lon=0.0)) == (0.0, 0.0)


def test_the_first_picture_with_a_place_tells_where_it_was():
    frames = [
        frame_with(0),
        frame_with(1, lat=5.0),
        frame_with(2, lat=1.0, lon=2.0),
        frame_with(3, lat=8.0, lon=9.0),
    ]
    assert place_of(frames, Options()) == (1.0, 2.0)


@pytest.mark.parametrize("half", [{"lat": 50.0}, {"lon": 10.0}])
def test_half_a_place_is_none(half):
    assert place_of([frame_with()], Options(**half)) is None
    assert place_of([frame_with(lat=1.0, lon=2.0)], Options(**half)) == (1.0, 2.0)


def test_without_any_place_there_is_none():
    assert place_of([], Options()) is None
    assert place_of([frame_with()], Options()) is None


def test_the_users_zone_comes_before_the_pictures_offset():
    frames = [frame_with(offset_min=60, lat=0.0, lon=90.0)]
    assert offset_of(zone_of(frames, Options(tz="-03:30"))) == timedelta(hours=-3, minutes=-30)


def test_a_zone_with_summer_time_is_understood():
    zone = zone_of([], Options(tz="Europe/Berlin"))
    # IANA time zone database: central European time is one hour ahead in winter, two in summer.
    assert offset_of(zone) == timedelta(hours=2)
    assert zone.utcoffset(datetime(2026, 1, 1, 12, 0)) == timedelta(hours=1)


def test_the_pictures_offset_comes_before_the_longitude():
    frames = [frame_with(0), frame_with(1, offset_min=-210), frame_with(2, lat=0.0, lon=90.0)]
    assert offset_of(zone_of(frames, Options())) == timedelta(minutes=-210)


def test_an_offset_of_nought_is_an_offset():
    assert offset_of(zone_of([frame_with(offset_min=0)], Options(lat=0.0, lon=90.0))) == timedelta(0)


@pytest.mark.parametrize(
    ("lon", "hours"), [(0.0, 0), (7.0, 0), (8.0, 1), (90.0, 6), (-75.0, -5), (180.0, 12), (-180.0, -12)]
)
def test_without_a_zone_the_longitude_gives_the_hours(lon, hours):
    # The sun moves 15 degrees of longitude in an hour.
    assert offset_of(zone_of([], Options(lat=10.0, lon=lon))) == timedelta(hours=hours)


def test_without_zone_offset_and_place_there_is_no_zone():
    assert zone_of([frame_with()], Options()) is None


@pytest.mark.parametrize("text", ["Nowhere/Atall", "+25:00", "", "half past"])
def test_a_zone_that_is_none_is_the_users_mistake(text):
    with pytest.raises(UsageError, match="zone"):
        zone_of([], Options(tz=text))


def test_greenwich_time_may_be_named():
    assert zone_of([], Options(tz="Z")) is UTC
