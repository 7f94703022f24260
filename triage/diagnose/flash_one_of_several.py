"""One of several flashes stopped, though no frame shows the flashes apart."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from triage.diagnose import limits
from triage.diagnose.changes import find_step
from triage.diagnose.flash_record import never_apart
from triage.diagnose.optics import stops
from triage.diagnose.timeline import Timeline
from triage.diagnose.words import counted, when
from triage.records.diagnosis import Fault, FaultKind, Part

_LEAST_LEFT, _MOST_LEFT = 0.38, 0.62  # of two flashes about alike, one less
_MOST_LEFT_OF_THREE = (
    0.74  # wet ground also darkens a scene by a quarter, so it is asked for only where there are three
)
_STEADY = 0.1
_FEWEST, _FEWEST_TRIPS = 4, 2
_NIGHT = 0.2
_BOTH = 0.75  # that both stopped is plain; that the link failed in two steps is the other way to see it
_SHARED = 0.5  # one of them it is, and nobody knows which


def find_one_of_several(
    timeline: Timeline, *, flashes: int | None, until: datetime | None = None
) -> list[Fault]:
    """Find the frame from which on the light of all flashes together is steady, but about a stop less.

    Parameters
    ----------
    timeline : Timeline
        The night.
    flashes : int or None
        How many flashes the rig has, where the user said so.
    until : datetime or None, optional
        Camera time from which on no flash gave any light.

    Returns
    -------
    list of Fault
        One for each flash that it may be, none of them likelier than another; empty where the light stays.

    Notes
    -----
    Lights add up, so of two equal flashes one leaves half the light, one stop less; of three equal ones two leave
    two thirds (guide-number arithmetic; common practice). Fading has no step, fog no clean one.
    """
    if flashes == 1 or not never_apart(timeline):
        return []
    output = next(iter(timeline.outputs.values()))
    told = timeline.needs_flash & ~timeline.setup & np.isfinite(output) & ~(timeline.ambient > _NIGHT)
    if until is not None:
        told &= np.array([frame.time < until for frame in timeline.frames])
    places = np.flatnonzero(told)
    step = find_step(output[places], least=_FEWEST)
    if step is None or step.before[0] <= 0:
        return []
    left = float(step.after[0] / step.before[0])
    sides = (output[places[: step.place]] / step.before[0], output[places[step.place :]] / step.after[0])
    trips = (timeline.burst[places[: step.place]], timeline.burst[places[step.place :]])
    steady = all(np.mean(np.abs(side - 1.0) <= _STEADY) >= 0.9 for side in sides)
    if (
        not _LEAST_LEFT <= left <= (_MOST_LEFT_OF_THREE if flashes == 3 else _MOST_LEFT)
        or not steady
        or min(len(np.unique(one)) for one in trips) < _FEWEST_TRIPS
    ):
        return []
    shown = places[step.place :]
    first = int(shown[0])
    frames = counted(len(shown), "night frame")
    say = (
        f"From {when(timeline, first)} on, {frames} got {-stops(left):.1f} stops less flash light than "
        "those before, all alike: one of the flashes stopped. Which one the pictures cannot tell."
    )
    remedy = (
        "Press the test button of each flash. Into the one that stays dark put charged cells of one kind, charged "
        "and carried as their maker says; if all flash, check each one's plug or receiver. Then fire a test frame."
    )
    return [
        Fault(
            part=part,
            kind=FaultKind.STOPPED,
            start=timeline.time(first),
            end=None,
            confidence=round(_SHARED, 3),
            evidence=timeline.indexes(shown),
            say=say,
            remedy=remedy,
        )
        for part in timeline.outputs
    ]


def one_after_the_other(timeline: Timeline, found: Sequence[Fault], *, flashes: int | None) -> list[Fault]:
    """Name two flashes instead of their link where the light of both went in two steps, hours apart.

    Parameters
    ----------
    timeline : Timeline
        The night.
    found : sequence of Fault
        What was found so far.
    flashes : int or None
        How many flashes the rig has, where the user said so.

    Returns
    -------
    list of Fault
        The same, or with both flashes in place of the link; which of them stopped first nobody knows.
    """
    kinds = {FaultKind.STOPPED, FaultKind.FADING}
    link = next((one for one in found if one.part is Part.FLASH_LINK and one.kind in kinds), None)
    if link is None or link.end is not None or flashes == 3 or not never_apart(timeline):
        return list(found)
    output = next(iter(timeline.outputs.values()))
    places = np.flatnonzero(timeline.needs_flash & ~timeline.setup & np.isfinite(output))
    lit = np.flatnonzero(output[places] >= limits.OFF)
    gone = places[lit[-1] + 1 :] if lit.size else places[:0]
    if not gone.size:
        return list(found)
    halves = find_one_of_several(timeline, flashes=flashes, until=timeline.time(int(gone[0])))
    if len(halves) != 2:
        return list(found)
    first, second = halves
    frames = counted(len(gone), "night frame")
    second = replace(
        second,
        start=timeline.time(int(gone[0])),
        evidence=timeline.indexes(gone),
        say=(
            f"From {when(timeline, int(gone[0]))} on, {frames} got no flash light at all, after the light had fallen "
            "by one flash before: the second one stopped as well. Which of them went first the pictures cannot tell."
        ),
    )
    both = [replace(one, confidence=_BOTH) for one in (first, second)]
    return [one for one in found if one is not link] + both
