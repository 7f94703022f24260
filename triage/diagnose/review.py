"""What went right over the night, what would make the next one better, and what the card cannot tell."""

from collections.abc import Sequence

import numpy as np

from triage.diagnose import limits
from triage.diagnose.clock_by_date import days_after_files
from triage.diagnose.exposure import exposure_advice
from triage.diagnose.flash_record import flash_notes, flash_records, never_apart
from triage.diagnose.framing import framing_advice, framing_of, sight_of, stand_of
from triage.diagnose.healthy import healthy_example
from triage.diagnose.timeline import LAMPS, Timeline
from triage.diagnose.trigger import all_trips
from triage.diagnose.words import counted
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.event import EventKind
from triage.records.percent import percent
from triage.records.rig import FlashRecord, RigReview

_FLASHES = {Part.FLASH_LEFT, Part.FLASH_RIGHT, Part.FLASH_3, Part.FLASH_LINK}


def review_rig(timeline: Timeline, faults: Sequence[Fault], *, flashes: int | None = None) -> RigReview:
    """Say what went right, with figures, beside the faults.

    Parameters
    ----------
    timeline : Timeline
        The night.
    faults : sequence of Fault
        What failed, worst first.
    flashes : int or None, optional
        How many flashes the rig has, where the user said so.

    Returns
    -------
    RigReview
        Figures, and the sentences that say them.
    """
    likely = [fault for fault in faults if fault.confidence >= limits.LIKELY]
    failed = {fault.part for fault in likely if _is_at_its_end(fault)}
    records = flash_records(timeline, failed=failed)
    trips = all_trips(timeline)
    with_subject, empty = int(trips.subject.sum()), int(trips.empty.sum())
    visits, whole = _visits(timeline)
    sight, stand = sight_of(timeline), stand_of(timeline)
    named = {(fault.part, fault.kind) for fault in likely}
    advice = exposure_advice(timeline, likely)
    if stand is not None and not {(Part.AIM, FaultKind.MOVED), (Part.TRIGGER, FaultKind.LATE)} & named:
        advice += [said for said in (framing_advice(stand, sight),) if said is not None]
    return RigReview(
        flashes=records,
        trips=len(trips.empty),
        trips_with_subject=with_subject,
        trips_empty=empty,
        visits=visits,
        visits_whole=whole,
        framing=None if stand is None else framing_of(stand, sight),
        notes=(
            *flash_notes(records, failed=failed),
            *_sensor_notes(len(trips.empty), with_subject, empty),
            *_whole(visits, whole),
        ),
        advice=tuple(advice),
        untold=tuple(_untold(timeline, records, flashes, likely)),
        healthy=tuple(healthy_example(timeline, fault) for fault in faults),
    )


def _is_at_its_end(fault: Fault) -> bool:
    """Whether a flash is named for having given out: its light then promises nothing more."""
    return fault.part in _FLASHES and fault.kind in {FaultKind.STOPPED, FaultKind.FADING}


def _visits(timeline: Timeline) -> tuple[int, int]:
    visits = [event for event in timeline.events if event.kind is EventKind.SUBJECT]
    whole = [
        event
        for event in visits
        if any(timeline.subject[index] and not timeline.cut[index] for index in event.frames)
    ]
    return len(visits), len(whole)


def _sensor_notes(trips: int, with_subject: int, empty: int) -> list[str]:
    if not trips:
        return []
    rest = trips - with_subject - empty
    untold = f"; of {rest} nobody can say" if rest else ""
    said = (
        f"The sensor tripped {counted(trips, 'time')}: {with_subject} with an animal or a person "
        f"({percent(with_subject / trips)}), {empty} with nobody ({percent(empty / trips)}){untold}."
    )
    return [said]


def _whole(visits: int, whole: int) -> list[str]:
    if not visits:
        return []
    said = (
        f"{whole} of {counted(visits, 'visit')} ({percent(whole / visits)}) "
        f"{'has' if whole == 1 else 'have'} a frame with the subject whole, cut by no border."
    )
    return [said]


def _untold(
    timeline: Timeline, records: Sequence[FlashRecord], flashes: int | None, likely: Sequence[Fault]
) -> list[str]:
    """Name what the card cannot tell, and what would."""
    sound = ~timeline.damaged
    if not sound.any():
        return ["No picture can be read, so nothing can be said of flashes, glass, aim, focus or sensor."]
    said = []
    if timeline.night.sky is None:
        said.append(
            "Without a place and a zone there is no sunset or sunrise: the clock could not be checked against the "
            "sun, and what lit the frames of evening and morning is told by the hour alone, so that a flash that "
            "failed there is harder to name. Say where the camera stood (--lat, --lon and --tz)."
        )
    if not any(frame.time_is_camera for frame in timeline.frames):
        said.append(
            "The camera wrote no times; those of the files stand in, which copying may have changed: pauses, "
            "visits and the order of faults are only as good as they are."
        )
    elif not any(fault.part is Part.CLOCK for fault in likely):
        if (days := days_after_files(timeline)) is not None:
            said.append(
                f"By the camera's clock the pictures were taken {counted(days, 'day')} after their files were last "
                "written: the camera's clock is ahead, that of the computer that wrote them is behind, or a program "
                "set the files' times."
            )
        said.append(
            "Pictures do not tell the date: a clock that is off by whole days, or by a year or two, leaves no trace in "
            "them. Look at the camera's date when you set it up."
        )
    night = timeline.needs_flash & ~timeline.setup
    if not night.any():
        said.append("No frame outside set-up needed flash, so nothing can be said of the flashes.")
    elif flashes != 1 and never_apart(timeline) and not any(fault.part in LAMPS for fault in likely):
        said.append(_one_pattern(flashes))
    told = np.count_nonzero(np.isfinite(timeline.haze) & sound)
    if told < limits.FOGGED_FRAMES:
        said.append("Too few frames show the scene well enough to tell a clear glass from a fogged one.")
    return said


def _one_pattern(flashes: int | None) -> str:
    """Say what a single pattern of light leaves open."""
    check = "press each test button, or hold a hand over one and fire: the picture must change."
    if flashes is None:
        return f"All night the light came in one pattern. If the rig has several flashes, one may never fire: {check}"
    return (
        f"All night the light came in one pattern: either all of your {flashes} flashes fired alike, or one never did, "
        f"and the pictures cannot tell which. What decides: {check}"
    )
