"""Card faults: unreadable files, holes in the file numbers, writing that stopped at capacity."""

import itertools
import re
from dataclasses import dataclass

import numpy as np

from triage.diagnose import limits
from triage.diagnose.timeline import Timeline
from triage.diagnose.words import counted, when
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.percent import percent

_BY_FILES = (0.6, 0.85, 0.93, 0.97)
_NAME = re.compile(r"(?:^|/)(\d{3})\w{5}/\w{4}(\d{4})\.[^/.]+$")
_LARGEST = 9999
_FULL_FROM = 0.93  # share of the size printed on a card that its file system leaves for files, at least
_SIZES_GB = (1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024)
_SELECTION = 0.7  # from this share of missing numbers on, somebody chose files
_HOLES = 0.3  # ...or from so many holes for each file on
_OF_ONE, _OF_MANY, _OF_A_SELECTION = (
    0.7,
    0.9,
    0.35,
)  # that the card lost them: a photographer may have deleted some
_FULL_AND_BROKEN, _FULL_AND_WHOLE, _BROKEN_ONLY, _BROKEN_LATE = 0.85, 0.3, 0.6, 0.4
_SILENT_S = 7200.0
_BIGGEST_HOLE = 500


def find_card_faults(timeline: Timeline) -> list[Fault]:
    """Find what speaks against the memory card.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    list of Fault
        At most one of each kind.
    """
    found = (_damaged_files(timeline), _missing_numbers(timeline), _full(timeline))
    return [fault for fault in found if fault is not None]


def _damaged_files(timeline: Timeline) -> Fault | None:
    places = np.flatnonzero([frame.problem is not None for frame in timeline.frames])
    if not places.size:
        return None
    only_last = places.size == 1 and int(places[0]) == timeline.count - 1
    reasons = sorted({frame.problem for frame in timeline.frames if frame.problem is not None})
    last = (
        " It is the last one: the power or the card was taken while it was being written."
        if only_last
        else ""
    )
    return Fault(
        part=Part.CARD,
        kind=FaultKind.DAMAGED_FILES,
        start=timeline.time(int(places[0])),
        end=timeline.time(int(places[-1])),
        confidence=_BY_FILES[min(places.size, len(_BY_FILES)) - 1],
        evidence=timeline.indexes(places),
        say=(
            f"{counted(int(places.size), 'file')} of {timeline.count} cannot be read whole, the first from "
            f"{when(timeline, int(places[0]))}: {reasons[0].rstrip('.')}"
            f"{'' if len(reasons) == 1 else ', and other reasons'}.{last}"
        ),
        remedy=(
            "Copy everything off and keep this card as it is until you have tried to recover the files. "
            "Use another card "
            "tonight, and format it in the camera."
        ),
    )


@dataclass(frozen=True, slots=True)
class _Hole:
    """Numbers missing between two frames."""

    place: int
    missing: int


def _missing_numbers(timeline: Timeline) -> Fault | None:
    holes, numbered = _holes(timeline)
    if not holes:
        return None
    missing = sum(hole.missing for hole in holes)
    share = missing / (missing + numbered)
    selected = share > _SELECTION or len(holes) > _HOLES * numbered
    confidence = _OF_A_SELECTION if selected else _OF_MANY if missing > 1 else _OF_ONE
    places = sorted({place for hole in holes for place in (hole.place - 1, hole.place)})
    chosen = (
        " So many are missing that this looks like a selection of files, not a whole card."
        if selected
        else ""
    )
    return Fault(
        part=Part.CARD,
        kind=FaultKind.MISSING_NUMBERS,
        start=timeline.time(holes[0].place),
        end=timeline.time(holes[-1].place),
        confidence=confidence,
        evidence=timeline.indexes(places),
        say=(
            f"{counted(missing, 'file number')} of {missing + numbered} ({percent(share)}) "
            f"{'is' if missing == 1 else 'are'} missing in {counted(len(holes), 'place')}, the first before "
            f"{when(timeline, holes[0].place)}. Files deleted in the camera leave the same holes; if you "
            "deleted none, the card "
            f"lost them.{chosen}"
        ),
        remedy=(
            "If you deleted nothing, do not write to this card: try to recover the files first. Use "
            "another card tonight, "
            "and format it in the camera."
        ),
    )


