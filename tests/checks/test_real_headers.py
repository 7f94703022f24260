"""Real camera files: what the program reads of them against two independent readers, field by field.

The files are the collection ianare/exif-samples (CC BY-SA 4.0). Where a reader says something else, the reason stands
in `EXPLAINED`; a difference that none of them explains, or one that no longer occurs, fails.
"""

import math
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import pytest

from triage.ingest.card import list_card
from triage.ingest.header import read_header

pytestmark = [
    pytest.mark.source("data", "ianare/exif-samples (CC BY-SA 4.0), 68 files of many makers"),
    pytest.mark.source(
        "standard", "CIPA DC-008 (Exif 2.32): tags, types and defaults of every field compared"
    ),
]

# Field of the program: ExifTool's name, exiv2's key.
FIELDS = {
    "taken": ("DateTimeOriginal", "Exif.Photo.DateTimeOriginal"),
    "fraction": ("SubSecTimeOriginal", "Exif.Photo.SubSecTimeOriginal"),
    "offset_min": ("OffsetTimeOriginal", "Exif.Photo.OffsetTimeOriginal"),
    "exposure_s": ("ExposureTime", "Exif.Photo.ExposureTime"),
    "f_number": ("FNumber", "Exif.Photo.FNumber"),
    "iso": ("ISO", "Exif.Photo.ISOSpeedRatings"),
    "flash": ("Flash", "Exif.Photo.Flash"),
    "focal_mm": ("FocalLength", "Exif.Photo.FocalLength"),
    "focal35_mm": ("FocalLengthIn35mmFormat", "Exif.Photo.FocalLengthIn35mmFilm"),
    "orientation": ("Orientation", "Exif.Image.Orientation"),
    "make": ("Make", "Exif.Image.Make"),
    "model": ("Model", "Exif.Image.Model"),
    "serial": ("SerialNumber", "Exif.Photo.BodySerialNumber"),
    "temperature_c": ("AmbientTemperature", "Exif.Photo.AmbientTemperature"),
    "distance_m": ("SubjectDistance", "Exif.Photo.SubjectDistance"),
    "lat": ("GPSLatitude", "Exif.GPSInfo.GPSLatitude"),
    "lon": ("GPSLongitude", "Exif.GPSInfo.GPSLongitude"),
}
WORDS = {"taken", "offset_min", "make", "model", "serial"}

Told = dict[str, Any]


@dataclass(frozen=True)
class Explanation:
    """Why fields of some files differ: all of them, and no others, must bear it out.

    Attributes
    ----------
    why : str
        In words.
    fields : tuple of str
        Which may differ for it.
    holds : callable
        Whether it is so, from the program's value, the field and what ExifTool says of the file.
    count : int
        How many there are.
    """

    why: str
    fields: tuple[str, ...]
    holds: Callable[[Any, str, Told], bool]
    count: int


APEX = {"exposure_s": "ShutterSpeedValue", "f_number": "ApertureValue"}

EXPLAINED = (
    Explanation(
        "the tag is absent; the program takes the standard's default, 1, for upright",
        ("orientation",),
        lambda mine, _field, told: mine == 1 and "Orientation" not in told,
        11,
    ),
    Explanation(
        "the file holds only the APEX value, of which the program works out time or aperture, as ExifTool does too",
        ("exposure_s", "f_number"),
        lambda mine, field, told: math.isclose(mine, float(told[APEX[field]]), rel_tol=1e-6),
        8,
    ),
    Explanation(
        "the file holds no time of exposure; the program falls back on DateTime (0x0132), the time of the last change",
        ("taken",),
        lambda mine, _field, told: mine == told["ModifyDate"],
        4,
    ),
    Explanation(
        "the tag holds 9969, with bits beyond the standard's; both readers hand it on, the program takes none of it",
        ("flash",),
        lambda mine, _field, told: mine is None and told["Flash"] > 0xFF,
        1,
    ),
)


@pytest.fixture(scope="module")
def root(real) -> Path:
    return real("exif")


@pytest.fixture(scope="module")
def captures(root):
    return {group[0].name: read_header(root, group).capture for group in list_card(root).groups}


def ours(capture) -> dict[str, Any]:
    """Give the program's fields in the readers' form."""
    fields = asdict(capture)
    moment = capture.taken
    return {
        **fields,
        "taken": moment and f"{moment:%Y:%m:%d %H:%M:%S}",
        "fraction": moment.microsecond / 1e6 if moment and moment.microsecond else None,
        "flash": capture.flash,
    }


def number(text: str) -> float | None:
    """Read a number or a fraction as exiv2 prints it; what divides by zero is none."""
    above, _, below = text.partition("/")
    try:
        return float(above) / float(below or 1)
    except (ValueError, ZeroDivisionError):
        return None


