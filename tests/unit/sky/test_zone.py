"""Zones as people type them."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from triage.sky.zone import parse_zone


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("+01:00", 60),
        ("-03:30", -210),
        ("+5:45", 345),
        ("+0530", 330),
        ("+1", 60),
        ("UTC+2", 120),
        (" -11:00 ", -660),
    ],
)
def test_offset_is_understood(text, minutes):
    assert parse_zone(text).utcoffset(None) == timedelta(minutes=minutes)


@pytest.mark.parametrize("text", ["Z", "z", "UTC"])
def test_z_means_utc(text):
    assert parse_zone(text) is UTC


def test_typographic_minus_is_a_minus():
    assert parse_zone("\N{MINUS SIGN}03:30").utcoffset(None) == timedelta(minutes=-210)


def test_name_follows_summer_time():
    # European summer time begins on the last Sunday of March at 01:00 UTC (Directive 2000/84/EC).
    zone = parse_zone("Europe/Berlin")
    assert zone == ZoneInfo("Europe/Berlin")
    assert zone.utcoffset(datetime(2024, 3, 31, 1, 59)) == timedelta(hours=1)
    assert zone.utcoffset(datetime(2024, 3, 31, 3, 0)) == timedelta(hours=2)


@pytest.mark.parametrize(
    "text", ["", "Nowhere/Land", "+25:00", "+14:01", "01:00", "+01:75", "Europe", "../etc", "/etc/x"]
)
def test_anything_else_is_refused_in_words(text):
    with pytest.raises(ValueError, match=r"Europe/Berlin.*\+01:00.*Z"):
        parse_zone(text)
