"""Trigger late: animals are mostly leaving or already cut by the border."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.framing import framing_advice, sight_of, stand_of
from triage.diagnose.timeline import Flags, Places, Timeline
from triage.diagnose.words import counted
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.event import EventKind
from triage.records.percent import percent

_SURE = 0.93
_OUTER = 0.25  # a subject whose middle lies farther out than this is in the outer quarter of the picture...
_BORDER = 0.08  # ...and so near the border it is on its way out
_Z = 1.2816  # one-sided 90 %


def find_late_trigger(timeline: Timeline) -> Fault | None:
    """Find a night whose visits hardly show one whole subject.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Fault or None
        None where enough visits have a whole subject.

    Notes
    -----
    The share of visits without one is taken at its lower confidence limit (Wilson 1927, Journal of the
    American Statistical Association 22:209-212), so that few visits say little.
    """
    visits = [event for event in timeline.events if event.kind is EventKind.SUBJECT]
    out = timeline.cut | _on_the_way_out(timeline)
    first_cut, missed = [], 0
    for event in visits:
        places = [index for index in event.frames if timeline.subject[index] or timeline.cut[index]]
        if places and all(out[place] for place in places):
            missed += 1
            # The frame of the trip itself shows the delay, also where the animal is only doubtful in it.
            trip = next(index for index in event.frames if timeline.burst[index] == timeline.burst[places[0]])
            first_cut += sorted({trip, *places})
    if len(visits) < limits.CUT_VISITS:
        return None
    share = missed / len(visits)
    least = _wilson_lower(missed, len(visits))
    if share < limits.CUT_SHARE:
        return None
    shown = np.array([*_doubtful_before(timeline, first_cut[0]), *first_cut], np.intp)
    confidence = min(_SURE, 0.5 + 1.1 * (least - 0.35))
    return Fault(
        part=Part.TRIGGER,
        kind=FaultKind.LATE,
        start=timeline.time(int(shown[0])),
        end=None,
        confidence=round(max(0.3, confidence), 3),
        evidence=timeline.indexes(shown),
        say=(
            f"{missed} of {counted(len(visits), 'visit')} with an animal ({percent(share)}) show it only "
            "cut by the border or on its way out"
            f"{_sides(timeline, shown)}. Either the sensor fires too late, or it looks at another place "
            "than the camera; "
            "walking through slowly and then fast decides: cut at both speeds means the aim, cut when fast "
            "the delay."
        ),
        remedy=(
            f"{_numbers(timeline)}Move the sensor's line towards where the animals come from, so that it is crossed "
            "before the middle of the frame; switch off autofocus and standby, which delay the shutter; then walk "
            "through at an animal's speed and look at the frames."
        ),
    )


def _on_the_way_out(timeline: Timeline) -> Flags:
    """Frames whose whole subject stands beside the left or right border: it has passed the middle, or never came.

    A beam or a heat sensor looks at the middle of the picture, so that an animal in time is about there.
    """
    out = np.zeros(timeline.count, np.bool_)
    for place in np.flatnonzero(timeline.subject):
        measurement = timeline.judgements[place].measurement
        if measurement is not None and measurement.subject is not None:
            box = measurement.subject.box
            outer = abs((box.x0 + box.x1) / 2.0 - 0.5) > _OUTER
            out[place] = outer and min(box.x0, 1.0 - box.x1) < _BORDER
    return out


def _doubtful_before(timeline: Timeline, first: int) -> list[int]:
    """Find the trips before the first sure one that may show the same: a sensor is late from the evening on.

    Dusk leaves many frames doubtful. A whole subject before means that the sensor was in time until then.
    """
    before = ~timeline.setup & ~timeline.damaged & (np.arange(timeline.count) < first)
    whole = np.flatnonzero(before & timeline.subject & ~timeline.cut & ~_on_the_way_out(timeline))
    if whole.size:
        before[: whole[-1] + 1] = False
    doubtful = before & ~timeline.empty & ~timeline.subject & ~timeline.dark
    return [int(place) for place in np.flatnonzero(doubtful)]


def _numbers(timeline: Timeline) -> str:
    """Say where the subjects stood, and what would bring them into the frame, as far as it can be told."""
    stand = stand_of(timeline)
    advice = None if stand is None else framing_advice(stand, sight_of(timeline))
    return "" if advice is None else f"{advice} "


def _wilson_lower(hits: int, number: int) -> float:
    share = hits / number
    centre = share + _Z * _Z / (2 * number)
    half = _Z * np.sqrt(share * (1 - share) / number + _Z * _Z / (4 * number * number))
    return float((centre - half) / (1 + _Z * _Z / number))


def _sides(timeline: Timeline, shown: Places) -> str:
    counts: dict[str, int] = {}
    for place in shown:
        measurement = timeline.judgements[place].measurement
        if measurement is not None and measurement.subject is not None:
            for side in measurement.subject.cut_by:
                counts[side.value] = counts.get(side.value, 0) + 1
    if not counts:
        return ""
    usual = max(sorted(counts), key=lambda name: counts[name])
    return f", most often the {usual} one" if counts[usual] >= 0.5 * len(shown) else ""
