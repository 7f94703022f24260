"""The diagnosis of a night: every fault that is found, weighed against the others, worst first, and what went right."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from triage.diagnose import limits
from triage.diagnose.aim_moved import find_moved_aim
from triage.diagnose.camera_stopped_early import find_early_stop
from triage.diagnose.card_faults import find_card_faults
from triage.diagnose.clock_faults import find_clock_fault
from triage.diagnose.flash import find_flash_faults
from triage.diagnose.flash_never import find_flash_that_never_fired
from triage.diagnose.flash_one_of_several import find_one_of_several, one_after_the_other
from triage.diagnose.focus_soft import find_soft_focus
from triage.diagnose.lens_fogged import find_fogged_lens
from triage.diagnose.review import review_rig
from triage.diagnose.timeline import LAMPS, Timeline, build_timeline
from triage.diagnose.trigger import all_trips
from triage.diagnose.trigger_false_fires import find_false_fires
from triage.diagnose.trigger_late import find_late_trigger
from triage.records.card import Card
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.event import Event
from triage.records.finding import Judgement
from triage.records.frame import Frame
from triage.records.night import Night
from triage.records.result import Options
from triage.records.rig import RigReview

_SINGLE: tuple[Callable[[Timeline], Fault | None], ...] = (
    find_fogged_lens,
    find_moved_aim,
    find_soft_focus,
    find_false_fires,
    find_late_trigger,
    find_early_stop,
    find_clock_fault,
)
_NOTHING_SAID = Options()
_LEAST = 0.2  # what is said with less is noise
_LAST_FRAMES = 6
_HOUR_S = 3600.0
_OFTENER = 2.5  # a trip rate in the stretch, over that of the rest, which a new view alone does not bring
_FLASHES = {Part.FLASH_LEFT, Part.FLASH_RIGHT, Part.FLASH_3, Part.FLASH_LINK}


def diagnose(
    card: Card,
    frames: Sequence[Frame],
    judgements: Sequence[Judgement],
    events: Sequence[Event],
    night: Night,
    *,
    options: Options = _NOTHING_SAID,
) -> tuple[tuple[Fault, ...], RigReview]:
    """Say which parts of the rig failed, from which frame on, how sure it is, and what to do; and what went right.

    Parameters
    ----------
    card : Card
        The files.
    frames : sequence of Frame
        In order of exposure.
    judgements : sequence of Judgement
        One for each frame, same order.
    events : sequence of Event
        Every frame in one.
    night : Night
        The stretch of time.
    options : Options, optional
        What the user said of the rig: how many flashes it has, and how far from the camera animals pass.

    Returns
    -------
    faults : tuple of Fault
        The most likely and most harmful first; none, or only ones below 0.5, for a healthy night.
    review : RigReview
        What went right.
    """
    if not frames:
        return (), RigReview()
    flashes = options.flashes
    timeline = replace(build_timeline(card, frames, judgements, events, night), distance_m=options.distance_m)
    found = [*find_flash_faults(timeline), *find_card_faults(timeline)]
    if not any(fault.part in _FLASHES and fault.confidence >= limits.LIKELY for fault in found):
        found += find_one_of_several(timeline, flashes=flashes)
    found = one_after_the_other(timeline, found, flashes=flashes)
    if not any(fault.part in LAMPS and fault.confidence >= limits.LIKELY for fault in found):
        dead = find_flash_that_never_fired(timeline, flashes=flashes)
        found += [] if dead is None else [dead]
    found += [fault for find in _SINGLE if (fault := find(timeline)) is not None]
    weighed = [_weighed(timeline, fault, found) for fault in found]
    kept = [fault for fault in weighed if fault.confidence >= _LEAST]
    faults = tuple(sorted(kept, key=lambda fault: (-_rank(fault), fault.part, fault.kind)))
    return faults, review_rig(timeline, faults, flashes=flashes)


def _rank(fault: Fault) -> float:
    harm = limits.HARM.get((fault.part, fault.kind), limits.HARM_OF_FLASH)
    return fault.confidence * harm


def _weighed(timeline: Timeline, fault: Fault, found: Sequence[Fault]) -> Fault:
    """Take back what another fault explains better.

    Fog dims the far light of a flash and softens the scene; a view that jumped no longer fits the patterns of
    the flashes, and cuts animals by aim; a sensor that is late leaves empty frames behind; a full card ends a
    card early and breaks its last file off; by a wrong clock nights seem to end early.
    """
    factor = 1.0
    for other in found:
        if other is not fault and other.confidence >= limits.LIKELY and _explains(timeline, other, fault):
            surer = other.confidence >= fault.confidence * 0.8 or other.kind in {
                FaultKind.FULL,
                FaultKind.WRONG,
            }
            factor = min(factor, 0.45 if surer else 0.8)
    return fault if factor == 1.0 else replace(fault, confidence=round(fault.confidence * factor, 3))


def _explains(timeline: Timeline, other: Fault, fault: Fault) -> bool:
    shared = _overlap(other, fault)
    if other.part is Part.LENS:
        weak = _is_weak_only(timeline, fault)
        soft = shared > 0.6 and (fault.part is Part.FOCUS or weak)
        return soft or (fault.part in _FLASHES and _spared_by(timeline, other, fault))
    if other.part is Part.AIM:
        return shared > 0.6 and _comes_of_a_new_view(timeline, other, fault)
    if other.part is Part.TRIGGER and other.kind is FaultKind.LATE:
        return fault.kind is FaultKind.FALSE_FIRES
    if other.part is Part.CLOCK:
        # How long the camera was silent before anybody came is counted by the clock.
        return fault.kind is FaultKind.STOPPED_EARLY or _told_by_a_wrong_hour(timeline, other, fault)
    if other.kind is FaultKind.FULL:
        last = timeline.frames[-1].index
        return fault.kind is FaultKind.STOPPED_EARLY or (
            fault.kind is FaultKind.DAMAGED_FILES and fault.evidence == (last,)
        )
    return False


def _told_by_a_wrong_hour(timeline: Timeline, clock: Fault, fault: Fault) -> bool:
    """Whether a link is named for frames that are not dark, on a card whose hours are wrong.

    Without a place the hour tells daylight from flash; by a wrong one a lit night passes for a dull day.
    """
    lit = ~timeline.dark[list(fault.evidence)] if fault.part is Part.FLASH_LINK else np.zeros(0, np.bool_)
    return (
        clock.kind is FaultKind.WRONG and timeline.night.sky is None and bool(lit.size and np.mean(lit) > 0.8)
    )


def _comes_of_a_new_view(timeline: Timeline, moved: Fault, fault: Fault) -> bool:
    """Whether a view that jumped would look like a fault: animals cut or missed, another contrast, other light."""
    if fault.part in {Part.LENS, Part.FOCUS}:
        return fault.start == moved.start
    if fault.kind is FaultKind.FALSE_FIRES:
        return not _trips_are_more(timeline, fault)
    return fault.kind is FaultKind.LATE or _is_weak_only(timeline, fault)


def _is_weak_only(timeline: Timeline, fault: Fault) -> bool:
    """Whether a flash is named for fading though its light never was gone: fog and a new view do no more."""
    if fault.part not in _FLASHES or fault.kind is not FaultKind.FADING:
        return False
    rows = [row for part, row in timeline.outputs.items() if fault.part in {part, Part.FLASH_LINK}]
    last = np.array(fault.evidence[-_LAST_FRAMES:], np.intp)
    return not any(np.nanmedian(row[last]) < limits.OFF for row in rows if np.isfinite(row[last]).any())


def _trips_are_more(timeline: Timeline, fault: Fault) -> bool:
    """Whether the sensor tripped far more often in the stretch than in the rest of the night."""
    trips = all_trips(timeline)
    first, last = (timeline.seconds[place] for place in (fault.evidence[0], fault.evidence[-1]))
    inside = (trips.seconds >= first) & (trips.seconds <= last)
    within = max(float(last - first), _HOUR_S)
    rest = float(timeline.seconds[-1]) - within
    return bool(rest > _HOUR_S and inside.sum() / within > _OFTENER * (~inside).sum() / rest)


def _spared_by(timeline: Timeline, fog: Fault, fault: Fault) -> bool:
    """Whether a flash seems to fail just where the glass is clear: then its pattern was learnt through the fog."""
    seen = np.isfinite(timeline.haze)  # a dark frame tells nothing of the glass
    foggy = np.isin(np.arange(timeline.count), fog.evidence)
    failing = np.isin(np.arange(timeline.count), fault.evidence) & seen
    rest = timeline.needs_flash & ~timeline.setup & ~failing & seen
    return bool(
        failing.any() and rest.any() and np.mean(foggy[failing]) <= 0.2 and np.mean(foggy[rest]) >= 0.7
    )


def _overlap(other: Fault, fault: Fault) -> float:
    """Share of a fault's evidence that lies in the other's."""
    if not fault.evidence:
        return 0.0
    return len(set(other.evidence) & set(fault.evidence)) / len(fault.evidence)
