"""The index of a multi-picture file (CIPA DC-007): which further pictures a JPEG carries, and where they lie."""

import struct
from dataclasses import dataclass

from triage.ingest.jpeg import Reader

_ENTRIES, _ENTRY_BYTES = 0xB002, 16
_MOST_TAGS, _MOST_PICTURES = 100, 100
_JPEG_FORMAT = 0


@dataclass(frozen=True, slots=True)
class Entry:
    """One picture of a multi-picture file.

    Attributes
    ----------
    kind : int
        The type code of the standard.
    start, size : int
        Where it lies in the file, and its bytes. The main picture starts at 0.
    """

    kind: int
    start: int
    size: int


PREVIEW_KINDS = frozenset({0x010001, 0x010002})
"""Type codes of the previews a camera adds for larger screens ("large thumbnails" in the standard)."""


def read_index(at: Reader, stretch: tuple[int, int]) -> tuple[Entry, ...]:
    """Read the index.

    Parameters
    ----------
    at : callable
        Reads the file; offset 0 is the start of the JPEG.
    stretch : (int, int)
        `jpeg.Outline.index`.

    Returns
    -------
    tuple of Entry
        The main picture first; empty for an index that cannot be read.
    """
    first, end = stretch
    block = at(first, end - first)
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(block[:4])
    if order is None or len(block) < 10:
        return ()
    (place,) = struct.unpack_from(order + "I", block, 4)
    table = _table(block, order, place)
    found = []
    for offset in range(0, len(table) - _ENTRY_BYTES + 1, _ENTRY_BYTES):
        sign, size, start = struct.unpack_from(order + "III", table, offset)
        if (sign >> 24) & 0x07 != _JPEG_FORMAT:
            continue
        found.append(Entry(sign & 0xFFFFFF, first + start if start else 0, size))
    return tuple(found)


def _table(block: bytes, order: str, place: int) -> bytes:
    """Return the bytes of all entries."""
    if place + 2 > len(block):
        return b""
    (count,) = struct.unpack_from(order + "H", block, place)
    for number in range(min(count, _MOST_TAGS)):
        offset = place + 2 + 12 * number
        if offset + 12 > len(block):
            break
        tag, _, length, value = struct.unpack_from(order + "HHII", block, offset)
        if tag == _ENTRIES and length <= _MOST_PICTURES * _ENTRY_BYTES:
            return block[value : value + length]
    return b""