def _holes(timeline: Timeline) -> tuple[list[_Hole], int]:
    """Find jumps in the numbers of frames that follow each other; films and other files take numbers, too."""
    numbers = [_number(frame.path) for frame in timeline.frames]
    taken = {number for out in timeline.card.left_out if (number := _number(out.path)) is not None}
    taken |= {
        number
        for group in timeline.card.groups
        for file in group
        if (number := _number(file.path)) is not None
    }
    holes, numbered = [], sum(number is not None for number in numbers)
    for place, (one, two) in enumerate(itertools.pairwise(numbers), start=1):
        if one is None or two is None or two <= one:
            continue
        between = _between(one, two)
        missing = sum(number not in taken for number in between)
        if 0 < missing <= _BIGGEST_HOLE and not timeline.setup[place]:
            holes.append(_Hole(place, missing))
    return holes, numbered


def _number(path: str) -> tuple[int, int] | None:
    """Read folder and file number of a camera's own file name (CIPA DC-009); None for any other name."""
    match = _NAME.search(path)
    return (int(match[1]), int(match[2])) if match else None


def _between(one: tuple[int, int], two: tuple[int, int]) -> list[tuple[int, int]]:
    """List the numbers between two files; 9999 is followed by 0001 of the next folder."""
    if one[0] == two[0]:
        return [(one[0], number) for number in range(one[1] + 1, min(two[1], one[1] + 2 + _BIGGEST_HOLE))]
    if two[0] != one[0] + 1 or one[1] < two[1]:
        return []  # a new folder, with numbers that go on or start anew
    tail = [(one[0], number) for number in range(one[1] + 1, _LARGEST + 1)]
    head = [(two[0], number) for number in range(1, two[1])]
    # A camera may change folders early and start anew at 0001; only a roll-over near the top tells of holes.
    return tail + head if len(tail) <= _BIGGEST_HOLE and len(head) <= _BIGGEST_HOLE else head


def _full(timeline: Timeline) -> Fault | None:
    """Say that nothing could be written any more, by the sum of the files or by the last one.

    A file that breaks off and is followed by nothing is what a full card leaves; so does a camera that loses its
    power while it writes, which is a matter of a second. What decides is the room left on the card.
    """
    size = timeline.card.size
    printed = next((gb for gb in _SIZES_GB if size <= gb * 1e9), None)
    near = printed is not None and size >= _FULL_FROM * printed * 1e9
    broken = [place for place in range(timeline.count) if timeline.frames[place].problem is not None]
    breaks_off = broken == [timeline.count - 1] and timeline.count > 1
    # A card whose last frames show the operator could still be written to when it was collected.
    if not (near or breaks_off) or timeline.setup[-1]:
        return None
    place = timeline.count - 1
    if near:
        # One card in ten comes so near to some size by chance.
        confidence = _FULL_AND_BROKEN if breaks_off else _FULL_AND_WHOLE
        why = f"The files fill {size / 1e9:.2f} GB, about what a card sold as {printed} GB holds"
        why += ", and the last one breaks off" if breaks_off else ""
    else:
        confidence = _BROKEN_ONLY if _ends_by_night(timeline) else _BROKEN_LATE
        why = f"After {size / 1e6:.0f} MB the last file breaks off, and none follows"
    return Fault(
        part=Part.CARD,
        kind=FaultKind.FULL,
        start=timeline.time(place),
        end=None,
        confidence=confidence,
        evidence=timeline.indexes([place]),
        say=(
            f"{why}: nothing could be written after {when(timeline, place)}. A camera that lost its power while "
            "writing leaves the same; the room left on the card decides: if another picture fits, it was the power."
        ),
        remedy=(
            "Look in the camera how many pictures still fit. If none, copy the card off, check the copy, and format "
            "the card in the camera before dusk, or use a larger one; fewer files an exposure also help. If some "
            "do, put in a charged cell."
        ),
    )


def _ends_by_night(timeline: Timeline) -> bool:
    """Whether the last sound frame was taken by night, and not within hours of the last light before collecting."""
    sky = timeline.night.sky
    if sky is not None and sky.sunrise is not None:
        return (sky.sunrise - timeline.frames[-1].time).total_seconds() >= _SILENT_S
    lit = np.flatnonzero(np.isfinite(timeline.ambient))
    return bool(lit.size) and float(timeline.ambient[lit[-1]]) < limits.NEEDS_FLASH
