"""The tags of an Exif block as they stand there, beside another reader of Exif."""

import io
import math
import struct
from fractions import Fraction

import exifread
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triage.ingest.tags import read_tags

SIGNS = {"<": b"II*\0", ">": b"MM\0*"}
ASCII, SHORT, LONG, RATIONAL, SIGNED_RATIONAL, DOUBLE = 2, 3, 4, 5, 10, 12
EXIF_IFD, GPS_IFD = 0x8769, 0x8825
ORIENTATION, MAKE, EXPOSURE, BIAS, ISO = 0x0112, 0x010F, 0x829A, 0x9204, 0x8827


def block_of(order: str, main: dict, exif: dict | None = None, gps: dict | None = None) -> bytes:
    """Build a block by hand: each value as (type, count, its bytes)."""
    found = bytearray(SIGNS[order] + struct.pack(order + "I", 8))
    pointed = [(tag, inner) for tag, inner in ((EXIF_IFD, exif), (GPS_IFD, gps)) if inner is not None]
    places = _directory(found, order, main, [tag for tag, _inner in pointed])
    for (_tag, inner), place in zip(pointed, places, strict=True):
        found[place : place + 4] = struct.pack(order + "I", len(found))
        _directory(found, order, inner, [])
    return bytes(found)


def _directory(found: bytearray, order: str, values: dict, pointers: list[int]) -> list[int]:
    """Add a directory and its values; return where the pointers have to be written."""
    start, count = len(found), len(values) + len(pointers)
    found += struct.pack(order + "H", count) + bytes(12 * count + 4)
    places = []
    entries = [*values.items(), *((tag, (LONG, 1, bytes(4))) for tag in pointers)]
    for number, (tag, (kind, length, data)) in enumerate(entries):
        at = start + 2 + 12 * number
        inline = data.ljust(4, b"\0")
        if len(data) > 4:
            inline = struct.pack(order + "I", len(found))
            found += data
        found[at : at + 12] = struct.pack(order + "HHI4s", tag, kind, length, inline)
        if tag in pointers:
            places.append(at + 8)
    return places


def reading(block: bytes):
    return lambda offset, count: block[offset : offset + count]


def shorts(order: str, *numbers: int) -> tuple[int, int, bytes]:
    return SHORT, len(numbers), struct.pack(f"{order}{len(numbers)}H", *numbers)


def ratio(order: str, above: int, below: int, *, signed: bool = False) -> tuple[int, int, bytes]:
    kind, code = (SIGNED_RATIONAL, "i") if signed else (RATIONAL, "I")
    return kind, 1, struct.pack(f"{order}2{code}", above, below)


@pytest.mark.source("library", "ExifRead 3")
@pytest.mark.parametrize("order", ["<", ">"])
@given(
    turned=st.integers(0, 65535),
    make=st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=30),
    above=st.integers(0, 2**32 - 1),
    below=st.integers(1, 2**32 - 2),
    bias=st.integers(-(2**31), 2**31 - 1),
    isos=st.lists(st.integers(0, 65535), min_size=1, max_size=4),
)
@settings(deadline=None)
def test_another_reader_finds_the_same_values(order, turned, make, above, below, bias, isos):
    text = make.encode("ascii") + b"\0"
    main = {ORIENTATION: shorts(order, turned), MAKE: (ASCII, len(text), text)}
    exif = {
        EXPOSURE: ratio(order, above, below),
        BIAS: ratio(order, bias, 3, signed=True),
        ISO: shorts(order, *isos),
    }
    gps = {2: (RATIONAL, 3, struct.pack(order + "6I", 48, 1, 30, 1, 1234, 100))}
    block = block_of(order, main, exif, gps)
    theirs = exifread.process_file(io.BytesIO(block), details=False)

    ours = read_tags(reading(block))

    assert ours["main", ORIENTATION] == theirs["Image Orientation"].values
    assert ours["main", MAKE] == theirs["Image Make"].values
    assert ours["main", ISO] == theirs["EXIF ISOSpeedRatings"].values
    for key, name in (
        (("main", EXPOSURE), "EXIF ExposureTime"),
        (("main", BIAS), "EXIF ExposureBiasValue"),
        (("gps", 2), "GPS GPSLatitude"),
    ):
        assert ours[key] == pytest.approx([float(Fraction(one)) for one in theirs[name].values])


def test_the_first_directory_counts_before_the_one_for_exif():
    block = block_of("<", {ISO: shorts("<", 400)}, {ISO: shorts("<", 800)})
    assert read_tags(reading(block))["main", ISO] == [400.0]


@pytest.mark.parametrize("below", [0, 0xFFFFFFFF])
def test_a_quotient_without_a_divisor_is_no_number(below):
    block = block_of(">", {EXPOSURE: ratio(">", 1, below)})
    (value,) = read_tags(reading(block))["main", EXPOSURE]
    assert math.isnan(value)


def test_a_block_of_places_only_is_told_as_such():
    block = block_of("<", {1: (ASCII, 2, b"N\0")})
    assert read_tags(reading(block), gps_only=True) == {("gps", 1): "N"}


def test_text_that_is_not_ascii_is_read_as_utf_8_or_else_letter_by_letter():
    for data in ("Fotofällen".encode(), "Fotofällen".encode("latin-1")):
        block = block_of("<", {MAKE: (ASCII, len(data), data)})
        assert read_tags(reading(block))["main", MAKE] == "Fotofällen"


def test_floating_point_numbers_are_read_as_such():
    block = block_of(">", {0x9400: (DOUBLE, 1, struct.pack(">d", -4.5))})
    assert read_tags(reading(block))["main", 0x9400] == [-4.5]


def test_what_lies_beyond_the_end_is_left_out_and_the_rest_stays():
    block = block_of("<", {ORIENTATION: shorts("<", 6), ISO: shorts("<", 100, 200, 300)})
    tags = read_tags(reading(block[:-3]))
    assert tags["main", ORIENTATION] == [6.0]
    assert tags["main", ISO] == [100.0]


@pytest.mark.parametrize(
    "block", [b"", b"II", b"II*\0", b"nonsense", b"II*\0\xff\xff\0\0", b"MM\0*\0\0\0\x08"]
)
def test_no_block_has_no_tags(block):
    assert read_tags(reading(block)) == {}


def test_unknown_types_and_long_tables_are_stepped_over():
    long = struct.pack("<1000H", *range(1000))
    block = block_of("<", {0x9999: (99, 1, b"\0"), 0x9998: (SHORT, 1000, long), ORIENTATION: shorts("<", 3)})
    assert read_tags(reading(block)) == {("main", ORIENTATION): [3.0]}
