"""Camera stopped early: frames end long before the card was collected.

A camera that stopped and a quiet end of the night look alike: no frames. Three things can tell them apart.
The user said when the card was collected; the operator tripped the sensor when leaving but not when coming
back; the card's own end is abrupt (the last file broken off, the last burst short). Against them stands how
likely so long a silence was, given how often somebody came before it. All are weighed as odds, and the result
is only as sure as they make it.
"""

import math
from datetime import datetime, time, timedelta

import numpy as np

from triage.diagnose import limits
from triage.diagnose.timeline import Timeline
from triage.diagnose.words import clock, counted, duration, is_long, when
from triage.events.limits import LARGE_AREA, WORK_GAP_S
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.event import EventKind
from triage.records.night import SetupSource

_HOUR_S = 3600.0
_BROKEN_FILE = 8.0  # likelihood ratio of a last file that breaks off
_SHORT_BURST = 3.0  # of a last burst shorter than nearly all others
_ALL_BURSTS = 0.9
_FEWEST_BURSTS = 5
_DARK = 0.1  # ambient light at which a frame was surely taken by night
_DAWN = time(
    5, 0
)  # where the sky is not known: before it nobody collects a card (common practice, no source)
_NOON, _BEDTIME = time(12, 0), time(22, 0)
_LATER_DAY = timedelta(hours=20)
_EVENING = 0.4
_LEAST_SILENCE_S = 2 * _HOUR_S
_SURE = 0.95
_MAYBE_YOU = 0.35  # by night nobody can tell a person at the camera from an animal that came close
_USUAL_SHARE = 0.1  # of the earlier frames that may show somebody as near, for the end to be told from them


def find_early_stop(timeline: Timeline) -> Fault | None:
    """Find signs that the camera was no longer working when the card was collected.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Fault or None
        None where the operator is on the last frames, or nothing speaks for a stop.

    Notes
    -----
    The silence is weighed by the chance that a visitor who came n times in S hours does not come in the next
    T: (S / (S + T)) ** n, the predictive chance of a Poisson process of unknown rate (Gelman et al., Bayesian
    Data Analysis, chapter 2, from memory). It is kinder to a quiet night than a rate taken for known.
    """
    if not timeline.count or timeline.setup.all() or timeline.setup[-1]:
        return None
    last = timeline.frames[-1].time
    known = _known_collecting(timeline, last)
    if known is not None:
        return _fault(
            timeline, until=known, confidence=0.85 if _abrupt_odds(timeline) < 2 else 0.93, known=True
        )
    if _came_back(timeline):
        return None
    until = _earliest_collecting(timeline, last)
    if until is None or (until - last).total_seconds() < _LEAST_SILENCE_S:
        return None
    silence = _chance_of_silence(timeline, (until - last).total_seconds())
    odds = limits.STOP_ODDS * _abrupt_odds(timeline) / max(silence, 1e-6)
    most = _EVENING if _ends_when_one_collects(timeline) else _SURE
    near = _somebody_near_at_the_end(timeline)
    confidence = min(_MAYBE_YOU if near else most, odds / (1.0 + odds))
    if confidence < 0.2:
        return None
    return _fault(timeline, until=until, confidence=confidence, known=False, near=near)


def _known_collecting(timeline: Timeline, last: datetime) -> datetime | None:
    """Tell when the card was collected, where the user said so and the card ends long before."""
    night = timeline.night
    if night.setup_source is not SetupSource.GIVEN:
        return None
    later = [window.start for window in night.setup_windows if window.start > last]
    if not later:
        return None
    collected = min(later)
    return collected if (collected - last).total_seconds() >= limits.RETRIEVED_LATE_S else None


def _came_back(timeline: Timeline) -> bool:
    """Whether the operator is seen on the card after the night."""
    windows = timeline.night.setup_windows
    start = timeline.frames[0].time
    return any(
        window.end >= timeline.frames[-1].time and window.start > start + timedelta(hours=1)
        for window in windows
    )


def _ends_when_one_collects(timeline: Timeline) -> bool:
    """Whether the card ends on a later day at an hour when somebody comes home from work and fetches it."""
    first, last = timeline.frames[0].time, timeline.frames[-1].time
    return last - first >= _LATER_DAY and _NOON <= last.time() < _BEDTIME


