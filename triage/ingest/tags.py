"""The tags of an Exif block (Exif 2.32, section 4.6, on TIFF 6.0), as they stand there; nothing is judged."""

import math
import struct

from triage.ingest.jpeg import Reader
from triage.ingest.tiff import Entry, byte_order, first_directory, read_bytes, read_entries

Value = str | list[float]
"""Text, or numbers: NaN for a division by zero and for what the standard calls unknown."""
Tags = dict[tuple[str, int], Value]
"""Values by (``"main"`` or ``"gps"``, tag id)."""

_EXIF_IFD, _GPS_IFD = 0x8769, 0x8825
_ASCII = 2
_CODES = {
    1: ("B", 1, 1),
    3: ("H", 2, 1),
    4: ("I", 4, 1),
    5: ("I", 8, 2),
    6: ("b", 1, 1),
    7: ("B", 1, 1),
    8: ("h", 2, 1),
    9: ("i", 4, 1),
    10: ("i", 8, 2),
    11: ("f", 4, 1),
    12: ("d", 8, 1),
    13: ("I", 4, 1),
}
"""By TIFF's number of a type: how `struct` calls it, its bytes, and of how many numbers it is made."""
_UNKNOWN = frozenset({0, -1, 0xFFFFFFFF})
_MOST_VALUES = 999  # longer ones are tables and makers' notes
_MOST_LETTERS = 0x10000


def read_tags(at: Reader, *, gps_only: bool = False) -> Tags:
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
        Of the first directory and of those for Exif and for GPS that it points to, as far as they can be read;
        where two have the same tag, the first counts. Nothing is raised for a damaged block.
    """
    order = byte_order(at)
    tags: Tags = {}
    if order is not None:
        _add(tags, "gps" if gps_only else "main", at, order, first_directory(at, order))
        _add(tags, "main", at, order, _pointer(tags, _EXIF_IFD))
        _add(tags, "gps", at, order, _pointer(tags, _GPS_IFD))
    return tags


def _pointer(tags: Tags, tag: int) -> int:
    value = tags.get(("main", tag))
    return int(value[0]) if isinstance(value, list) and value and math.isfinite(value[0]) else 0


def _add(tags: Tags, place: str, at: Reader, order: str, offset: int) -> None:
    """Add the tags of the directory at an offset, unless they are there already."""
    if offset <= 0:
        return
    found = {}
    for entry in read_entries(at, order, offset)[0]:
        value = _value(at, order, entry)
        if value is not None:
            found[place, entry.tag] = value
    for key, value in found.items():
        tags.setdefault(key, value)


def _value(at: Reader, order: str, entry: Entry) -> Value | None:
    """Return what an entry holds; None where it cannot be read or is longer than anything asked for."""
    if entry.kind == _ASCII:
        return _text(read_bytes(at, order, entry, min(entry.length, _MOST_LETTERS)))
    if entry.kind not in _CODES or not 0 < entry.length <= _MOST_VALUES:
        return None
    code, size, each = _CODES[entry.kind]
    data = read_bytes(at, order, entry, entry.length * size)
    whole = len(data) // size  # fewer where the block ends before
    numbers = struct.unpack(f"{order}{whole * each}{code}", data[: whole * size])
    return _quotients(numbers) if each == 2 else [float(number) for number in numbers]


def _quotients(numbers: tuple[int, ...]) -> list[float]:
    pairs = zip(numbers[::2], numbers[1::2], strict=True)
    return [math.nan if below in _UNKNOWN else above / below for above, below in pairs]


def _text(data: bytes) -> str:
    """Return what stands before the first zero byte: the standard has ASCII, cameras write more."""
    data = data.split(b"\0", 1)[0]
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")
