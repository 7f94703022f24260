"""Exif values: damaged, absurd and missing ones. The standard's own tables are in `tests/checks`."""

import random
from datetime import datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL.TiffImagePlugin import IFDRational

from tests import factories_files as files
from triage.ingest.exif import capture_of, parse_offset, parse_time, read_tags
from triage.ingest.jpeg import read_outline
from triage.records.frame import Capture

NIGHT = datetime(2026, 10, 3, 22, 14, 5)


def capture_from(block) -> Capture:
    data = files.jpeg(files.scene(40, 60), block)
    tiff = read_outline(lambda offset, count: data[offset : offset + count]).exif or b""
    return capture_of(read_tags(lambda offset, count: tiff[offset : offset + count]))


@settings(deadline=None)
@given(st.datetimes(datetime(1990, 1, 1), datetime(2100, 12, 31)))
def test_every_time_a_camera_can_write_is_read_back(moment):
    assert parse_time(moment.strftime("%Y:%m:%d %H:%M:%S"), f"{moment.microsecond:06d}") == moment


@settings(deadline=None)
@given(st.integers(0, 10**9 - 1))
def test_longer_fractions_keep_their_first_six_digits(nanoseconds):
    moment = parse_time("2026:10:03 22:14:05", f"{nanoseconds:09d}")

    assert moment is not None
    assert moment.microsecond == nanoseconds // 1000


# Source: Exif writes blanks for an unknown time (from memory); the others are cameras' defaults and damage.
@pytest.mark.parametrize(
    "text",
    [
        None,
        "",
        "    :  :     :  :  ",
        "0000:00:00 00:00:00",
        "2026:13:01 00:00:00",
        "2026:02:30 10:00:00",
        "1980:01:01 00:00:00",
        "2101:01:01 00:00:00",
        "2026:10:03 24:00:00",
        "2026:10:03 10:61:00",
        "yesterday",
        "2026:10:03",
        "2026:10:03 10:00:61",
    ],
)
def test_absurd_times_are_no_times(text):
    assert parse_time(text) is None


def test_a_leap_second_is_the_next_second():
    assert parse_time("2016:12:31 23:59:60") == datetime(2017, 1, 1)


def test_the_time_of_the_exposure_goes_before_the_time_of_editing():
    block = files.exif_block("2026:10:03 22:14:05", main={0x0132: "2026:10:09 09:00:00"})

    assert capture_from(block).taken == NIGHT


def test_an_absurd_exposure_time_gives_way_to_the_next_best():
    block = files.exif_block("0000:00:00 00:00:00", exif={0x9004: "2026:10:03 22:14:05"})

    assert capture_from(block).taken == NIGHT


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("+02:00", 120),
        ("-03:30", -210),
        ("+00:00", 0),
        ("+14:00", 840),
        ("+15:00", None),
        ("   :  ", None),
        (None, None),
        ("+05:75", None),
    ],
)
def test_offsets_are_minutes_east(text, minutes):
    assert parse_offset(text) == minutes


def test_the_offset_is_read_from_the_file():
    assert capture_from(files.exif_block(NIGHT, exif={0x9011: "+02:00"})).offset_min == 120


def test_the_figures_of_the_exposure_are_read():
    exif = {
        0x829A: IFDRational(1, 200),
        0x829D: IFDRational(8, 1),
        0x8827: 400,
        0x920A: IFDRational(35, 1),
        0xA405: 52,
        0xA431: "  042\0",
        0x9400: IFDRational(-65, 10),
    }

    capture = capture_from(files.exif_block(NIGHT, exif=exif))

    assert (capture.exposure_s, capture.f_number, capture.iso) == (0.005, 8.0, 400.0)
    assert (capture.focal_mm, capture.focal35_mm) == (35.0, 52.0)
    assert (capture.make, capture.model, capture.serial) == (files.MAKER, files.MODEL, "042")
    assert capture.temperature_c == pytest.approx(-6.5)


# Source: APEX, Tv = -log2 t and Av = 2 log2 N.
def test_apex_values_stand_in_for_missing_ones():
    capture = capture_from(
        files.exif_block(NIGHT, exif={0x9201: IFDRational(8, 1), 0x9202: IFDRational(6, 1)})
    )

    assert capture.exposure_s == pytest.approx(1 / 256)
    assert capture.f_number == pytest.approx(8.0)


def test_a_speed_too_large_for_its_tag_comes_from_the_newer_one():
    assert capture_from(files.exif_block(NIGHT, exif={0x8827: 65535, 0x8832: 102400})).iso == 102400


@pytest.mark.parametrize(
    ("exif", "field"),
    [
        ({0x829A: IFDRational(0, 0)}, "exposure_s"),
        ({0x829D: IFDRational(0, 1)}, "f_number"),
        ({0x8827: 0}, "iso"),
        ({0xA405: 0}, "focal35_mm"),
        ({0x9400: IFDRational(9999, 1)}, "temperature_c"),
        ({0xA431: " \0"}, "serial"),
    ],
)
def test_zeros_and_unknowns_are_none(exif, field):
    assert getattr(capture_from(files.exif_block(NIGHT, exif=exif)), field) is None


