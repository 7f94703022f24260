"""Exif tags to a `Capture`: every value checked, nothing raised for a damaged or absurd one."""

import logging
import math
import re
from collections.abc import Mapping
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any, BinaryIO, cast

import exifread

from triage.ingest.jpeg import Reader
from triage.records.frame import Capture

# The library warns on its own of every odd tag; what is odd here simply becomes None.
logging.getLogger("exifread").setLevel(logging.CRITICAL)

Tags = Mapping[tuple[str, int], Any]
"""Values by (``"main"`` or ``"gps"``, tag id): a str, or a list of int or Fraction."""

# Of 69 real JPEG headers none took more than 498 reads; raw files carry tables, and a damaged header may ask
# for millions.
_MOST_READS = 20_000
_DATE = re.compile(r"\s*(\d{4})[:/.-](\d{1,2})[:/.-](\d{1,2})[ T](\d{1,2}):(\d{2})(?::(\d{2}))?", re.ASCII)
_OFFSET = re.compile(r"([+-])(\d{2}):?(\d{2})", re.ASCII)
_FIRST_YEAR, _LAST_YEAR = 1990, 2100
_WIDEST_OFFSET_MIN = 14 * 60
_TIMES = ((0x9003, 0x9291, 0x9011), (0x9004, 0x9292, 0x9012), (0x0132, 0x9290, 0x9010))
_MM_PER_UNIT = {2: 25.4, 3: 10.0, 4: 1.0, 5: 0.001}  # FocalPlaneResolutionUnit: the standard has inch and cm
_LEAST_SENSOR_MM, _MOST_SENSOR_MM = 2.0, 70.0
_FARTHEST_M = 500.0  # farther means infinity, for which the standard has a number of its own
_ISO_TAGS = (0x8827, 0x8833, 0x8832, 0x8831)
_ISO_TOO_LARGE = 65535  # the tag holds 16 bits; a higher speed stands in the newer tags


class _View:
    """A TIFF block as exifread wants it: with the standard start, and a limit to the number of reads."""

    def __init__(self, at: Reader) -> None:
        order = at(0, 2)
        self._at = at
        self._start = order + (b"*\0" if order == b"II" else b"\0*")
        self._position = 0
        self._reads = 0

    def read(self, count: int = -1) -> bytes:
        self._reads += 1
        if self._reads > _MOST_READS:
            msg = "damaged metadata: too many values"
            raise ValueError(msg)
        data = self._at(self._position, count)
        if self._position < 4:
            data = (self._start[self._position :] + data[4 - self._position :])[: len(data)]
        self._position += len(data)
        return data

    def seek(self, offset: int, whence: int = 0) -> int:
        self._position = offset + (self._position if whence == 1 else 0)
        return self._position

    def tell(self) -> int:
        return self._position


def read_tags(at: Reader, *, gps_only: bool = False) -> dict[tuple[str, int], Any]:
    """Read the tags of an Exif block or of a raw file built like one.

    Parameters
    ----------
    at : callable
        Reads it; offset 0 is the byte-order sign.
    gps_only : bool, default False
        The block holds the GPS directory at its top, as some raw files keep it.

    Returns
    -------
    dict
        See `Tags`; empty for a block that cannot be read.
    """
    view = cast("BinaryIO", _View(at))
    try:
        found = exifread.process_file(view, details=False, extract_thumbnail=False, strict=False)
    except Exception:  # noqa: BLE001 - a damaged block makes the library fail in ways it does not name
        return {}
    tags: dict[tuple[str, int], Any] = {}
    for name, tag in found.items():
        group = name.partition(" ")[0]
        if group in {"Image", "EXIF", "GPS"} and hasattr(tag, "values"):
            place = "gps" if group == "GPS" or gps_only else "main"
            tags.setdefault((place, tag.tag), tag.values)
    return tags


