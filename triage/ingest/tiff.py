"""The outline of a TIFF file (TIFF 6.0; raw files of most makers): picture sizes and where their data lie."""

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field

from triage.ingest.jpeg import Reader

_WIDTH, _HEIGHT, _SUB_IFDS = 0x100, 0x101, 0x14A
_OFFSETS_AND_LENGTHS = ((0x111, 0x117), (0x144, 0x145), (0x201, 0x202))
_WANTED = frozenset({_WIDTH, _HEIGHT, _SUB_IFDS, *(tag for pair in _OFFSETS_AND_LENGTHS for tag in pair)})
_CODES = {1: "B", 3: "H", 4: "I", 13: "I"}
_MOST_IFDS, _MOST_ENTRIES, _MOST_VALUES = 40, 1000, 100_000


@dataclass(slots=True)
class Directory:
    """One image file directory.

    Attributes
    ----------
    level : int
        0 for those in the main chain, 1 for directories inside one of these, and so on.
    place : int
        Position in its chain, from 0.
    values : dict of int to tuple of int
        The wanted tags.
    """

    level: int
    place: int
    values: dict[int, tuple[int, ...]] = field(default_factory=dict)

    def one(self, tag: int) -> int:
        """Return the first value of a tag; 0 where absent."""
        return (self.values.get(tag) or (0,))[0]


def read_directories(at: Reader) -> list[Directory]:
    """Read the directories of a TIFF file, or of a raw file that is one but for its first bytes.

    Parameters
    ----------
    at : callable
        Reads the file; offset 0 is the byte-order sign.

    Returns
    -------
    list of Directory
        As far as they can be read; nothing is raised for a damaged file.
    """
    start = at(0, 8)
    if len(start) < 8 or start[:2] not in {b"II", b"MM"}:
        return []
    order = "<" if start[:2] == b"II" else ">"
    found: list[Directory] = []
    seen: set[int] = set()
    pending = [(int(struct.unpack(order + "I", start[4:])[0]), 0, 0)]
    while pending and len(found) < _MOST_IFDS:
        offset, level, place = pending.pop(0)
        if offset == 0 or offset in seen:
            continue
        seen.add(offset)
        directory = Directory(level, place)
        following = _read_directory(at, order, offset, directory)
        found.append(directory)
        pending += [
            (inner, level + 1, number) for number, inner in enumerate(directory.values.get(_SUB_IFDS, ()))
        ]
        pending.append((following, level, place + 1))
    return found


def _read_directory(at: Reader, order: str, offset: int, directory: Directory) -> int:
    """Fill `directory`; return the offset of the next one."""
    count_bytes = at(offset, 2)
    if len(count_bytes) < 2:
        return 0
    count = int(struct.unpack(order + "H", count_bytes)[0])
    if count > _MOST_ENTRIES:
        return 0
    entries = at(offset + 2, 12 * count + 4)
    for number in range(min(count, len(entries) // 12)):
        entry = entries[12 * number : 12 * number + 12]
        tag, kind, length = struct.unpack(order + "HHI", entry[:8])
        if tag in _WANTED and kind in _CODES and 0 < length <= _MOST_VALUES:
            directory.values[tag] = _values(at, order, (kind, length), entry[8:])
    rest = entries[12 * count :]
    return int(struct.unpack(order + "I", rest)[0]) if len(rest) == 4 else 0


def _values(at: Reader, order: str, shape: tuple[int, int], inline: bytes) -> tuple[int, ...]:
    kind, length = shape
    layout = struct.Struct(f"{order}{length}{_CODES[kind]}")
    data = inline
    if layout.size > 4:
        data = at(int(struct.unpack(order + "I", inline)[0]), layout.size)
    return layout.unpack(data[: layout.size]) if len(data) >= layout.size else ()


def read_stretches(directories: list[Directory]) -> Iterator[tuple[int, int]]:
    """Go through the stretches of picture data.

    Parameters
    ----------
    directories : list of Directory
        Of the file.

    Yields
    ------
    (int, int)
        Offset and length of each.
    """
    for one in directories:
        for offsets, lengths in _OFFSETS_AND_LENGTHS:
            yield from zip(one.values.get(offsets, ()), one.values.get(lengths, ()), strict=False)


def largest_size(directories: list[Directory]) -> tuple[int, int] | None:
    """Return width and height of the largest picture in the file, as stored.

    Parameters
    ----------
    directories : list of Directory
        Of the file.

    Returns
    -------
    (int, int) or None
        None where no directory says.
    """
    sizes = [(one.one(_WIDTH), one.one(_HEIGHT)) for one in directories]
    sizes = [size for size in sizes if min(size) > 0]
    return max(sizes, key=lambda size: size[0] * size[1], default=None)


def missing_share(directories: list[Directory], size: int) -> float:
    """Return the share of the file that is missing at its end.

    Parameters
    ----------
    directories : list of Directory
        Of the file.
    size : int
        Bytes there are.

    Returns
    -------
    float
        0 for a whole file, towards 1 the less of it is there.
    """
    last = max((start + length for start, length in read_stretches(directories)), default=0)
    return 1 - size / last if last > size else 0.0


def thumbnail_stretch(directories: list[Directory]) -> tuple[int, int] | None:
    """Return offset and length of the Exif thumbnail (the second directory of the main chain).

    Parameters
    ----------
    directories : list of Directory
        Of the Exif block.

    Returns
    -------
    (int, int) or None
        None where there is no JPEG thumbnail.
    """
    for one in directories:
        if one.level == 0 and one.place == 1 and one.one(0x201) and one.one(0x202):
            return one.one(0x201), one.one(0x202)
    return None
