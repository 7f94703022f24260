"""A clock that disagrees with the night itself, though nobody knows the place.

Light falls at dusk and comes back at dawn through the same brightness at the same height of the sun, so the
middle between the two is the middle of the solar night, whatever the latitude and the season. By clocks that
are set to the time of their zone it lies between 23:00 and 3:00 nearly everywhere: up to an hour early at the
eastern border of a zone, up to three late where zones are wide or summer time is kept. (Sun's meridian
passage: Meeus 1998, Astronomical Algorithms, chapter 15, from memory; zones: the public time zone database.)
"""

import itertools
from dataclasses import dataclass
from datetime import datetime, time, timedelta

import numpy as np

from triage.diagnose import limits
from triage.diagnose.timeline import Flags, Places, Timeline

_LEVELS = (0.04, 0.06, 0.1, 0.15, 0.3)
_EARLIEST_H, _LATEST_H = -1.0, 3.0
_SLACK_H = 0.3  # one side cloudy, the other clear: the same light comes a quarter of an hour sooner or later
_SHORTEST_H, _LONGEST_H = 3.0, 19.0
_WIDEST_H = 3.0
_FEWEST_DARK = 3
_DAY_S = 86400.0
_CLEAR = 0.1
_MUCH = 0.4
_OFF, _FULL, _TOO_MUCH = 0.1, 0.93, 1.4
_OTHER_SETTINGS = 1.5  # exposure by which the same light passes for another level


@dataclass(frozen=True, slots=True)
class SolarNight:
    """The middle of a night, as the light tells it.

    Attributes
    ----------
    dusk, dawn : datetime
        Camera time of the last light before the dark, and of the first after it.
    low_h, high_h : float
        The middle of the night, in hours from the nearest midnight of the camera's clock, at least and at most.
    """

    dusk: datetime
    dawn: datetime
    low_h: float
    high_h: float

    @property
    def off_h(self) -> float:
        """By how many hours the clock is at least wrong: below 0 it is slow; 0 where it may be right."""
        if self.high_h + _SLACK_H < _EARLIEST_H:
            return self.high_h + _SLACK_H - _EARLIEST_H
        return max(0.0, self.low_h - _SLACK_H - _LATEST_H)


def solar_night(timeline: Timeline) -> SolarNight | None:
    """Find the middle of the night that the light tells best.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    SolarNight or None
        None where the card does not show dusk and dawn of one night closely enough.
    """
    places = np.flatnonzero(_tells(timeline))
    found = [night for level in _LEVELS for night in _nights(timeline, places, level)]
    return min(found, key=lambda night: night.high_h - night.low_h, default=None)


def _tells(timeline: Timeline) -> Flags:
    """Choose frames whose other light can be nothing but the sky's.

    Fog, mist and a view that moved also leave light that the flashes' patterns do not explain; but then the
    flashes themselves seem weaker than they are. A body near a flash throws light about, too: frames with a
    subject tell only where there is much light. Only the first frame of a trip has fully charged flashes.
    """
    told = np.isfinite(timeline.ambient) & np.array([frame.time_is_camera for frame in timeline.frames])
    told &= ~(timeline.haze > _CLEAR) & (np.diff(timeline.burst, prepend=-1) > 0)
    told &= ~timeline.subject | (timeline.ambient >= _MUCH)
    told &= ~(np.max(np.abs(np.nan_to_num(timeline.shift)), axis=1) > limits.MOVED)
    for output in timeline.outputs.values():
        told &= ~(timeline.needs_flash & (output > _OFF) & ((output < _FULL) | (output > _TOO_MUCH)))
    return np.asarray(told, np.bool_)


def _nights(timeline: Timeline, places: Places, level: float) -> list[SolarNight]:
    """Find every run of frames darker than a level, with lighter ones at both ends.

    A light that goes on and off again within a night is no sun.
    """
    dark = timeline.ambient[places] < level
    edges = np.flatnonzero(np.diff(dark.astype(int)))
    nights = []
    for begin, end in itertools.pairwise(edges):
        if not dark[begin + 1] or end - begin < _FEWEST_DARK:
            continue
        near = np.abs(timeline.seconds[places] - timeline.seconds[places[begin + 1]]) < _DAY_S / 2
        near |= np.abs(timeline.seconds[places] - timeline.seconds[places[end]]) < _DAY_S / 2
        if np.count_nonzero(np.diff(dark[near].astype(int))) != 2:
            continue
        corners = [int(places[place]) for place in (begin, begin + 1, end, end + 1)]
        if not _same_settings(timeline, corners):
            continue
        night = _middle(*(timeline.time(place) for place in corners))
        if night is not None:
            nights.append(night)
    return nights


def _same_settings(timeline: Timeline, places: list[int]) -> bool:
    """Whether the frames at dusk and dawn were exposed alike, so that a level is the same light on both sides."""
    exposures = []
    for place in places:
        capture = timeline.frames[place].capture
        if capture.exposure_s and capture.f_number and capture.iso:
            exposures.append(capture.exposure_s * capture.iso / capture.f_number**2)
    return not exposures or max(exposures) <= _OTHER_SETTINGS * min(exposures)


def _middle(
    light: datetime, dark: datetime, still_dark: datetime, light_again: datetime
) -> SolarNight | None:
    lasted = (light_again - light) / timedelta(hours=1)
    low, high = light + (still_dark - light) / 2, dark + (light_again - dark) / 2
    if not _SHORTEST_H <= lasted <= _LONGEST_H or (high - low) / timedelta(hours=1) > _WIDEST_H or high < low:
        return None
    midnight = datetime.combine((low + timedelta(hours=12)).date(), time())
    return SolarNight(
        light, light_again, (low - midnight) / timedelta(hours=1), (high - midnight) / timedelta(hours=1)
    )
