"""Clock reset or wrong: times jump back, to a default date, or disagree with the sun."""

import itertools
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from triage.diagnose.clock_by_date import odd_date
from triage.diagnose.clock_by_dusk import odd_hour, steady_by_day
from triage.diagnose.clock_by_light import solar_night
from triage.diagnose.timeline import Flags, Row, Timeline
from triage.diagnose.words import clock, counted
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.night import Sky
from triage.records.percent import percent

_SLACK = timedelta(minutes=2)
_MUCH_AHEAD, _GOES_ON = timedelta(days=2), timedelta(days=1)
_MOST = 0.9
_DAY_S = 86400.0
_BRIGHT = 0.35  # ambient light that no night gives at a setting made for flash
_DARK = 0.03
_FEWEST = 3
_STEPS_MIN = 30
_LEAST_OFF_MIN = 60
_LEAST_OFF_H = 0.2  # beyond what zones, summer time and clouds explain
_SURE_BY_NIGHT = 0.9
_STEADY_LIGHT = 0.6
_LEAST_WRONG = 0.15  # share of telling frames that must disagree with the sun
_HOW_TO = (
    "Set date, time and zone, and check them again after the cells were changed; if the clock is lost at "
    "every change, "
    "the camera's small clock cell needs replacing by its maker's instructions."
)


def find_clock_fault(timeline: Timeline) -> Fault | None:
    """Find a clock that was reset, or that disagrees with the sun.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Fault or None
        None where the times make sense.
    """
    return (
        _jumped_back(timeline)
        or _default_from_the_start(timeline)
        or _against_the_sun(timeline)
        or (_at_an_odd_hour(timeline) or _against_any_night(timeline) if timeline.night.sky is None else None)
        or _of_steady_light_by_day(timeline)
        or _of_an_odd_date(timeline)
    )


def _jumped_back(timeline: Timeline) -> Fault | None:
    known = [place for place in range(timeline.count) if timeline.frames[place].time_is_camera]
    for at, (one, two) in enumerate(itertools.pairwise(known), start=1):
        back = timeline.time(one) - timeline.time(two)
        if back <= _SLACK:
            continue
        ahead = _ahead_for_a_while(timeline, known[:at], two)
        return _jumped_ahead(timeline, ahead, one) if ahead else _set_back(timeline, one, known[at:])
    return None


def _set_back(timeline: Timeline, one: int, after: Sequence[int]) -> Fault:
    """Name a clock that was set back after a frame, until it was right again."""
    two = after[0]
    back = timeline.time(one) - timeline.time(two)
    again = next((place for place in after if timeline.time(place) > timeline.time(one)), None)
    shown = [place for place in after if again is None or place < again]
    summer = abs(back - timedelta(hours=1)) < _SLACK
    default = _is_default(timeline.time(two))
    old, new = clock(timeline.time(one), long=True), clock(timeline.time(two), long=True)
    years = f" {timeline.time(one).year} to {timeline.time(two).year}," if back > timedelta(days=300) else ""
    why = (
        "the camera lost its power, or its clock cell is empty" if default else "somebody or something set it"
    )
    if summer:
        why, again = "by an hour, as the end of summer time does", None
    return Fault(
        part=Part.CLOCK,
        kind=FaultKind.WRONG if summer else FaultKind.RESET,
        start=timeline.time(two),
        end=None if again is None else timeline.time(shown[-1]),
        confidence=0.55 if summer else 0.97 if default else 0.9,
        evidence=timeline.indexes([one, two]),
        say=(
            f"The camera's time jumps back along its own file numbers,{years} from {old} to {new}, for "
            f"{'the last ' if again is None else ''}{counted(len(shown), 'frame')}: {why}."
        ),
        remedy=_HOW_TO,
    )


def _ahead_for_a_while(timeline: Timeline, before: Sequence[int], two: int) -> int | None:
    """Find the frame from which on times were ahead, where the later ones go on from those before it."""
    back = timeline.time(before[-1]) - timeline.time(two)
    if back < _MUCH_AHEAD:
        return None
    for one, first in itertools.pairwise(before):
        ahead = timeline.time(first) - timeline.time(one)
        if ahead >= back * _MOST and timeline.time(one) <= timeline.time(two) < timeline.time(one) + _GOES_ON:
            return first
    return None