def _somebody_near_at_the_end(timeline: Timeline) -> bool:
    """Whether the last minutes show something as large as a person at the camera, and the night before hardly.

    Who collects by night is lit like any visitor, and cannot be told from one but by size.
    """
    boxes = [
        None if one.measurement is None or one.measurement.subject is None else one.measurement.subject.box
        for one in timeline.judgements
    ]
    large = timeline.subject & np.array([box is not None and box.area >= LARGE_AREA for box in boxes])
    late = timeline.seconds >= timeline.seconds[-1] - WORK_GAP_S
    before = timeline.subject & ~timeline.setup & ~late & (timeline.ambient <= _DARK)
    return bool(np.any(large & late)) and np.count_nonzero(large & before) <= _USUAL_SHARE * before.sum()


def _earliest_collecting(timeline: Timeline, last: datetime) -> datetime | None:
    """Tell the earliest moment at which somebody would collect the card: the sunrise after the last frame."""
    if np.isfinite(timeline.ambient[-1]) and timeline.ambient[-1] > _DARK:
        return None  # it ends by daylight: collecting may have been at any time
    if not np.any(timeline.dark | (timeline.ambient <= _DARK)):
        return None
    sky = timeline.night.sky
    if sky is not None:
        return sky.sunrise if sky.sunrise is not None and sky.sunrise > last else None
    dawn = datetime.combine(last.date(), _DAWN)
    if last.time() >= _NOON:
        return dawn + timedelta(days=1)
    return dawn if dawn > last else None  # dark after dawn: a winter morning, or a clock not to be trusted


def _chance_of_silence(timeline: Timeline, silent_s: float) -> float:
    visits = [event for event in timeline.events if event.kind is not EventKind.SETUP]
    first = next((event.frames[0] for event in visits), 0)
    left = np.flatnonzero(timeline.setup[:first])
    start = int(left[-1]) if left.size else first
    watched = float(timeline.seconds[-1] - timeline.seconds[start])
    if watched < _HOUR_S:
        return 1.0
    return float((watched / (watched + silent_s)) ** max(0, len(visits) - 1))


def _abrupt_odds(timeline: Timeline) -> float:
    """Weigh the card's own end."""
    odds = (
        _BROKEN_FILE if timeline.damaged[-1] else 1.0
    )  # a full card does the same, and takes its share later
    sizes = np.bincount(timeline.burst[~timeline.setup])
    sizes = sizes[sizes > 0]
    if len(sizes) >= _FEWEST_BURSTS and np.mean(sizes[:-1] > sizes[-1]) >= _ALL_BURSTS:
        odds *= _SHORT_BURST
    return odds


def _fault(
    timeline: Timeline, *, until: datetime, confidence: float, known: bool, near: bool = False
) -> Fault:
    place = timeline.count - 1
    last = timeline.time(place)
    silent = duration((until - last).total_seconds())
    moment = clock(until, long=is_long(timeline.frames[0].time, until))
    visits = sum(event.kind is not EventKind.SETUP for event in timeline.events)
    if known:
        reason = f"the card was collected at {moment}, {silent} later, and you are not on it"
    else:
        seen = "it is not plain that you are on it coming back" if near else "you are not on it coming back"
        reason = (
            f"{seen}, and {counted(visits, 'visit')} before make {silent} without one until {moment} unlikely"
        )
    odds = _abrupt_odds(timeline)
    end = "; the card ends abruptly, too" if odds > 1 and math.isfinite(odds) else ""
    if near:
        end += ". But somebody as near as a person at the camera is on its last frames: if that is you, nothing stopped"
    return Fault(
        part=Part.CAMERA,
        kind=FaultKind.STOPPED_EARLY,
        start=last,
        end=None,
        confidence=round(confidence, 3),
        evidence=timeline.indexes(np.arange(max(0, place - 2), place + 1)),
        say=(
            f"The last frame was taken at {when(timeline, place)}; {reason}{end}. A quiet night, a sensor "
            "that fell out and "
            "a camera without power leave the same card: what decides is whether the camera fires now, as "
            "you find it."
        ),
        remedy=(
            "Before you switch anything off, trip the sensor once. If nothing happens, look at the "
            "camera's cell (a fresh one, "
            "by its maker's instructions; cold takes much of it), the card's free space, and the sensor's "
            "lead."
        ),
    )
