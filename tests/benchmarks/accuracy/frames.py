"""One frame's answer against its truth."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from tests.benchmarks.accuracy.boxes import Box, around, common, overlap
from tests.benchmarks.accuracy.truth import KINDS, TrueFrame

Said = Mapping[str, Any]
"""A frame of the report, as the contract has it."""


class Seen(StrEnum):
    """What became of a frame's visible subjects.

    `hidden`: filed as empty or as setup, so that nobody looks at it. `misplaced`: the box overlaps nobody. `unboxed`:
    neither filed away nor outlined, so that a person has to look.
    """

    SEEN = "seen"
    MISPLACED = "misplaced"
    UNBOXED = "unboxed"
    HIDDEN = "hidden"


@dataclass(frozen=True, slots=True)
class Placing:
    """Where the box is: what became of the subject, and the overlap where both boxes are known."""

    seen: Seen
    overlap: float | None = None


def confidences(said: Said) -> dict[str, float]:
    """Return the findings of a frame with their confidence."""
    return {finding["kind"]: float(finding["confidence"]) for finding in said["findings"]}


def right_and_wrong(said: Said, true: TrueFrame) -> dict[str, tuple[bool, bool]]:
    """Return (said, true) for each finding that is judged."""
    found = confidences(said)
    return {kind: (kind in found, answer) for kind in KINDS if (answer := true.kinds.get(kind)) is not None}


def said_box(said: Said) -> Box | None:
    """Return the box the report gives."""
    if said["subject"] is None:
        return None
    x0, y0, x1, y1 = said["subject"]["box"]
    return float(x0), float(y0), float(x1), float(y1)


def place(said: Said, true: TrueFrame) -> Placing | None:
    """Say what became of the visible subjects; None where there are none, or where the operator is one.

    The contract has one box for a frame. Where several subjects show, it is right if it overlaps any of them, and its
    overlap is the best of each one's box and of the box around all.
    """
    if not true.visible or true.kinds.get("setup"):
        return None
    box, found = said_box(said), confidences(said)
    if "empty" in found or "setup" in found:
        return Placing(Seen.HIDDEN)
    if box is None:
        return Placing(Seen.UNBOXED)
    drawn = [subject.box for subject in true.subjects if subject.box is not None]
    if not drawn:
        return Placing(Seen.SEEN)
    if not any(common(box, other) > 0.0 for other in drawn):
        return Placing(Seen.MISPLACED, 0.0)
    return Placing(Seen.SEEN, max(overlap(box, other) for other in [*drawn, around(drawn)]))


def subject_stated(said: Said, true: TrueFrame) -> tuple[float, bool] | None:
    """Return the confidence of the subject and whether one is there; None where it is not judged."""
    box = said_box(said)
    unseen = len(true.subjects) > len(true.visible)
    if box is None or true.kinds.get("damaged") or (unseen and not true.visible):
        return None
    drawn = [subject.box for subject in true.subjects if subject.box is not None]
    there = any(common(box, other) > 0.0 for other in drawn) if drawn else bool(true.visible)
    return float(said["subject"]["confidence"]), there


def light_errors(said: Said, true: TrueFrame) -> dict[str, float | None]:
    """Return the error of each flash in units of its healthy output; None where the report cannot tell."""
    told = said["light"]
    return {
        flash: None if told.get(flash) is None else abs(float(told[flash]) - power)
        for flash, power in true.flashes.items()
    }