def capture_of(
    tags: Tags, *, size: tuple[int, int] | None = None, turned: bool = True, file_number: int | None = None
) -> Capture:
    """Return what the camera recorded.

    Parameters
    ----------
    tags : mapping
        As `read_tags` returns them.
    size : (int, int), optional
        Width and height as the file itself says; what the tags say is used where it says nothing.
    turned : bool, default True
        Whether `size` is as stored, so that it has to be turned by the orientation.
    file_number : int, optional
        From the file's name.

    Returns
    -------
    Capture
        With None for all that is absent, unreadable or absurd.
    """
    taken, offset_min = _taken(tags)
    orientation = _orientation(tags)
    width, height = size or _size(tags) or (None, None)
    if turned and orientation >= 5:
        width, height = height, width
    lat, lon = _place(tags)
    return Capture(
        taken=taken,
        offset_min=offset_min,
        exposure_s=_exposure(tags),
        f_number=_f_number(tags),
        iso=_iso(tags),
        flash=_flash(tags),
        focal_mm=_above_zero(_number(tags, 0x920A)),
        focal35_mm=_above_zero(_number(tags, 0xA405)),
        orientation=orientation,
        width=width,
        height=height,
        make=_text(tags, 0x010F),
        model=_text(tags, 0x0110),
        serial=_text(tags, 0xA431) or _text(tags, 0xC62F),
        file_number=file_number,
        lat=lat,
        lon=lon,
        temperature_c=_temperature(tags),
        sensor_mm=_sensor(tags, turned=orientation >= 5),
        distance_m=_distance(tags),
    )


def _text(tags: Tags, tag: int) -> str | None:
    value = tags.get(("main", tag))
    if isinstance(value, bytes):
        value = value.decode("latin-1")
    if not isinstance(value, str):
        return None
    return "".join(letter for letter in value if letter.isprintable()).strip() or None


def _numbers(tags: Tags, tag: int, place: str = "main") -> list[float]:
    values = tags.get((place, tag))
    if not isinstance(values, list):
        return []
    return [_as_float(value) for value in values]


def _as_float(value: object) -> float:
    """Return a number; NaN for what is none, for a division by zero and for the sign of "unknown"."""
    if isinstance(value, tuple):  # exifread leaves floating-point fields as tuples of one
        value = value[0] if value else None
    if isinstance(value, Fraction):
        unknown = value.denominator in {0, -1, 0xFFFFFFFF}
        return math.nan if unknown else value.numerator / value.denominator
    return float(value) if isinstance(value, int | float) else math.nan


def _number(tags: Tags, tag: int, place: str = "main") -> float | None:
    values = _numbers(tags, tag, place)
    return values[0] if values and math.isfinite(values[0]) else None


def _above_zero(value: float | None) -> float | None:
    return value if value is not None and value > 0 else None


def _taken(tags: Tags) -> tuple[datetime | None, int | None]:
    """Return the first usable of the three times a camera writes, and its offset from UTC in minutes."""
    for time_tag, fraction_tag, offset_tag in _TIMES:
        moment = parse_time(_text(tags, time_tag), _text(tags, fraction_tag))
        if moment is not None:
            return moment, parse_offset(_text(tags, offset_tag))
    return None, None


def parse_time(text: str | None, fraction: str | None = None) -> datetime | None:
    """Read an Exif time.

    Parameters
    ----------
    text : str or None
        ``YYYY:MM:DD HH:MM:SS``.
    fraction : str or None
        Exif SubSecTime: the digits after the decimal point, any number of them ("5" is half a second). Digits
        after the sixth are dropped.

    Returns
    -------
    datetime or None
        None for blanks, zeros, impossible dates and years before 1990 or after 2100.
    """
    match = _DATE.match(text or "")
    if match is None:
        return None
    year, month, day, hour, minute, second = (int(part or 0) for part in match.groups())
    digits = re.match(r"\s*([0-9]+)", fraction or "", re.ASCII)
    microsecond = int(digits[1][:6].ljust(6, "0")) if digits else 0
    try:
        # Second 60 is a leap second in the standard: one after 59.
        moment = datetime(year, month, day, hour, minute, min(second, 59), microsecond)
    except ValueError:
        return None
    if second > 60 or not _FIRST_YEAR <= year <= _LAST_YEAR:
        return None
    return moment + timedelta(seconds=second - min(second, 59))