# Source: CIPA DC-008 (Exif 2.32), FocalPlaneXResolution: pixels per FocalPlaneResolutionUnit (2 inch, 3 cm) in the
# width of the picture; the arithmetic is done here by hand: 885 / 1000 inch is 22.479 mm.
@pytest.mark.parametrize(
    ("orientation", "unit", "expected"),
    [(1, 2, (22.479, 14.986)), (6, 2, (14.986, 22.479)), (1, 3, (8.85, 5.9)), (1, 9, None)],
)
def test_the_sensor_is_measured_by_the_density_of_its_pixels(orientation, unit, expected):
    exif = {
        0xA002: 3504,
        0xA003: 2336,
        0xA20E: IFDRational(3504000, 885),
        0xA20F: IFDRational(2336000, 590),
        0xA210: unit,
    }
    found = capture_from(files.exif_block(NIGHT, main={0x0112: orientation}, exif=exif)).sensor_mm
    assert found == (None if expected is None else pytest.approx(expected, abs=0.001))


def test_a_sensor_of_absurd_size_is_none():
    exif = {0xA002: 6000, 0xA003: 4000, 0xA20E: IFDRational(10, 1), 0xA20F: IFDRational(10, 1), 0xA210: 2}
    assert capture_from(files.exif_block(NIGHT, exif=exif)).sensor_mm is None


# Source: CIPA DC-008 (Exif 2.32), SubjectDistance in metres; numerator FFFFFFFF is infinity, 0 unknown.
@pytest.mark.parametrize(
    ("value", "expected"), [((35, 10), 3.5), ((0xFFFFFFFF, 1), None), ((0, 1), None), ((1, 0), None)]
)
def test_the_distance_focused_at_is_read_where_it_is_told(value, expected):
    assert capture_from(files.exif_block(NIGHT, exif={0x9206: IFDRational(*value)})).distance_m == expected


def gps(lat, lon, lat_side="N", lon_side="E"):
    return {
        1: lat_side,
        2: tuple(IFDRational(*part) for part in lat),
        3: lon_side,
        4: tuple(IFDRational(*part) for part in lon),
    }


def test_a_place_is_read_in_degrees_north_and_east():
    block = files.exif_block(
        NIGHT, gps=gps([(12, 1), (30, 1), (36, 1)], [(45, 1), (15, 1), (0, 1)], "S", "W")
    )

    capture = capture_from(block)

    assert (capture.lat, capture.lon) == (pytest.approx(-12.51), pytest.approx(-45.25))


@pytest.mark.parametrize(
    "place",
    [
        gps([(0, 1)] * 3, [(0, 1)] * 3),
        gps([(0, 0)] * 3, [(0, 0)] * 3),
        gps([(95, 1), (0, 1), (0, 1)], [(1, 1)] * 3),
        {1: "N"},
    ],
)
def test_a_place_that_is_none_is_none(place):
    capture = capture_from(files.exif_block(NIGHT, gps=place))

    assert (capture.lat, capture.lon) == (None, None)


@pytest.mark.parametrize(("value", "expected"), [(1, 1), (6, 6), (8, 8), (0, 1), (9, 1), (65535, 1)])
def test_an_absurd_orientation_is_upright(value, expected):
    assert capture_from(files.exif_block(NIGHT, main={0x0112: value})).orientation == expected


def test_no_tags_give_an_empty_capture():
    assert capture_of({}) == Capture()


def test_an_endless_block_is_given_up():
    """A directory that claims 65,535 entries of 999 values would take hours to read."""
    entry = (
        (0x9999).to_bytes(2, "little") + (3).to_bytes(2, "little") + (999).to_bytes(4, "little") + bytes(4)
    )
    block = b"II*\0\x08\0\0\0\xff\xff" + entry * 65535

    assert read_tags(lambda offset, count: block[offset : offset + count]) == {}


@given(st.integers(0, 2**32 - 1))
@settings(deadline=None)
def test_damaged_blocks_never_raise(seed):
    """Change some bytes of a sound block: whatever is read, nothing is raised and ranges hold."""
    block = bytearray(files.exif_block(NIGHT, subsec="12", exif={0x829A: IFDRational(1, 200)}).tobytes()[6:])
    rng = random.Random(seed)  # noqa: S311 - not for secrets
    for _ in range(rng.randint(1, 6)):
        block[rng.randrange(len(block))] = rng.randrange(256)

    capture = capture_of(read_tags(lambda offset, count: bytes(block[offset : offset + count])))

    assert 1 <= capture.orientation <= 8
    assert capture.taken is None or 1990 <= capture.taken.year <= 2100
    assert capture.exposure_s is None or np.isfinite(capture.exposure_s)


def test_nothing_is_printed_for_a_damaged_block(capsys, caplog):
    for block in (b"II*\0\xff\xff\0\0", b"nonsense"):
        read_tags(lambda offset, count, block=block: block[offset : offset + count])

    assert capsys.readouterr() == ("", "")
    assert not caplog.records
