"""Boxes of the ISO base media file format (ISO/IEC 14496-12), as far as HEIF and CR3 headers need them."""

from collections.abc import Iterator
from dataclasses import dataclass

from triage.ingest.jpeg import Reader

_MOST_BOXES = 500


@dataclass(frozen=True, slots=True)
class Box:
    """One box.

    Attributes
    ----------
    kind : bytes
        Four letters.
    start, end : int
        Offsets of its content; `end` is what the box says, the file may end before.
    """

    kind: bytes
    start: int
    end: int


def read_boxes(at: Reader, start: int, end: int) -> Iterator[Box]:
    """Go through the boxes that follow each other in a stretch of a file.

    Parameters
    ----------
    at : callable
        Reads the file.
    start, end : int
        The stretch.

    Yields
    ------
    Box
        In order; stops without an error where a box makes no sense.
    """
    for _ in range(_MOST_BOXES):
        header = at(start, 16)
        if start + 8 > end or len(header) < 8:
            return
        length, skip = int.from_bytes(header[:4], "big"), 8
        if length == 1 and len(header) == 16:
            length, skip = int.from_bytes(header[8:], "big"), 16
        elif length == 0:
            length = end - start
        if length < skip:
            return
        yield Box(header[4:8], start + skip, start + length)
        start += length


def missing_share(at: Reader, size: int) -> float:
    """Return the share of the file that is missing at its end.

    Parameters
    ----------
    at : callable
        Reads the file.
    size : int
        Bytes there are.

    Returns
    -------
    float
        0 for a whole file, towards 1 the less of it is there.
    """
    last = max((box.end for box in read_boxes(at, 0, size)), default=0)
    return 1 - size / last if last > size else 0.0