def _jumped_ahead(timeline: Timeline, first: int, last: int) -> Fault:
    long_way = counted(round((timeline.time(first) - timeline.time(first - 1)) / timedelta(days=1)), "day")
    return Fault(
        part=Part.CLOCK,
        kind=FaultKind.WRONG,
        start=timeline.time(first),
        end=timeline.time(last),
        confidence=0.9,
        evidence=timeline.indexes(np.arange(first, last + 1)),
        say=(
            f"On {counted(last + 1 - first, 'frame')} the camera's time is {long_way} ahead of the frames before them; "
            "those after them go on where these left off. Something disturbed the clock for a while."
        ),
        remedy=_HOW_TO,
    )


def _is_default(moment: datetime) -> bool:
    """Whether a time is one a camera starts with: the first hours of a first of January."""
    return (moment.month, moment.day) == (1, 1) and moment.hour < 12


def _default_from_the_start(timeline: Timeline) -> Fault | None:
    frames = timeline.frames
    if not frames or not frames[0].time_is_camera or not _is_default(frames[0].time):
        return None
    first = frames[0].time
    if first.hour >= 2:
        return None
    bright = bool(np.isfinite(timeline.ambient[0])) and timeline.ambient[0] > _BRIGHT
    return Fault(
        part=Part.CLOCK,
        kind=FaultKind.RESET,
        start=first,
        end=None,
        confidence=0.96 if bright or first.year < 2015 else 0.75,
        evidence=timeline.indexes([0]),
        say=(
            f"The first frame is dated {first.day} January {first.year}, {first:%H:%M}"
            f"{', yet it was light' if bright else ''}: the clock started from its default date, so no time "
            "on this card is "
            "the true one, though the times between frames hold."
        ),
        remedy=_HOW_TO,
    )


def _against_the_sun(timeline: Timeline) -> Fault | None:
    """Compare daylight in the frames with daylight in the sky, as it is and with the clock shifted."""
    sky = timeline.night.sky
    bright = timeline.ambient > _BRIGHT
    dark = (timeline.ambient < _DARK) & timeline.needs_flash
    telling = np.flatnonzero((bright | dark) & ~timeline.damaged)
    if sky is None or not sky.spans or len(telling) < _FEWEST or timeline.night.end <= timeline.night.start:
        return None
    base = sky.spans[0].start
    seconds = np.array([(timeline.time(int(place)) - base).total_seconds() for place in telling])
    shifts = range(-12 * 60, 12 * 60 + 1, _STEPS_MIN)
    disagree = {shift: _disagreeing(sky, seconds + 60.0 * shift, bright[telling]) for shift in shifts}
    wrong = {shift: int(flags.sum()) for shift, flags in disagree.items()}
    best = min(shifts, key=lambda shift: (wrong[shift], abs(shift)))
    now = wrong[0]
    share = now / len(telling)
    if now < _FEWEST or share < _LEAST_WRONG or wrong[best] > now / 3 or abs(best) < _LEAST_OFF_MIN:
        return None
    fitting = [shift for shift in shifts if wrong[shift] == wrong[best]]
    low, high = min(fitting, key=abs), max(fitting, key=abs)
    span = _span_in_words(low, high)
    return _wrong(
        timeline,
        confidence=min(0.93, 0.45 + 0.6 * share + 0.02 * now),
        places=[int(place) for place in telling[disagree[0]]],
        say=(
            f"{now} of {counted(len(telling), 'frame')} ({percent(share)}) disagree with the sun: light "
            "where the sky was dark, "
            f"or dark by day. A clock {span} would explain them; so would a wrong zone or place given to "
            "this program."
        ),
    )


def _at_an_odd_hour(timeline: Timeline) -> Fault | None:
    """Look for a dusk or a dawn at an hour that no place has."""
    found = odd_hour(timeline)
    if found is None or abs(found.off_h) < _LEAST_OFF_H:
        return None
    hours = max(1, round(abs(found.off_h)))
    return _wrong(
        timeline,
        confidence=min(_SURE_BY_NIGHT, 0.7 + 0.1 * abs(found.off_h)),
        places=found.places,
        say=(
            f"The pictures turn {'dark for the night' if found.word == 'dusk' else 'bright for the day'} between "
            f"{clock(found.before, long=False)} and {clock(found.after, long=False)} by the camera's clock; no place "
            f"between 60 degrees north and south has {found.word} then. The clock is at least about "
            f"{counted(hours, 'hour')} {'slow' if found.off_h < 0 else 'fast'}, or set to the time of another zone. "
            "What is said of the light on this card is less sure for it."
        ),
    )


