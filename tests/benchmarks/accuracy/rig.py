"""What is said of the rig against what really failed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tests.benchmarks.accuracy.calibration import Stated
from tests.benchmarks.accuracy.truth import TrueFault, TrueNight

NAMED = 0.5
"""Confidence from which a fault counts as named: below, the contract takes the night for a healthy one."""

Entry = Mapping[str, Any]
"""An entry of the report's diagnosis."""


@dataclass(frozen=True, slots=True)
class RigScore:
    """One night's diagnosis.

    Attributes
    ----------
    faults : int
        How many really failed, minor ones left out.
    in_front : int
        How many of those stand among the first so many entries; minor true ones are passed over.
    false : tuple of str
        Entries named that are not true.
    absent : tuple of str
        What failed and does not stand in front.
    onsets : tuple of int
        For each fault that was named, by how many frames its start is wrong.
    stated : tuple of Stated
        Each entry's confidence, and whether it is true.
    """

    faults: int
    in_front: int
    false: tuple[str, ...]
    absent: tuple[str, ...]
    onsets: tuple[int, ...]
    stated: tuple[Stated, ...]


def score_rig(said: Sequence[Entry], night: TrueNight) -> RigScore | None:
    """Score a night's diagnosis; None where nobody knows what failed."""
    if night.faults is None:
        return None
    true = _by_words(night.faults)
    major = [name for name, fault in true.items() if not fault.minor]
    named = [entry for entry in said if entry["confidence"] >= NAMED]
    counted = [
        entry for entry in named if not (entry_words(entry) in true and true[entry_words(entry)].minor)
    ]
    front = {entry_words(entry) for entry in counted[: len(major)]}
    times = [frame.taken for frame in night.frames if frame.taken is not None]
    onsets = [
        onset_error(entry["from"], true[entry_words(entry)], times)
        for entry in counted
        if entry_words(entry) in true
    ]
    return RigScore(
        len(major),
        sum(name in front for name in major),
        tuple(entry_words(entry) for entry in counted if entry_words(entry) not in true),
        tuple(name for name in major if name not in front),
        tuple(onset for onset in onsets if onset is not None),
        tuple((float(entry["confidence"]), entry_words(entry) in true) for entry in said),
    )


def _by_words(faults: Sequence[TrueFault]) -> dict[str, TrueFault]:
    """Name the faults; of those with the same name a major one counts before a minor, then the earlier one."""
    return {words(fault): fault for fault in sorted(faults, key=_weight, reverse=True)}


def _weight(fault: TrueFault) -> tuple[bool, datetime]:
    return fault.minor, fault.start or datetime(9999, 12, 31)


def words(fault: TrueFault) -> str:
    """Name a fault, such as ``flash-left: stopped``."""
    return f"{fault.component}: {fault.fault}"


def entry_words(entry: Entry) -> str:
    """Name a fault of the report in the same way."""
    return f"{entry['component']}: {entry['fault']}"


def onset_error(said: str | None, true: TrueFault, times: Sequence[datetime]) -> int | None:
    """Count the frames between the said and the true start; None where one of them has none.

    `times` are those of the frames in order of exposure. A time no frame was taken at stands for the nearest frame.
    """
    if said is None or true.start is None or not times:
        return None
    return abs(_nearest(datetime.fromisoformat(said), times) - _nearest(true.start, times))


def _nearest(moment: datetime, times: Sequence[datetime]) -> int:
    return min(range(len(times)), key=lambda index: abs((times[index] - moment).total_seconds()))
