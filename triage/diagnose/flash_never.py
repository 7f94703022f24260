"""One of several flashes that gave no light from the first night frame on, told by where the light comes from."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.flash_record import never_apart
from triage.diagnose.timeline import Places, Timeline
from triage.diagnose.words import counted, lamp_name
from triage.records.diagnosis import Fault, FaultKind, Part

_FEWEST = 4  # night frames that are lit, for the flashes' light to be known
_FEWEST_BY_DAY = 2
_LIT = 0.7
_LEANS = 0.3
"""Natural logarithm of left over right, what the scene reflects taken out, from which light rather comes from one side
than from both: worked out for flashes on either side of a path at six places, two leave up to 0.17, and one of them
alone 0.34 to 1.15."""

_LEAST_SCATTER, _ERRORS = 0.05, 2.0
_PER_LEAN = 15.0  # how fast the chance grows beyond it
_SURE = 0.93
_COUNT_NOT_SAID = 0.3  # a rig with one flash, set up to one side, looks the same


def find_flash_that_never_fired(timeline: Timeline, *, flashes: int | None) -> Fault | None:
    """Find a flash that was dead before the first night frame.

    Parameters
    ----------
    timeline : Timeline
        The night.
    flashes : int or None
        How many flashes the rig has, where the user said so.

    Returns
    -------
    Fault or None
        None with one flash, where a frame shows the flashes apart, or where the light comes from both sides. A doubt
        only where nobody said how many flashes there are.

    Notes
    -----
    The light of one flash falls off across the picture with the square of the distance and the angle off its axis,
    that of two on either side evens out (inverse-square law; common practice). What the scene reflects is taken out
    by daylight, which falls on both sides alike.
    """
    if flashes == 1 or not never_apart(timeline):
        return None
    output = next(iter(timeline.outputs.values()))
    night = timeline.needs_flash & ~timeline.setup
    told = [
        (one.measurement.light.lean, trip)
        for one, trip in zip(timeline.judgements, timeline.burst, strict=True)
        if one.measurement is not None and one.measurement.light.lean is not None
    ]
    lean, trips = np.array([one for one, _ in told]), len({trip for _, trip in told})
    if np.count_nonzero(night & (output >= _LIT)) < _FEWEST or len(lean) < _FEWEST_BY_DAY:
        return None
    usual = float(np.median(lean))
    scatter = max(_LEAST_SCATTER, 1.4826 * float(np.median(np.abs(lean - usual))))
    unsure = _ERRORS * scatter / np.sqrt(trips)
    chance = 1.0 / (1.0 + float(np.exp(-_PER_LEAN * (abs(usual) - unsure - _LEANS))))
    if chance < limits.LIKELY:
        return None
    part = Part.FLASH_RIGHT if usual > 0 else Part.FLASH_LEFT
    return _fault(timeline, part, np.flatnonzero(night), lean=usual, chance=chance, flashes=flashes)


def _fault(
    timeline: Timeline, part: Part, shown: Places, *, lean: float, chance: float, flashes: int | None
) -> Fault:
    name, other = lamp_name(part), ("left" if part is Part.FLASH_RIGHT else "right")
    say = (
        f"{name[0].upper()}{name[1:]} gave no light on any of {counted(len(shown), 'night frame')}: all their flash "
        f"light comes from the {other}, which got {np.exp(abs(lean)):.1f} times as much of it as the other side, "
        "measured against daylight."
    )
    if flashes is None:
        say = (
            f"All flash light comes from the {other}, which got {np.exp(abs(lean)):.1f} times as much of it as the "
            f"other side, measured against daylight. If the rig has a flash on either side, {name} never fired; with "
            "one flash, this is how it looks in order. Say how many there are (--flashes)."
        )
    return Fault(
        part=part,
        kind=FaultKind.STOPPED,
        start=timeline.time(int(shown[0])),
        end=None,
        confidence=round(min(_SURE, chance) if flashes else _COUNT_NOT_SAID, 3),
        evidence=timeline.indexes(shown),
        say=say,
        remedy=(
            "Press its test button. If it stays dark, put in charged cells of one kind, charged and carried as their "
            "maker says; if it flashes, check its own plug or receiver. Then fire a test frame and see that both sides "
            "are lit."
        ),
    )
