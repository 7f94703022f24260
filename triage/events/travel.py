"""Which way and how fast a subject goes through a burst."""

import itertools
import statistics
from collections.abc import Sequence

from triage.events import limits
from triage.events.lead import has_likely_subject
from triage.records.event import Travel
from triage.records.finding import Judgement
from triage.records.frame import Frame
from triage.records.measurement import Side, Subject

Seen = tuple[float, Subject]
"""Seconds, and the subject then."""


def travel_of(frames: Sequence[Frame], judgements: Sequence[Judgement]) -> Travel | None:
    """Follow the subject of an event across the picture.

    Parameters
    ----------
    frames : sequence of Frame
        The event's, in order of exposure.
    judgements : sequence of Judgement
        One for each, same order.

    Returns
    -------
    Travel or None
        Over the burst that shows it most often; None where none shows it twice at different times.

    References
    ----------
    The median of the speeds between any two frames: Sen 1968, J. Am. Stat. Assoc. 63:1379-1389, doi
    10.1080/01621459.1968.10480934.
    """
    bursts: list[list[Seen]] = [[]]
    last = None
    for frame, judgement in zip(frames, judgements, strict=True):
        if last is not None and not 0 <= (frame.time - last).total_seconds() <= limits.BURST_GAP_S:
            bursts.append([])
        last = frame.time
        subject = judgement.measurement.subject if judgement.measurement else None
        if subject is not None and has_likely_subject(judgement):
            bursts[-1].append(((frame.time - frames[0].time).total_seconds(), subject))
    fullest: list[Seen] = max(bursts, key=len)
    pairs = itertools.combinations(fullest, 2)
    steps = [(after[0] - before[0], _step(before[1], after[1])) for before, after in pairs]
    known = [(pause, step) for pause, step in steps if pause > 0 and step is not None]
    if not known:
        return None
    speed = statistics.median(step / pause for pause, step in known)
    if abs(speed) * max(pause for pause, _ in known) < limits.STAYS:
        return Travel(None, abs(speed))
    return Travel(Side.RIGHT if speed > 0 else Side.LEFT, abs(speed))


def _step(before: Subject, after: Subject) -> float | None:
    """Say how far it moved to the right, by the ends of it that no border cuts in either; None where all are cut."""
    ends = [
        there - here
        for side, here, there in (
            (Side.LEFT, before.box.x0, after.box.x0),
            (Side.RIGHT, before.box.x1, after.box.x1),
        )
        if side not in before.cut_by and side not in after.cut_by
    ]
    return statistics.fmean(ends) if ends else None
