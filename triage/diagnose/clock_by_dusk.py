"""A dusk or a dawn at an hour that no place has, by the pictures' plain brightness.

Where the clock is hours off and no place is known, what lit a frame is worked out from a wrong hour, so this
looks at nothing but how bright the pictures are: much brighter than any flash left or added could make them, and
then steadily dark. Up to 60 degrees of latitude the sun is down deep enough for that between 15:30 and 22:00 solar
time at the earliest and the latest, and up again between 1:30 and 8:30; clocks run from an hour behind to three
hours ahead of it (Meeus 1998, Astronomical Algorithms, chapter 15, from memory; public time zone database).
"""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from triage.diagnose.timeline import Flags, Places, Timeline

_DUSK_H, _DAWN_H = (14.5, 24.75), (0.5, 11.5)
_BRIGHT, _DARK = 4.0, 1.5  # in units of the night's usual: a lamp of three that fails leaves a third
_FEWEST_DARK = 6
_WATCHED_S = 10 * 3600.0
_WIDEST_H = 4.0
_OTHER_SETTINGS = 1.5
_DAY_H, _NOON_H, _NIGHT_H = (7.5, 17.0), (10.0, 14.0), (21.0, 4.0)
_FEWEST_AT_NOON = 2  # in winter evening and morning alone may be dark
_FEWEST_STEADY, _STEADY_H = 5, 5.0
_STEADY = 0.05  # a flash gives alike from trip to trip within a few hundredths; an animal adds some
_MOSTLY = 0.7


@dataclass(frozen=True, slots=True)
class OddHour:
    """A dusk or dawn at an impossible hour.

    Attributes
    ----------
    word : str
        ``dusk`` or ``dawn``.
    before, after : datetime
        Camera time of the last frame before it and the first one after it.
    places : tuple of int
        Their positions.
    off_h : float
        By how many hours the clock is at least wrong; below 0 it is slow.
    """

    word: str
    before: datetime
    after: datetime
    places: tuple[int, int]
    off_h: float


def odd_hour(timeline: Timeline) -> OddHour | None:
    """Find a dusk or a dawn that comes at no such hour anywhere.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    OddHour or None
        None where there is none, or the light tells nothing: other settings, too few frames, torches.
    """
    level = np.array(
        [np.nan if one.measurement is None else one.measurement.light.level for one in timeline.judgements]
    )
    told = np.isfinite(level) & np.array([frame.time_is_camera for frame in timeline.frames])
    lit = told & ~timeline.dark
    if lit.sum() < _FEWEST_DARK:
        return None
    usual = float(np.percentile(level[lit], 40))
    bright, dark = told & (level >= _BRIGHT * usual), told & (level <= _DARK * usual)
    for word, first, second in (("dusk", bright, dark), ("dawn", dark, bright)):
        found = _edge(timeline, word, first, second)
        if found is not None:
            return found
    return None


def _edge(timeline: Timeline, word: str, first: Flags, second: Flags) -> OddHour | None:
    """Find where one kind of frame gives way to the other for good, with hours of nothing else on each side."""
    for place in np.flatnonzero(first):
        later = np.flatnonzero(second & (np.arange(timeline.count) > place))
        if not later.size:
            return None
        after = int(later[0])
        span = timeline.seconds
        past = (span <= span[place]) & (span > span[place] - _WATCHED_S)
        coming = (span >= span[after]) & (span < span[after] + _WATCHED_S)
        if second[past].any() or first[coming].any() or not _same_settings(timeline, int(place), after):
            continue
        number = {"dusk": second[coming].sum(), "dawn": first[past].sum()}[word]
        off = _off(timeline.time(int(place)), timeline.time(after), _DUSK_H if word == "dusk" else _DAWN_H)
        if number >= _FEWEST_DARK and off:
            return OddHour(word, timeline.time(int(place)), timeline.time(after), (int(place), after), off)
    return None


def _off(before: datetime, after: datetime, window: tuple[float, float]) -> float:
    """Tell by how many hours a stretch misses a window of the day; 0 where it touches it or is too wide to tell."""
    lasted = (after - before).total_seconds() / 3600.0
    if not 0.0 <= lasted <= _WIDEST_H:
        return 0.0
    start = before.hour + before.minute / 60.0
    low, high = window
    for day in (-24.0, 0.0, 24.0):
        if start + day <= high and start + lasted + day >= low:
            return 0.0
    late = min((start - high) % 24.0, 24.0)  # the window was over so long before
    early = (low - start - lasted) % 24.0
    return late if late <= early else -early


def steady_by_day(timeline: Timeline) -> Places:
    """Find frames of one and the same light over so many hours of the day that it was no daylight.

    From morning to noon daylight changes by a fifth and more, whatever the sky; a flash does not. A clock that takes
    noon for midnight leaves such a card. So does a place that is dark by day: then the night hours show the same light.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    ndarray of int
        Positions of the first frames of the trips; empty where the light changes, the camera may have set its exposure
        itself, or the night looks alike.
    """
    level = np.array(
        [np.nan if one.measurement is None else one.measurement.light.level for one in timeline.judgements]
    )
    hour = np.array([frame.time.hour + frame.time.minute / 60.0 for frame in timeline.frames])
    leads = np.isfinite(level) & ~timeline.setup & ~timeline.dark & (np.diff(timeline.burst, prepend=-1) > 0)
    leads &= np.array([frame.time_is_camera for frame in timeline.frames])
    by_day = np.flatnonzero(leads & (hour >= _DAY_H[0]) & (hour <= _DAY_H[1]))
    if len(by_day) < _FEWEST_STEADY or np.ptp(hour[by_day]) < _STEADY_H or not _one_setting(timeline, by_day):
        return by_day[:0]
    if np.count_nonzero((hour[by_day] >= _NOON_H[0]) & (hour[by_day] <= _NOON_H[1])) < _FEWEST_AT_NOON:
        return by_day[:0]
    usual = float(np.median(level[by_day]))
    steady = np.abs(level / usual - 1.0)
    by_night = leads & ((hour >= _NIGHT_H[0]) | (hour <= _NIGHT_H[1]))
    thirds = np.array_split(by_day[np.argsort(hour[by_day], kind="stable")], 3)
    drifts = any(abs(float(np.median(level[part])) / usual - 1.0) > _STEADY for part in thirds)
    if drifts or np.mean(steady[by_day] <= 2 * _STEADY) < _MOSTLY or np.any(steady[by_night] <= 2 * _STEADY):
        return by_day[:0]
    return by_day


def _one_setting(timeline: Timeline, places: Places) -> bool:
    captures = [timeline.frames[int(place)].capture for place in places]
    settings = {(one.exposure_s, one.f_number, one.iso) for one in captures}
    return len(settings) == 1 and None not in next(iter(settings))


def _same_settings(timeline: Timeline, one: int, two: int) -> bool:
    exposures = []
    for place in (one, two):
        capture = timeline.frames[place].capture
        if capture.exposure_s and capture.f_number and capture.iso:
            exposures.append(capture.exposure_s * capture.iso / capture.f_number**2)
    return len(exposures) < 2 or max(exposures) <= _OTHER_SETTINGS * min(exposures)