def exiv2_value(field: str, told: dict[str, str]) -> Any:
    """Read one field of what exiv2 prints."""
    key = FIELDS[field][1]
    text = told.get(key, "").strip()
    if field in WORDS or not text:
        return text or None
    if field == "fraction":
        return float(f"0.{text}") or None
    if field in {"lat", "lon"}:
        degrees, minutes, seconds = (number(part) for part in text.split())
        if degrees is None or minutes is None or seconds is None:
            return None
        value = degrees + minutes / 60 + seconds / 3600
        return -value if told[f"{key}Ref"].strip() in {"S", "W"} else value
    return number(text.split()[0])


def exiftool_value(field: str, told: dict[str, Any]) -> Any:
    """Read one field of what ExifTool prints; it says a division by zero in a word."""
    value = told.get(FIELDS[field][0])
    if field == "fraction" and value is not None:
        return float(f"0.{value}") or None
    if field in WORDS and isinstance(value, str):
        return value.strip() or None
    return None if value in {"undef", "inf", "", 0} and field != "flash" else value


def differences(captures, told, read: Callable[[str, Any], Any]) -> set[tuple[str, str]]:
    """Compare every field of every file."""
    found = set()
    for name, capture in captures.items():
        mine = ours(capture)
        for field in FIELDS:
            theirs = read(field, told[name])
            if isinstance(theirs, float | int) and isinstance(mine[field], float | int):
                same = math.isclose(theirs, mine[field], rel_tol=1e-6)
            else:
                same = (theirs if theirs is None else str(theirs)) == mine[field]
            if not same:
                found.add((name, field))
    return found


@pytest.fixture(scope="module")
def by_exiftool(root, captures, exiftool):
    words = ["-n", *(f"-EXIF:{tag}" for tag, _ in FIELDS.values() if not tag.startswith("GPS"))]
    words += ["-Composite:GPSLatitude", "-Composite:GPSLongitude", "-File:ImageWidth", "-File:ImageHeight"]
    words += ["-EXIF:ShutterSpeedValue", "-EXIF:ApertureValue", "-EXIF:ModifyDate", "-Composite:LightValue"]
    told = exiftool(words, [root / name for name in captures])
    return dict(zip(captures, told, strict=True))


@pytest.mark.source("tool", "ExifTool 12.57")
def test_every_field_is_what_exiftool_reads_but_for_what_is_explained(captures, by_exiftool, record_property):
    found = differences(captures, by_exiftool, exiftool_value)
    record_property("table", check_explained(found, captures, by_exiftool, "ExifTool"))


@pytest.mark.source("tool", "exiv2 0.27.6")
def test_every_field_is_what_exiv2_reads_but_for_what_is_explained(
    root, captures, by_exiftool, exiv2, record_property
):
    told = exiv2("Ekv", [root / name for name in captures])
    found = differences(captures, told, exiv2_value)
    record_property("table", check_explained(found, captures, by_exiftool, "exiv2"))


def check_explained(found, captures, by_exiftool, reader: str) -> str:
    """Hold every difference against the explanations; return them as a table."""
    lines = [f"Real headers: {len(captures) * len(FIELDS)} fields of {len(captures)} files against {reader}"]
    left = set(found)
    for each in EXPLAINED:
        here = {
            (name, field)
            for name, field in left
            if field in each.fields and each.holds(ours(captures[name])[field], field, by_exiftool[name])
        }
        left -= here
        assert len(here) == each.count, each.why
        lines.append(f"{len(here):>5} differ ({', '.join(each.fields)}): {each.why}")
    assert not left
    return "\n".join(lines)


@pytest.mark.source("tool", "ExifTool 12.57, File:ImageWidth and ImageHeight, turned by the orientation")
def test_every_size_is_what_exiftool_reads(captures, by_exiftool):
    for name, capture in captures.items():
        stored = (by_exiftool[name]["ImageWidth"], by_exiftool[name]["ImageHeight"])
        assert (capture.width, capture.height) == (stored[::-1] if capture.orientation >= 5 else stored), name


@pytest.mark.source("tool", "ExifTool 12.57, Composite:LightValue")
@pytest.mark.source("law", "Ev = log2(N^2 / t), brought to ISO 100 by log2(S / 100) (APEX)")
def test_every_exposure_value_is_what_exiftool_composes(captures, by_exiftool):
    composed = {name: told["LightValue"] for name, told in by_exiftool.items() if "LightValue" in told}
    compared = set()
    for name, value in composed.items():
        capture = captures[name]
        if capture.exposure_s and capture.f_number and capture.iso:
            mine = math.log2(capture.f_number**2 / capture.exposure_s * 100 / capture.iso)
            assert mine == pytest.approx(value, abs=1e-3), name
            compared.add(name)
    # For the others it takes the speed out of the maker's own notes, whose form is the maker's and not read here.
    assert not any("ISO" in by_exiftool[name] for name in composed.keys() - compared)
    assert (len(compared), len(composed)) == (30, 34)