def _against_any_night(timeline: Timeline) -> Fault | None:
    """Compare the middle of the dark hours with midnight, where no place tells the sun."""
    night = solar_night(timeline)
    if night is None or abs(night.off_h) < _LEAST_OFF_H:
        return None
    middle = clock(night.dusk + (night.dawn - night.dusk) / 2, long=False)
    hours = max(1, round(abs(night.off_h)))
    edges = [place for place in range(timeline.count) if timeline.time(place) in (night.dusk, night.dawn)]
    return _wrong(
        timeline,
        confidence=min(_SURE_BY_NIGHT, 0.55 + 0.15 * abs(night.off_h)),
        places=edges,
        say=(
            f"By the pictures it was dark between {clock(night.dusk, long=False)} and "
            f"{clock(night.dawn, long=False)} by the camera's clock, so the middle of the night lay about {middle}; by "
            "the clocks of nearly all places it lies between 23:00 and 3:00. The clock is at least about "
            f"{counted(hours, 'hour')} {'slow' if night.off_h < 0 else 'fast'}, or set to the time of another zone."
        ),
    )


def _of_steady_light_by_day(timeline: Timeline) -> Fault | None:
    """Look for a day of one and the same light, as a clock that takes noon for midnight leaves it."""
    places = steady_by_day(timeline)
    if not places.size:
        return None
    hours = [timeline.time(int(place)).hour for place in places]
    return _wrong(
        timeline,
        confidence=_STEADY_LIGHT,
        places=[int(place) for place in places],
        say=(
            f"From {min(hours)} to {max(hours) + 1} o'clock {counted(len(places), 'trip')} show one and the same "
            "light, as flash alone gives it by night; daylight changes by the hour. The clock takes day for night, "
            "as one does that was set to noon for midnight; or the place is dark by day."
        ),
    )


def _of_an_odd_date(timeline: Timeline) -> Fault | None:
    """Look for a date that no calendar, no file and no sun agrees with."""
    found = odd_date(timeline, timeline.ambient > _BRIGHT, (timeline.ambient < _DARK) & timeline.needs_flash)
    if found is None:
        return None
    named = _wrong(timeline, confidence=found.confidence, places=found.places, say=found.say)
    return replace(named, kind=found.kind)


def _wrong(timeline: Timeline, *, confidence: float, places: Sequence[int], say: str) -> Fault:
    """Name a clock that was wrong from the first frame on."""
    return Fault(
        part=Part.CLOCK,
        kind=FaultKind.WRONG,
        start=timeline.frames[0].time,
        end=None,
        confidence=round(confidence, 3),
        evidence=timeline.indexes(places),
        say=say,
        remedy=_HOW_TO,
    )


def _span_in_words(low: int, high: int) -> str:
    hours = abs(low) / 60
    more = f" to {abs(high) / 60:g}" if high * low > 0 and high != low else ""
    # A shift that must be added to camera time means that the clock is slow.
    return f"{hours:g}{more} hours {'slow' if low > 0 else 'fast'}"


def _disagreeing(sky: Sky, seconds: Row, bright: Flags) -> Flags:
    """Find the bright frames of deep night and the dark ones of plain day, at times since the sky's first span.

    Beyond the known stretch the same time a day before or after stands in.
    """
    base = sky.spans[0].start
    starts, ends = (
        np.array([(moment - base).total_seconds() for moment in moments])
        for moments in ([span.start for span in sky.spans], [span.end for span in sky.spans])
    )
    night, day = (np.array([span.kind == kind for span in sky.spans]) for kind in ("night", "day"))
    found, known = np.zeros(len(seconds), np.bool_), np.zeros(len(seconds), np.bool_)
    for days in (0.0, 1.0, -1.0):
        at = seconds + days * _DAY_S
        span = np.searchsorted(starts, at, side="right") - 1
        inside = ~known & (span >= 0) & (at <= ends[span])
        found[inside] = np.where(bright, night[span], day[span])[inside]
        known |= inside
    return found
