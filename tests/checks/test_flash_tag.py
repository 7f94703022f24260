"""The Flash tag, against the standard's bits and two independent readers of the same files."""

from datetime import datetime

import pytest

from tests import factories_files as files
from triage.ingest.card import list_card
from triage.ingest.header import read_header

NIGHT = datetime(2026, 10, 3, 22, 14, 5)

# Value: (fired, strobe return, mode, no flash function, red-eye), then what the two programs print for it.
# The bits: CIPA DC-008 (Exif 2.32), table of the tag Flash (0x9209). Values 8, 20, 48, 80 and 88 stand in the two
# programs' own tables and, from memory, not in the standard's list.
FLASH = {
    0: ((0, 0, 0, 0, 0), "No Flash", "No flash"),
    1: ((1, 0, 0, 0, 0), "Fired", "Fired"),
    5: ((1, 2, 0, 0, 0), "Fired, Return not detected", "Fired, return light not detected"),
    7: ((1, 3, 0, 0, 0), "Fired, Return detected", "Fired, return light detected"),
    8: ((0, 0, 1, 0, 0), "On, Did not fire", "Yes, did not fire"),
    9: ((1, 0, 1, 0, 0), "On, Fired", "Yes, compulsory"),
    13: ((1, 2, 1, 0, 0), "On, Return not detected", "Yes, compulsory, return light not detected"),
    15: ((1, 3, 1, 0, 0), "On, Return detected", "Yes, compulsory, return light detected"),
    16: ((0, 0, 2, 0, 0), "Off, Did not fire", "No, compulsory"),
    20: ((0, 2, 2, 0, 0), "Off, Did not fire, Return not detected", "No, did not fire, return light not detected"),
    24: ((0, 0, 3, 0, 0), "Auto, Did not fire", "No, auto"),
    25: ((1, 0, 3, 0, 0), "Auto, Fired", "Yes, auto"),
    29: ((1, 2, 3, 0, 0), "Auto, Fired, Return not detected", "Yes, auto, return light not detected"),
    31: ((1, 3, 3, 0, 0), "Auto, Fired, Return detected", "Yes, auto, return light detected"),
    32: ((0, 0, 0, 1, 0), "No flash function", "No flash function"),
    48: ((0, 0, 2, 1, 0), "Off, No flash function", "(48)"),
    65: ((1, 0, 0, 0, 1), "Fired, Red-eye reduction", "Yes, red-eye reduction"),
    69: (
        (1, 2, 0, 0, 1),
        "Fired, Red-eye reduction, Return not detected",
        "Yes, red-eye reduction, return light not detected",
    ),
    71: (
        (1, 3, 0, 0, 1),
        "Fired, Red-eye reduction, Return detected",
        "Yes, red-eye reduction, return light detected",
    ),
    73: ((1, 0, 1, 0, 1), "On, Red-eye reduction", "Yes, compulsory, red-eye reduction"),
    77: (
        (1, 2, 1, 0, 1),
        "On, Red-eye reduction, Return not detected",
        "Yes, compulsory, red-eye reduction, return light not detected",
    ),
    79: (
        (1, 3, 1, 0, 1),
        "On, Red-eye reduction, Return detected",
        "Yes, compulsory, red-eye reduction, return light detected",
    ),
    80: ((0, 0, 2, 0, 1), "Off, Red-eye reduction", "No, red-eye reduction"),
    88: ((0, 0, 3, 0, 1), "Auto, Did not fire, Red-eye reduction", "No, auto, red-eye reduction"),
    89: ((1, 0, 3, 0, 1), "Auto, Fired, Red-eye reduction", "Yes, auto, red-eye reduction"),
    93: (
        (1, 2, 3, 0, 1),
        "Auto, Fired, Red-eye reduction, Return not detected",
        "Yes, auto, red-eye reduction, return light not detected",
    ),
    95: (
        (1, 3, 3, 0, 1),
        "Auto, Fired, Red-eye reduction, Return detected",
        "Yes, auto, red-eye reduction, return light detected",
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def card(tmp_path_factory):
    """Give a card with one picture for each value; the file's number is the value plus 1."""
    root = tmp_path_factory.mktemp("flash")
    for value in FLASH:
        block = files.exif_block(NIGHT, exif={0x9209: value})
        files.put(root, f"DCIM/100NIGHT/NGT_{value + 1:04d}.JPG", files.jpeg(files.scene(16, 24), block))
    return root


@pytest.fixture(scope="module")
def told(card):
    """Give the tag as the program reads it, by the value written."""
    found = {}
    for group in list_card(card).groups:
        capture = read_header(card, group).capture
        found[capture.file_number - 1] = capture.flash
    return found


def paths(card):
    return [card / f"DCIM/100NIGHT/NGT_{value + 1:04d}.JPG" for value in FLASH]


@pytest.mark.source("standard", "CIPA DC-008 (Exif 2.32), tag Flash 0x9209: bits 0, 1-2, 3-4, 5 and 6")
@pytest.mark.parametrize(("value", "fields"), [(value, row[0]) for value, row in FLASH.items()])
def test_every_value_of_the_table_is_read_with_its_bits(told, value, fields):
    fired, returned, mode, absent, red_eye = fields
    assert told[value] == fired | returned << 1 | mode << 3 | absent << 5 | red_eye << 6


@pytest.mark.source("tool", "ExifTool 12.57, EXIF:Flash in numbers and in words")
def test_exiftool_reads_the_same_values_and_names_them_as_the_table_does(card, told, exiftool):
    numbers = exiftool(["-n", "-EXIF:Flash"], paths(card))
    words = exiftool(["-EXIF:Flash"], paths(card))
    assert [one["Flash"] for one in numbers] == [told[value] for value in FLASH]
    assert [one["Flash"] for one in words] == [row[1] for row in FLASH.values()]


@pytest.mark.source("tool", "exiv2 0.27.6, Exif.Photo.Flash in numbers and in words")
def test_exiv2_reads_the_same_values_and_names_them_as_the_table_does(card, told, exiv2):
    numbers, words = exiv2("Ekv", paths(card)), exiv2("Ekt", paths(card))
    key = "Exif.Photo.Flash"
    assert [int(numbers[path.name][key]) for path in paths(card)] == [told[value] for value in FLASH]
    assert [words[path.name][key] for path in paths(card)] == [row[2] for row in FLASH.values()]
