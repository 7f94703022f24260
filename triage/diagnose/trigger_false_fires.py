"""Trigger false fires: many empty trips, tied to sun, wind or a regular interval."""

import math

import numpy as np

from triage.diagnose import limits
from triage.diagnose.timeline import Flags, Places, Row, Timeline
from triage.diagnose.trigger import Trips, trips_of
from triage.diagnose.words import duration, when
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.percent import percent

_REGULAR = 0.12  # spread of the pauses, as a share of the pause, up to which a clockwork fires
_SURE = 0.95
_LEAST_SURPRISE = 6.0  # one night in four hundred, as many stretches are looked at
_DAYLIGHT = 0.4
_HOUR_S = 3600.0
_MANY_AN_HOUR = 3.0
_OFTENER = 2.5
_OCCASION_S = 180.0
_UNTIED = 0.45
_MOST_TRIPS = 600  # the search is over pairs; longer cards are looked at in steps


def find_false_fires(timeline: Timeline) -> Fault | None:
    """Find a stretch of the card in which the sensor was mostly tripped by nobody.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Fault or None
        None where empty trips are few.

    Notes
    -----
    The stretch is the one whose share of empty trips is the least likely under the share of the rest: a scan
    statistic in the order of trips (Kulldorff 1997, Communications in Statistics 26:1481-1496, from memory).
    """
    trips = trips_of(timeline)
    if trips.empty.sum() < limits.EMPTY_TRIPS:
        return None
    first, last = _most_empty_stretch(trips.empty)
    inside = trips.empty[first : last + 1]
    share = float(np.mean(inside))
    count = int(inside.sum())
    if (
        count < limits.EMPTY_TRIPS
        or share < limits.EMPTY_SHARE
        or _surprise(share, len(inside)) < _LEAST_SURPRISE
    ):
        return None
    places = trips.first[first : last + 1][inside]
    seconds = trips.seconds[first : last + 1][inside]
    beat = _regular_beat(seconds)
    sure = min(_SURE, 0.3 + 0.9 * (share - limits.EMPTY_SHARE) + 0.015 * (count - limits.EMPTY_TRIPS))
    if beat is not None:
        sure = max(sure, 0.9)
    elif not _by_day(timeline, places) and not _hurried(seconds, trips):
        # A trip an hour all night is what animals leave that pass beside the frame, or are gone again.
        sure = min(sure, _UNTIED)
    ended = last < len(trips.empty) - 1
    return Fault(
        part=Part.TRIGGER,
        kind=FaultKind.FALSE_FIRES,
        start=timeline.time(int(places[0])),
        end=timeline.time(int(places[-1])) if ended else None,
        confidence=round(sure, 3),
        evidence=timeline.indexes(places),
        say=_say(timeline, trips, (first, last), places=places, beat=beat),
        remedy=_remedy(beat is not None, daylight=_by_day(timeline, places)),
    )


def _most_empty_stretch(empty: Flags) -> tuple[int, int]:
    """Scan every stretch that begins and ends with an empty trip."""
    total, count = int(empty.sum()), len(empty)
    ends = np.flatnonzero(empty)
    if len(ends) > _MOST_TRIPS:
        ends = ends[np.unique(np.linspace(0, len(ends) - 1, _MOST_TRIPS).astype(int))]
    sums = np.concatenate([[0], np.cumsum(empty)])
    one, two = np.meshgrid(ends, ends, indexing="ij")
    keep = two >= one
    one, two = one[keep], two[keep]
    inside = sums[two + 1] - sums[one]
    width = two + 1 - one
    score = _log_likelihood(inside, width) + _log_likelihood(total - inside, count - width)
    rest = (total - inside) / np.maximum(count - width, 1)
    score = np.where((inside / width >= rest) & (inside >= limits.EMPTY_TRIPS), score, -np.inf)
    best = int(np.argmax(score + 1e-9 * width))
    return int(one[best]), int(two[best])


