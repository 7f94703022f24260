"""Frames into bursts and visits, by the pauses between them.

Frames come in the card's order of exposure and stay in it: where the clock is unreliable that order is the
order of the files, and a step of the clock starts a new event (a camera that lost its clock was without power
in between).
"""

import itertools
import math
import statistics
from collections.abc import Sequence

from triage.events import limits
from triage.events.lead import best_frame, has_likely_subject
from triage.events.travel import travel_of
from triage.records.event import Event, EventKind, Travel
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Frame

Run = tuple[int, int]
"""Positions from the first to one past the last, in the order of frames."""

_HOUR_S = 3600.0


def group_by_time(frames: Sequence[Frame]) -> tuple[Event, ...]:
    """Group frames into provisional events by time alone, before any picture is looked at.

    Parameters
    ----------
    frames : sequence of Frame
        In order of exposure.

    Returns
    -------
    tuple of Event
        All of kind ``mixed``, each led by its middle frame. Every frame is in exactly one.
    """
    runs = _runs_by_time(pauses(frames)) if frames else []
    return tuple(
        _event(frames, run, number, lead=frames[(run[0] + run[1] - 1) // 2].index, kind=EventKind.MIXED)
        for number, run in enumerate(runs, start=1)
    )


def group_events(frames: Sequence[Frame], judgements: Sequence[Judgement]) -> tuple[Event, ...]:
    """Group frames into the events of the final answer.

    Parameters
    ----------
    frames : sequence of Frame
        In order of exposure.
    judgements : sequence of Judgement
        One for each frame, same order.

    Returns
    -------
    tuple of Event
        Every frame is in exactly one. Setup frames share events with setup frames only. A stretch of surely
        empty frames longer than the longest pause of a visit parts the visits on its sides like a pause
        would: a branch in the wind that trips the sensor all night does not glue the night into one event.
    """
    gaps = pauses(frames)
    runs: list[Run] = []
    for first, after in _setup_runs([judgement.has(FindingKind.SETUP) for judgement in judgements]):
        if judgements[first].has(FindingKind.SETUP):
            parts = _split_where(gaps[first : after - 1], limits.SETUP_GAP_S)
            runs += [(first + begin, first + end) for begin, end in parts]
            continue
        part = gaps[first : after - 1]
        alike = [_alike(one, two) for one, two in itertools.pairwise(judgements[first:after])]
        for begin, end in _runs_by_time(part, alike):
            runs += _part_by_empties(judgements, gaps, (first + begin, first + end))
    return tuple(_judged_event(frames, judgements, run, number) for number, run in enumerate(runs, start=1))


def pauses(frames: Sequence[Frame]) -> list[float]:
    """Measure the pause after each frame but the last.

    Parameters
    ----------
    frames : sequence of Frame
        In order of exposure.

    Returns
    -------
    list of float
        Seconds; infinite where the clock was set back and nothing is known. An hour back to the second is the
        end of summer time, and read as the pause it is.
    """
    found = []
    for one, two in itertools.pairwise(frames):
        gap = (two.time - one.time).total_seconds()
        if -_HOUR_S - limits.CLOCK_SLACK_S <= gap <= -_HOUR_S + limits.VISIT_GAP_S:
            gap += _HOUR_S
        if gap < -limits.CLOCK_SLACK_S:
            gap = float("inf")
        found.append(max(0.0, gap))
    return found


def _runs_by_time(gaps: Sequence[float], alike: Sequence[bool | None] | None = None) -> list[Run]:
    """Split where the pause ends a visit; what stands on its two sides decides first, where it is known."""
    close = _split_where(gaps, limits.VISIT_GAP_S)
    joined = [close[0]]
    for one, two in itertools.pairwise(close):
        place = two[0] - 1
        same = alike[place] if alike is not None else None
        stayed = gaps[place] <= limits.LONGEST_STAY_S if same else False
        if stayed or (same is None and _still_one_visit(gaps, one, two)):
            joined[-1] = (joined[-1][0], two[1])
        else:
            joined.append(two)
    return joined


def _split_where(gaps: Sequence[float], limit: float) -> list[Run]:
    cuts = [place + 1 for place, gap in enumerate(gaps) if gap > limit]
    return list(itertools.pairwise([0, *cuts, len(gaps) + 1]))


def _still_one_visit(gaps: Sequence[float], one: Run, two: Run) -> bool:
    """Whether a pause that is neither short nor long leaves the frames on its two sides one visit."""
    place = two[0] - 1
    gap = gaps[place]
    if gap > limits.LONGEST_GAP_S:
        return False
    lasted = max(sum(gaps[begin : end - 1]) for begin, end in (one, two))
    if lasted >= limits.STAYING_S:
        return True
    # The pauses inside a burst say nothing about the rhythm of a visit.
    before = [pause for pause in gaps[:place] if pause > limits.BURST_GAP_S][-limits.RHYTHM_REACH :]
    after = [pause for pause in gaps[place + 1 :] if pause > limits.BURST_GAP_S][: limits.RHYTHM_REACH]
    around = [pause for pause in before + after if pause <= limits.LONGEST_GAP_S]
    return len(around) >= 2 and gap <= limits.RHYTHM_FACTOR * statistics.median(around)


def _alike(one: Judgement, two: Judgement) -> bool | None:
    """Tell whether two frames show a subject alike in size and place; None where either shows none."""
    boxes = [
        judgement.measurement.subject.box
        for judgement in (one, two)
        if has_likely_subject(judgement)
        and judgement.measurement is not None
        and judgement.measurement.subject is not None
    ]
    if len(boxes) < 2:
        return None
    small, large = sorted(box.area for box in boxes)
    way = math.hypot(
        (boxes[0].x0 + boxes[0].x1 - boxes[1].x0 - boxes[1].x1) / 2.0,
        (boxes[0].y0 + boxes[0].y1 - boxes[1].y0 - boxes[1].y1) / 2.0,
    )
    return large <= limits.ALIKE_SIZE * small and way <= limits.ALIKE_PLACE


def _setup_runs(is_setup: Sequence[bool]) -> list[Run]:
    cuts = [place + 1 for place, (one, two) in enumerate(itertools.pairwise(is_setup)) if one != two]
    return [run for run in itertools.pairwise([0, *cuts, len(is_setup)]) if run[0] < run[1]]


def _part_by_empties(judgements: Sequence[Judgement], gaps: Sequence[float], run: Run) -> list[Run]:
    """Cut long stretches of surely empty bursts out of a run that also holds something else."""
    bursts = [
        (run[0] + begin, run[0] + end)
        for begin, end in _split_where(gaps[run[0] : run[1] - 1], limits.BURST_GAP_S)
    ]
    empty = [all(_surely_empty(judgement) for judgement in judgements[begin:end]) for begin, end in bursts]
    if all(empty) or not any(empty):
        return [run]
    parts: list[Run] = []
    for first, after in _setup_runs(empty):
        stretch = (bursts[first][0], bursts[after - 1][1])
        # The silence counts from the last frame that may show something to the next one that may.
        lasted = sum(gaps[max(run[0], stretch[0] - 1) : min(run[1] - 1, stretch[1])])
        apart = empty[first] and lasted > limits.LONGEST_GAP_S
        if apart or not parts or _is_apart(parts[-1], judgements, gaps, run):
            parts.append(stretch)
        else:
            parts[-1] = (parts[-1][0], stretch[1])
    return parts


def _is_apart(part: Run, judgements: Sequence[Judgement], gaps: Sequence[float], run: Run) -> bool:
    lasted = sum(gaps[max(run[0], part[0] - 1) : min(run[1] - 1, part[1])])
    return lasted > limits.LONGEST_GAP_S and all(
        _surely_empty(judgement) for judgement in judgements[slice(*part)]
    )


def _surely_empty(judgement: Judgement) -> bool:
    return not judgement.unsure and any(
        finding.kind is FindingKind.EMPTY and finding.confidence >= limits.SURE_EMPTY
        for finding in judgement.findings
    )


def _kind(judgements: Sequence[Judgement]) -> EventKind:
    if any(judgement.has(FindingKind.SETUP) for judgement in judgements):
        return EventKind.SETUP
    if any(has_likely_subject(judgement) for judgement in judgements):
        return EventKind.SUBJECT
    if all(judgement.has(FindingKind.EMPTY) and not judgement.unsure for judgement in judgements):
        return EventKind.EMPTY
    if all(judgement.has(FindingKind.DARK) for judgement in judgements):
        return EventKind.DARK
    return EventKind.MIXED


def _judged_event(frames: Sequence[Frame], judgements: Sequence[Judgement], run: Run, number: int) -> Event:
    shown, said = frames[run[0] : run[1]], judgements[run[0] : run[1]]
    kind = _kind(said)
    return _event(
        frames,
        run,
        number,
        lead=shown[best_frame(said)].index,
        kind=kind,
        travel=travel_of(shown, said) if kind is EventKind.SUBJECT else None,
    )


def _event(
    frames: Sequence[Frame],
    run: Run,
    number: int,
    *,
    lead: int,
    kind: EventKind,
    travel: Travel | None = None,
) -> Event:
    part = frames[run[0] : run[1]]
    return Event(
        id=number,
        start=part[0].time,
        end=max(part[0].time, part[-1].time),
        frames=tuple(frame.index for frame in part),
        lead=lead,
        kind=kind,
        travel=travel,
    )
