"""Which frames are one visit, by the truth file's own numbers or, where it has none, by rule."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

STAY_S = 180.0
"""Frames of the same animals up to so many seconds apart are one visit."""

BURST_S = 10.0
"""A frame with nobody in it belongs to the visit it is no farther from than this; otherwise it is not judged."""


def visits(frames: Sequence[Mapping[str, Any]], windows: Sequence[Sequence[str]]) -> list[int | None]:
    """Number the visit of each frame of a truth file; None where it is not judged."""
    if any("event" in frame for frame in frames):
        return [None if frame["damaged"] else frame.get("event") for frame in frames]
    times = [datetime.fromisoformat(frame["taken"]) for frame in frames]
    whose = [_whose(frame, windows) for frame in frames]
    numbers: list[int | None] = [None] * len(frames)
    number, last = 0, None
    for index, who in enumerate(whose):
        if who is None:
            continue
        stayed = last is not None and abs((times[index] - times[last]).total_seconds()) <= STAY_S
        if last is None or whose[last] != who or not (stayed or frames[index]["setup"]):
            number += 1
        numbers[index], last = number, index
    return [
        number if frame["damaged"] or number is not None else _near(index, numbers, times)
        for index, (number, frame) in enumerate(zip(numbers, frames, strict=True))
    ]


def _whose(frame: Mapping[str, Any], windows: Sequence[Sequence[str]]) -> tuple[str, ...] | None:
    """Name who is there: animals, or the operator, whose stay from coming to leaving is one visit."""
    if frame["damaged"]:
        return None
    if frame["setup"]:
        # Windows are told in whole seconds, frames in thousandths.
        second = frame["taken"][:19]
        return ("setup", *(start for start, end in windows if start[:19] <= second <= end[:19]))
    return tuple(sorted({subject["species"] for subject in frame["subjects"]})) or None


def _near(index: int, numbers: Sequence[int | None], times: Sequence[datetime]) -> int | None:
    """Return the visit of the frame nearest in time, if near enough."""
    near = [
        (abs((moment - times[index]).total_seconds()), number)
        for moment, number in zip(times, numbers, strict=True)
        if number is not None
    ]
    pause, number = min(near, default=(BURST_S + 1.0, 0))
    return number if pause <= BURST_S else None
