"""A frame that shows a part in order, to look at beside the frames that show its fault."""

from collections.abc import Callable

import numpy as np

from triage.diagnose.timeline import LAMPS, Flags, Timeline
from triage.records.diagnosis import Fault, FaultKind, Part

_FULL = 0.8
_LIGHT_WEIGHT_S = 7200.0  # a stop of other light tells two frames apart as much as two hours do
_LEAST_LIGHT = 0.02
_SHARP = 0.85
_CLEAR = 0.12


def healthy_example(timeline: Timeline, fault: Fault) -> int | None:
    """Choose a frame to compare a fault's evidence with.

    Parameters
    ----------
    timeline : Timeline
        The night.
    fault : Fault
        One of its faults.

    Returns
    -------
    int or None
        `Frame.index` of the frame that shows the part in order, in light like that of the first evidence and
        near it in time; None where the card has none, or the fault is not one that a picture shows.
    """
    shows = _SHOWS.get(fault.part)
    if shows is None or not fault.evidence:
        return None
    good = shows(timeline, fault) & ~timeline.damaged & ~timeline.setup
    good[list(fault.evidence)] = False
    places = np.flatnonzero(good)
    if not places.size:
        return None
    first = fault.evidence[0]
    apart = np.abs(timeline.seconds[places] - timeline.seconds[first])
    light = np.log2(np.nan_to_num(timeline.ambient, nan=0.0) + _LEAST_LIGHT)
    apart += _LIGHT_WEIGHT_S * np.abs(light[places] - light[first])
    return timeline.frames[int(places[np.argmin(apart)])].index


def _flash(timeline: Timeline, fault: Fault) -> Flags:
    parts = LAMPS if fault.part is Part.FLASH_LINK else (fault.part,)
    good = timeline.needs_flash.copy()
    for part in parts:
        if part in timeline.outputs:
            good &= timeline.outputs[part] >= _FULL
    return good


def _lens(timeline: Timeline, _fault: Fault) -> Flags:
    return timeline.haze < _CLEAR


def _focus(timeline: Timeline, _fault: Fault) -> Flags:
    best = np.nanmax(timeline.sharpness) if np.any(np.isfinite(timeline.sharpness)) else np.nan
    return timeline.sharpness >= _SHARP * best


def _aim(timeline: Timeline, fault: Fault) -> Flags:
    return np.isfinite(timeline.shift).all(axis=1) & (np.arange(timeline.count) < fault.evidence[0])


def _trigger(timeline: Timeline, fault: Fault) -> Flags:
    whole = timeline.subject & ~timeline.cut
    return whole if fault.kind is FaultKind.LATE else timeline.subject.copy()


def _card(timeline: Timeline, _fault: Fault) -> Flags:
    return ~timeline.damaged


_SHOWS: dict[Part, Callable[[Timeline, Fault], Flags]] = {
    **dict.fromkeys((*LAMPS, Part.FLASH_LINK), _flash),
    Part.LENS: _lens,
    Part.FOCUS: _focus,
    Part.AIM: _aim,
    Part.TRIGGER: _trigger,
    Part.CARD: _card,
}