def _surprise(share: float, number: int) -> float:
    """Bound how unlikely so many empty trips are on a healthy night, as minus the logarithm of the chance.

    Chernoff 1952, Annals of Mathematical Statistics 23:493-507 (from memory): the number of trips times the
    divergence of the shares.
    """
    usual = limits.USUAL_EMPTY_SHARE
    full = share * math.log(share / usual)
    rest = (1.0 - share) * math.log((1.0 - share) / (1.0 - usual)) if share < 1.0 else 0.0
    return number * (full + rest)


def _log_likelihood(hits: Places, number: Places) -> Row:
    """Log likelihood of yes-or-no trials under their own share; 0 for none."""
    share = np.clip(hits / np.maximum(number, 1), 1e-9, 1.0 - 1e-9)
    return np.asarray(hits * np.log(share) + (number - hits) * np.log(1.0 - share))


def _regular_beat(seconds: Row) -> float | None:
    """Find the pause of a clockwork in seconds, if most pauses are alike."""
    pauses = np.diff(seconds)
    if len(pauses) < limits.EMPTY_TRIPS - 1:
        return None
    usual = float(np.median(pauses))
    spread = 1.4826 * float(np.median(np.abs(pauses - usual)))
    return usual if usual > 0 and spread <= _REGULAR * usual and math.isfinite(usual) else None


def _hurried(seconds: Row, trips: Trips) -> bool:
    """Tell whether empty trips follow each other as sun and wind make them, or far faster than the rest.

    What comes within minutes may be one animal going to and fro, and counts once.
    """
    lasted = max(float(seconds[-1] - seconds[0]), _HOUR_S)
    rate = _occasions(seconds) / lasted
    rest = float(trips.seconds[-1] - trips.seconds[0]) - lasted
    others = _occasions(trips.seconds[(trips.seconds < seconds[0]) | (trips.seconds > seconds[-1])])
    return rate * _HOUR_S >= _MANY_AN_HOUR or (rest > _HOUR_S and rate > _OFTENER * max(1, others) / rest)


def _occasions(seconds: Row) -> int:
    return len(np.unique(seconds // _OCCASION_S))


def _by_day(timeline: Timeline, places: Places) -> bool:
    ambient = timeline.ambient[places]
    return bool(np.any(np.isfinite(ambient))) and float(np.nanmean(ambient > _DAYLIGHT)) > 0.6


def _say(
    timeline: Timeline,
    trips: Trips,
    stretch: tuple[int, int],
    *,
    places: Places,
    beat: float | None,
) -> str:
    first, last = stretch
    number = last + 1 - first
    lasted = duration(float(trips.seconds[last] - trips.seconds[first]))
    say = (
        f"{len(places)} of {number} trips of the sensor show nobody ({percent(len(places) / number)}), "
        "within "
        f"{lasted} from {when(timeline, int(places[0]))} on"
    )
    if beat is not None:
        return f"{say}, one about every {duration(beat)}: something fires the camera by the clock."
    if _by_day(timeline, places):
        return f"{say}, mostly by daylight: moving sun patches, warm air or wind in the leaves do that."
    return (
        f"{say}: wind in the leaves, rain, or animals passing outside the frame do that; the pictures "
        "cannot tell which."
    )


def _remedy(regular: bool, *, daylight: bool) -> str:
    if regular:
        return (
            "Look for an interval timer in the camera or the sensor and switch it off; unplug the sensor "
            "for a minute: "
            "if the camera still fires, it fires itself."
        )
    if daylight:
        return (
            "Turn the sensor away from sunlit ground and leaves, shade it, lower its sensitivity, and cut "
            "nothing but "
            "loose grass in its way."
        )
    return (
        "Tie back loose grass and twigs in the sensor's way, lower its sensitivity, narrow its view to the "
        "path, and walk "
        "through and past it to see what trips it."
    )
