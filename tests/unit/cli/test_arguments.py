"""What the words of a command mean."""

import argparse
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.cli.arguments import (
    add_night_options,
    latitude,
    longitude,
    night_options,
    setup_window,
    zone,
)
from triage.errors import UsageError
from triage.records.night import Window
from triage.records.result import Options


def parsed(*words: str) -> Options:
    parser = argparse.ArgumentParser()
    add_night_options(parser)
    return night_options(parser.parse_args(words))


@given(
    start=st.datetimes(),
    length=st.timedeltas(min_value=timedelta(microseconds=1), max_value=timedelta(days=30)),
)
def test_any_interval_written_in_iso_8601_reads_back_as_itself(start: datetime, length: timedelta) -> None:
    try:
        end = start + length
    except OverflowError:
        return
    assert setup_window(f"{start.isoformat()}/{end.isoformat()}") == Window(start, end)


def test_the_contracts_own_interval_is_read() -> None:
    window = setup_window("2026-10-03T17:25/2026-10-03T18:10")
    assert window == Window(datetime(2026, 10, 3, 17, 25), datetime(2026, 10, 3, 18, 10))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2026-10-03T17:25", "START/END"),
        ("", "START/END"),
        ("2026-10-03T17:25/", "not a date and time"),
        ("/2026-10-03T17:25", "not a date and time"),
        ("2026-10-03T17:25/soon", "'soon'"),
        ("2026-10-03T25:00/2026-10-04T01:00", "2026-10-03T25:00"),
        ("2026-02-30T10:00/2026-03-01T10:00", "2026-02-30"),
        ("2026-10-03/2026-10-04", "joined by T"),
        ("2026-10-03 17:25/2026-10-03 18:10", "joined by T"),
        ("2026-10-03T18:10/2026-10-03T17:25", "ends before it starts"),
        ("2026-10-03T18:10/2026-10-03T18:10", "ends when it starts"),
        ("2026-10-03T17:25Z/2026-10-03T18:10Z", "time zone"),
        ("2026-10-03T17:25+02:00/2026-10-03T18:10+02:00", "time zone"),
        ("2026-10-03T17:25/2026-10-03T18:10/2026-10-03T19:10", "not a date and time"),
    ],
)
def test_a_setup_interval_that_makes_no_sense_is_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(argparse.ArgumentTypeError, match=said):
        setup_window(text)


@pytest.mark.parametrize("text", ["-90", "90", "0", "-33.9", "5e1"])
def test_latitudes_within_the_globe_are_read(text: str) -> None:
    assert latitude(text) == float(text)


@pytest.mark.parametrize("text", ["90.01", "-91", "nan", "inf", "north", "", "51,5"])
def test_other_latitudes_are_refused(text: str) -> None:
    with pytest.raises(argparse.ArgumentTypeError, match="north positive"):
        latitude(text)


@pytest.mark.parametrize("text", ["180.5", "-181", "nan", "W"])
def test_longitudes_off_the_globe_are_refused(text: str) -> None:
    assert longitude("-180") == -180
    with pytest.raises(argparse.ArgumentTypeError, match="east positive"):
        longitude(text)


def test_a_zone_is_checked_and_kept_as_written() -> None:
    assert zone("Europe/Berlin") == "Europe/Berlin"
    assert zone("+01:00") == "+01:00"
    with pytest.raises(argparse.ArgumentTypeError, match="Nowhere/Town"):
        zone("Nowhere/Town")


@pytest.mark.parametrize("words", [("--lat", "51"), ("--lon", "7")])
def test_half_a_place_is_refused(words: tuple[str, str]) -> None:
    with pytest.raises(UsageError, match="needs"):
        parsed(*words)


def test_nothing_said_is_nothing_assumed() -> None:
    assert parsed() == Options()


def test_all_that_was_said_arrives_with_the_windows_in_order() -> None:
    options = parsed(
        "--setup", "2026-10-04T07:00/2026-10-04T07:30",
        "--setup", "2026-10-03T17:25/2026-10-03T18:10",
        "--lat", "-33.5", "--lon", "18", "--tz", "+02:00", "--flashes", "2", "--site", "ford",
        "--distance", "3.5",
    )  # fmt: skip
    assert [window.start.day for window in options.setup] == [3, 4]
    assert (options.lat, options.lon, options.tz) == (-33.5, 18, "+02:00")
    assert (options.flashes, options.site, options.distance_m) == (2, "ford", 3.5)


@pytest.mark.parametrize("metres", ["0", "-2", "nan", "101", "near"])
def test_a_distance_is_a_few_metres(metres: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as leaving:
        parsed("--distance", metres)
    assert leaving.value.code == 2
    assert "3.5" in capsys.readouterr().err


@pytest.mark.parametrize("number", ["0", "4", "two"])
def test_a_rig_has_one_to_three_flashes(number: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as leaving:
        parsed("--flashes", number)
    assert leaving.value.code == 2
    assert "--flashes" in capsys.readouterr().err