def parse_offset(text: str | None) -> int | None:
    """Read an Exif OffsetTime.

    Parameters
    ----------
    text : str or None
        ``+HH:MM`` or ``-HH:MM``.

    Returns
    -------
    int or None
        Minutes east of UTC; None where it is no offset in use anywhere (more than 14 hours).
    """
    match = _OFFSET.match(text or "")
    if match is None or int(match[3]) > 59:
        return None
    minutes = int(match[2]) * 60 + int(match[3])
    return (-minutes if match[1] == "-" else minutes) if minutes <= _WIDEST_OFFSET_MIN else None


def _exposure(tags: Tags) -> float | None:
    direct = _above_zero(_number(tags, 0x829A))
    apex = _number(tags, 0x9201)
    if direct is None and apex is not None and -20 < apex < 20:
        return float(2**-apex)
    return direct


def _f_number(tags: Tags) -> float | None:
    direct = _above_zero(_number(tags, 0x829D))
    apex = _number(tags, 0x9202)
    if direct is None and apex is not None and 0 < apex < 16:
        return float(2 ** (apex / 2))
    return direct


def _iso(tags: Tags) -> float | None:
    values = [_above_zero(_number(tags, tag)) for tag in _ISO_TAGS]
    return next((value for value in values if value and value != _ISO_TOO_LARGE), None)


def _flash(tags: Tags) -> int | None:
    value = _number(tags, 0x9209)
    return int(value) if value is not None and 0 <= value <= 0xFF else None


def _orientation(tags: Tags) -> int:
    value = _number(tags, 0x0112)
    return int(value) if value is not None and 1 <= value <= 8 else 1


def _size(tags: Tags) -> tuple[int, int] | None:
    for across, down in ((0xA002, 0xA003), (0x0100, 0x0101)):
        width, height = _above_zero(_number(tags, across)), _above_zero(_number(tags, down))
        if width and height:
            return int(width), int(height)
    return None


def _place(tags: Tags) -> tuple[float | None, float | None]:
    lat = _degrees(tags, 0x0001, 0x0002, "S")
    lon = _degrees(tags, 0x0003, 0x0004, "W")
    if lat is None or lon is None or abs(lat) > 90 or abs(lon) > 180 or (lat == 0 and lon == 0):
        return None, None  # 0, 0 is what receivers write before they know
    return lat, lon


def _degrees(tags: Tags, side_tag: int, tag: int, negative: str) -> float | None:
    side = tags.get(("gps", side_tag))
    parts = _numbers(tags, tag, "gps")
    if len(parts) != 3 or not isinstance(side, str) or not all(math.isfinite(part) for part in parts):
        return None
    value = parts[0] + parts[1] / 60 + parts[2] / 3600
    return -value if side.strip().upper().startswith(negative) else value


def _temperature(tags: Tags) -> float | None:
    value = _number(tags, 0x9400)
    return value if value is not None and -100 <= value <= 100 else None


def _sensor(tags: Tags, *, turned: bool) -> tuple[float, float] | None:
    """Return the size of the sensor: the picture's pixels over how many of them lie on a unit of length."""
    unit = _MM_PER_UNIT.get(int(_number(tags, 0xA210) or 2))
    sides = [
        pixels / density * unit
        for pixels, density in (
            (_above_zero(_number(tags, 0xA002)), _above_zero(_number(tags, 0xA20E))),
            (_above_zero(_number(tags, 0xA003)), _above_zero(_number(tags, 0xA20F))),
        )
        if pixels and density and unit
    ]
    if len(sides) != 2 or not all(_LEAST_SENSOR_MM <= side <= _MOST_SENSOR_MM for side in sides):
        return None
    across, upright = reversed(sides) if turned else sides
    return across, upright


def _distance(tags: Tags) -> float | None:
    value = _above_zero(_number(tags, 0x9206))
    return value if value is not None and value <= _FARTHEST_M else None
