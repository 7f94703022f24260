"""Aim moved: the whole view shifts at one frame and stays shifted."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.changes import find_step
from triage.diagnose.framing import amount, sight_of
from triage.diagnose.timeline import Row, Timeline
from triage.diagnose.words import counted, when
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.percent import percent

_BLIND = 0.6
_NOISES = 4.0  # a shift must exceed the view's usual wobble this many times
_BY_FRAMES = (0.0, 0.45, 0.6, 0.72, 0.8, 0.86, 0.9, 0.93, 0.95)


def find_moved_aim(timeline: Timeline) -> Fault | None:
    """Find one lasting shift of the view that no visit of the operator explains.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Fault or None
        None where the view stays.
    """
    seen = np.isfinite(timeline.shift).all(axis=1) & ~timeline.setup & ~timeline.damaged
    places = np.flatnonzero(seen & ~(timeline.blind >= _BLIND))
    if len(places) < 4:
        return None
    shift = timeline.shift[places]
    step = find_step(shift)
    if step is None or step.size < limits.MOVED:
        return None
    residual = np.concatenate([shift[: step.place] - step.before, shift[step.place :] - step.after])
    wobble = 1.4826 * float(np.median(np.abs(residual))) + 1e-3
    if step.size < _NOISES * wobble or _operator_came(
        timeline, int(places[step.place - 1]), int(places[step.place])
    ):
        return None
    axis = int(np.argmax(np.abs(step.after - step.before)))
    middle = (step.before[axis] + step.after[axis]) / 2.0
    upwards = step.after[axis] > step.before[axis]
    kept = np.mean((shift[step.place :, axis] > middle) == upwards)
    was = np.mean((shift[: step.place, axis] > middle) != upwards)
    if min(kept, was) < 0.8:
        return None
    shown = places[step.place :]
    fewest = min(step.place, len(shown))
    sure = _BY_FRAMES[min(fewest, len(_BY_FRAMES)) - 1] * min(1.0, step.size / (1.5 * limits.MOVED))
    return Fault(
        part=Part.AIM,
        kind=FaultKind.MOVED,
        start=timeline.time(int(shown[0])),
        end=None,
        confidence=round(min(0.97, sure * float(min(kept, was))), 3),
        evidence=timeline.indexes(shown),
        say=_say(timeline, int(shown[0]), len(shown), step.after - step.before),
        remedy=(
            f"{_turn_back(timeline, step.after - step.before)} Tighten the head and the legs, weigh the support down "
            "or strap it to something firm, and fire a test frame with somebody standing where the animals pass."
        ),
    )


def _turn_back(timeline: Timeline, change: Row) -> str:
    """Say how far to turn the camera so that the scene stands where it stood: after the scene, the way it went."""
    sight = sight_of(timeline)
    if sight.view is None:
        return "Aim again, by a picture from before."
    turns = [
        f"{verb} it {amount(float(shift), axis, sight)} {ways[int(shift > 0)]}"
        for axis, shift, verb, ways in (
            (0, change[1], "turn", ("to the left", "to the right")),
            (1, change[0], "tilt", ("up", "down")),
        )
        if abs(shift) >= limits.MOVED / 2
    ]
    return f"Aim the camera back: {' and '.join(turns)}."


def _operator_came(timeline: Timeline, before: int, after: int) -> bool:
    """Whether somebody was at the rig between two frames: then the view was meant to change."""
    start, end = timeline.time(before), timeline.time(after)
    windows = timeline.night.setup_windows
    return bool(np.any(timeline.setup[before : after + 1])) or any(
        start <= window.start and window.end <= end for window in windows
    )


def _say(timeline: Timeline, place: int, frames: int, change: Row) -> str:
    # The scene moves in the picture against the camera's own turn; only the scene's way is said, for that is
    # seen.
    rows, columns = (float(value) for value in change)
    parts = []
    if abs(columns) >= limits.MOVED / 2:
        parts.append(
            f"{percent(abs(columns), places=1)} of the width to the {'right' if columns > 0 else 'left'}"
        )
    if abs(rows) >= limits.MOVED / 2:
        parts.append(f"{percent(abs(rows), places=1)} of the height {'down' if rows > 0 else 'up'}")
    way = " and ".join(parts)
    return (
        f"The whole view jumped by {way} between {when(timeline, place - 1)} and {when(timeline, place)} "
        "and stayed there "
        f"for the remaining {counted(frames, 'frame')}: something moved the camera."
    )
