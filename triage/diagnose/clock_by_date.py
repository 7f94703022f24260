"""Dates that no camera rightly has: from before there were such cards, far ahead, or out of season.

The day itself leaves hardly a trace in pictures: what can be told is what no calendar, no file and no sun agrees with.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np

from triage.diagnose.timeline import Flags, Places, Row, Timeline
from triage.diagnose.words import MONTHS, counted
from triage.records.diagnosis import FaultKind
from triage.records.percent import percent

_FIRST_YEAR = 2003
"""Cards from before hardly come from a rig such as these: cameras with exchangeable lenses became common then (common
practice, no source), and clocks that lost their power start in 1970, 1980, 2000 or 2001 (common practice)."""

_LAST_YEAR = 2037
"""The last year that calendars of many cameras know, and that a clock of 32 bits counts to (from memory)."""

_START_OF_YEAR = 90  # a clock that started from its default has seldom run for longer unnoticed
_TOO_EARLY, _FAR_TOO_EARLY, _TOO_LATE = 0.75, 0.93, 0.6
_DCF_YEAR = 1998  # no camera wrote such files before (CIPA DC-009, first edition, from memory)
_ANY_ZONE = timedelta(hours=26)
_KNOWN_FILE_TIME_NS = 631_152_000 * 10**9  # 1990: earlier file times are none
_MOST = 0.8

_TILT_DEG = 23.44
_LATEST_DAY = 355  # day of the year of the December solstice
_LIGHT_DEG, _DARK_DEG = 6.0, -12.0
_FEWEST, _LEAST_SHARE = 3, 0.15
_EXPLAINED = 1.0 / 3.0
_LEAST_APART_DEG = 6.0  # half a month at the equinoxes; nearer, clouds and hills explain it


@dataclass(frozen=True, slots=True)
class OddDate:
    """A date that makes no sense.

    Attributes
    ----------
    kind : FaultKind
        ``reset`` where it is a default one, ``wrong`` else.
    confidence : float
        0 to 1.
    places : tuple of int
        Positions of the frames that show it.
    say : str
        Why, with figures.
    """

    kind: FaultKind
    confidence: float
    places: tuple[int, ...]
    say: str


def odd_date(timeline: Timeline, bright: Flags, dark: Flags) -> OddDate | None:
    """Find a date that makes no sense.

    Parameters
    ----------
    timeline : Timeline
        The night.
    bright, dark : ndarray of bool, shape (N,)
        Frames that daylight lit, and frames that none lit.

    Returns
    -------
    OddDate or None
        None where nothing speaks against the date, which does not make it right.
    """
    first = next((place for place, frame in enumerate(timeline.frames) if frame.time_is_camera), None)
    if first is None:
        return None
    return _no_such_year(timeline, first) or _out_of_season(timeline, bright, dark)


def _no_such_year(timeline: Timeline, place: int) -> OddDate | None:
    first = timeline.time(place)
    said = f"{first.day} {MONTHS[first.month - 1]} {first.year}"
    if first.year < _FIRST_YEAR:
        default = first.timetuple().tm_yday <= _START_OF_YEAR
        why = (
            "a clock that lost its power starts anew from such a date"
            if default
            else "no such rig was used then"
        )
        return OddDate(
            FaultKind.RESET if default else FaultKind.WRONG,
            _FAR_TOO_EARLY if first.year < _DCF_YEAR else _TOO_EARLY,
            (place,),
            f"The first frame is dated {said}: {why}. The times between frames hold, their dates do not.",
        )
    if first.year > _LAST_YEAR:
        return OddDate(
            FaultKind.WRONG,
            _TOO_LATE,
            (place,),
            f"The first frame is dated {said}, beyond the calendars of many cameras: it is hardly right.",
        )
    return None


def days_after_files(timeline: Timeline) -> int | None:
    """Look for pictures taken, by the camera's clock, after their files were last written, by the files' own times.

    Parameters
    ----------
    timeline : Timeline
        The night's frames.

    Returns
    -------
    int or None
        By how many days, in the middle; None where most were not, or it may be the zone. No fault by itself: either of
        two clocks may be wrong, and programs that handle files may set their times.
    """
    late = []
    for place, frame in enumerate(timeline.frames):
        if not frame.time_is_camera:
            continue
        written_ns = frame.files[0].modified_ns
        if written_ns < _KNOWN_FILE_TIME_NS:
            return None
        written = datetime.fromtimestamp(written_ns / 1e9, UTC).replace(tzinfo=None)
        late.append(timeline.time(place) - written)
    if not late:
        return None
    usual = sorted(late)[len(late) // 2]
    if usual <= _ANY_ZONE or np.mean([one > _ANY_ZONE for one in late]) < _MOST:
        return None
    return round(usual / timedelta(days=1))


# --- the season -----------------------------------------------------------------------------------------------------


def _out_of_season(timeline: Timeline, bright: Flags, dark: Flags) -> OddDate | None:
    """Look for light that fits the sun of another season better, where no shift of the hours explains it."""
    sky = timeline.night.sky
    telling = np.flatnonzero((bright | dark) & ~timeline.damaged)
    if sky is None or len(sky.sun) < 4 or len(telling) < _FEWEST:
        return None
    hours, height, place_deg, day_deg = _sun_of(timeline, sky.sun, telling)
    against = _disagreeing(np.degrees(np.arcsin(height)), bright[telling])
    now = int(against.sum())
    if now < _FEWEST or now < _LEAST_SHARE * len(telling):
        return None
    seasons = np.arange(-_TILT_DEG, _TILT_DEG + 0.1, 1.0)
    wrong = [
        int(_disagreeing(_heights(place_deg, season, hours), bright[telling]).sum()) for season in seasons
    ]
    best = min(wrong)
    fitting = [float(season) for season, one in zip(seasons, wrong, strict=True) if one == best]
    nearest = min(fitting, key=lambda season: abs(season - day_deg))
    if best > _EXPLAINED * now or abs(nearest - day_deg) < _LEAST_APART_DEG:
        return None
    share = now / len(telling)
    longer = place_deg * nearest < place_deg * day_deg
    return OddDate(
        FaultKind.WRONG,
        min(0.85, 0.4 + 0.6 * share + 0.02 * now),
        tuple(int(place) for place in telling[against]),
        f"{now} of {counted(len(telling), 'frame')} ({percent(share)}) disagree with the sun of this date, and no "
        f"other hour would mend that: nights are {'longer' if longer else 'shorter'} on the pictures. Another date "
        "would explain them; so would a wrong place given to this program.",
    )


def _sun_of(
    timeline: Timeline, sun: Sequence[tuple[datetime, float]], telling: Places
) -> tuple[Row, Row, float, float]:
    """Fit the sun's daily path; give hour angle and sine of the height at frames, and latitude and declination.

    The sine of the height is sin(lat) sin(dec) + cos(lat) cos(dec) cos(hour angle) (Meeus 1998, Astronomical
    Algorithms, chapter 13, from memory), the declination about -23.44 degrees times
    cos(2 pi (days after the December solstice) / 365).
    """
    start = sun[0][0]

    def turns(moments: Sequence[datetime]) -> Row:
        return np.array([(moment - start) / timedelta(days=1) for moment in moments]) * 2.0 * math.pi

    angle = turns([moment for moment, _ in sun])
    known = np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle)], axis=1)
    heights = np.sin(np.radians([height for _, height in sun]))
    level, cosine, sine = np.linalg.lstsq(known, heights, rcond=None)[0]
    at = turns([timeline.time(int(place)) for place in telling])
    height = np.clip(level + cosine * np.cos(at) + sine * np.sin(at), -1.0, 1.0)
    since = start.timetuple().tm_yday - _LATEST_DAY
    day_deg = -_TILT_DEG * math.cos(2.0 * math.pi * since / 365.0)
    reach = min(1.0, math.hypot(cosine, sine) / math.cos(math.radians(day_deg)))
    place_deg = math.degrees(math.acos(reach)) * (1.0 if level * day_deg >= 0 else -1.0)
    return np.asarray(at - math.atan2(sine, cosine)), np.asarray(height), place_deg, day_deg


def _heights(place_deg: float, season_deg: float, hours: Row) -> Row:
    place, season = math.radians(place_deg), math.radians(season_deg)
    sine = math.sin(place) * math.sin(season) + math.cos(place) * math.cos(season) * np.cos(hours)
    return np.asarray(np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0))))


def _disagreeing(height_deg: Row, bright: Flags) -> Flags:
    """Find the bright frames of deep night and the dark ones of plain day."""
    return np.where(bright, height_deg < _DARK_DEG, height_deg > _LIGHT_DEG)
