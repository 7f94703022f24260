"""The outline of a JPEG file (ITU-T T.81): size, Exif block, where its picture lies. Decodes nothing."""

import re
from collections.abc import Callable
from dataclasses import dataclass

Reader = Callable[[int, int], bytes]
"""Bytes at an offset, of a length; fewer where the file ends."""

_EOI, _SOS, _APP1, _APP2 = 0xD9, 0xDA, 0xE1, 0xE2
_STANDALONE = frozenset({0x01, *range(0xD0, 0xD8)})
_FRAME = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_PROGRESSIVE = frozenset({0xC2, 0xC6, 0xCA, 0xCE})
# Notes of the camera and of programs; the decoder needs none of them but JFIF (E0) and the colour sign (EE).
_NOTES = (frozenset(range(0xE1, 0xF0)) - {0xEE}) | {0xFE}
_BETWEEN_SCANS = frozenset({0xC4, 0xCC, 0xDA, 0xDB, 0xDC, 0xDD, 0xFE})
_MARKER = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]")
_MOST_SEGMENTS = 2000
_EXIF_START = b"Exif\0"
_INDEX_START = b"MPF\0"


@dataclass(frozen=True, slots=True)
class Outline:
    """What precedes the picture data of a JPEG.

    Attributes
    ----------
    width, height : int
        Pixels as stored; 0 where the file ends before it says so.
    progressive : bool
        The picture comes in several passes over the whole area.
    exif : bytes or None
        The TIFF block of the first Exif segment.
    needed : tuple of (int, int)
        Start and end of the segments a decoder needs.
    scan : int or None
        Where the first scan's marker stands; None where the file ends before.
    index : (int, int) or None
        Start and end of the index of a multi-picture file, counted from its byte-order sign.
    """

    width: int
    height: int
    progressive: bool
    exif: bytes | None
    needed: tuple[tuple[int, int], ...]
    scan: int | None
    index: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class ScanEnd:
    """Where the picture data end.

    Attributes
    ----------
    offset : int
        First byte that belongs to them no more, the end marker not counted.
    marked : bool
        True where the end marker stands there; False where the file ends or foreign data begin.
    """

    offset: int
    marked: bool


def read_outline(at: Reader) -> Outline:
    """Walk the segments up to the picture data.

    Parameters
    ----------
    at : callable
        Reads the file; offset 0 is the start of the JPEG.

    Returns
    -------
    Outline
        As far as the file goes; nothing is raised for a damaged one.
    """
    width = height = 0
    progressive = False
    exif: bytes | None = None
    index: tuple[int, int] | None = None
    needed: list[tuple[int, int]] = []
    position = 2
    for _ in range(_MOST_SEGMENTS):
        found = _next_segment(at, position)
        if found is None:
            break
        start, code, position = found
        if code in _FRAME:
            frame = at(start + 5, 4)
            height, width = int.from_bytes(frame[:2], "big"), int.from_bytes(frame[2:], "big")
            progressive = code in _PROGRESSIVE
        elif code == _SOS:
            return Outline(width, height, progressive, exif, tuple(needed), start, index)
        elif code == _APP1 and exif is None:
            exif = _exif_block(at(start + 4, position - start - 4))
        elif code == _APP2 and index is None and at(start + 4, 4) == _INDEX_START:
            index = (start + 8, position)
        if code not in _NOTES:
            needed.append((start, position))
    return Outline(width, height, progressive, exif, tuple(needed), None, index)


def _next_segment(at: Reader, position: int) -> tuple[int, int, int] | None:
    """Return start, code and end of the next segment, or None at the end of all segments."""
    while True:
        marker = at(position, 4)
        if len(marker) < 4:
            return None
        if marker[0] != 0xFF:  # padding that should not be there; decoders step over it as well
            skip = at(position, 4096).find(b"\xff")
            if skip < 0:
                return None
            position += skip
        elif marker[1] == 0xFF:
            position += 1
        elif marker[1] in _STANDALONE or marker[1] == 0:
            position += 2
        else:
            length = int.from_bytes(marker[2:], "big")
            if marker[1] == _EOI or length < 2:
                return None
            return position, marker[1], position + 2 + length


def _exif_block(segment: bytes) -> bytes | None:
    return segment[6:] if segment.startswith(_EXIF_START) else None


def find_scan_end(data: bytes, scan: int) -> ScanEnd:
    """Find the end of the picture data.

    Parameters
    ----------
    data : bytes
        The whole JPEG.
    scan : int
        `Outline.scan`.

    Returns
    -------
    ScanEnd
        The end marker; or the place where markers begin that cannot stand inside a picture, as happens where
        a card kept older data in the place of what was never written; or the end of the file, without the
        blank sectors (at least 512 zero bytes) such a file may end with.
    """
    position = scan
    while True:
        position += 2 + int.from_bytes(data[position + 2 : position + 4], "big")
        found = _MARKER.search(data, position)
        if found is None:
            return ScanEnd(_without_blank_tail(data, scan), marked=False)
        code = data[found.end() - 1]
        if code == _EOI:
            return ScanEnd(found.start(), marked=True)
        if code not in _BETWEEN_SCANS:
            return ScanEnd(found.start(), marked=False)
        position = found.start()


def _without_blank_tail(data: bytes, scan: int) -> int:
    kept = len(
        data.rstrip(b"\xff")
    )  # picture data never end in this byte: a zero byte always follows it there
    blank = kept - len(data[:kept].rstrip(b"\0"))
    return max(scan, kept - blank if blank >= 512 else kept)
