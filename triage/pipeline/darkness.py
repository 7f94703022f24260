"""How likely the scene was dark but for flash, when each frame was taken."""

from collections.abc import Sequence
from datetime import UTC, tzinfo

import numpy as np

from triage.records.arrays import Plane
from triage.records.frame import Frame
from triage.sky.heaven import sun_altitude
from triage.sky.season import height_of_sun

_BY_CLOCK = (
    (0.0, 1.0),
    (4.5, 0.95),
    (5.5, 0.5),
    (8.0, 0.4),
    (8.5, 0.05),
    (16.0, 0.05),
    (16.5, 0.4),
    (20.0, 0.5),
    (21.0, 0.9),
    (24.0, 1.0),
)
"""Hour of the camera's clock, and the chance of darkness with place and season unknown: the middle latitudes' year."""

_A_CLOCK_MAY_BE_WRONG = 0.15
"""Share of cards for which the season counts for nothing; a guess."""

_LEFT_OPEN = 0.3
"""Morning and evening stay open at least so far, for the same reason."""

_LATITUDES = (35.0, 40.0, 45.0, 50.0, 55.0, 60.0, -40.0)
_WEIGHTS = (1.0, 1.5, 2.0, 2.0, 1.5, 1.0, 1.0)
"""Where cards come from, without knowing it: mostly the northern middle latitudes; a guess."""

_AHEAD_H = (-0.5, 0.0, 0.5, 1.0)
"""Legal time is so many hours ahead of the sun, within the zones of most countries..."""

_SUMMER_TIME_H, _SUMMER_MONTHS, _KEEP_IT = 1.0, range(4, 11), 0.7
"""...and in these months one more in the north, for this share of the cards: much of Asia keeps no summer time."""

_BY_SUN = ((-9.0, 1.0), (-6.0, 0.7), (-3.0, 0.3), (0.0, 0.05))
"""Height of the sun in degrees, and the chance that an exposure made for flash is dark without it."""


def natural_darkness(
    frames: Sequence[Frame], place: tuple[float, float] | None, zone: tzinfo | None
) -> Plane:
    """Tell how likely each frame's scene was dark but for flash.

    Parameters
    ----------
    frames : sequence of Frame
        In order.
    place : (lat, lon) or None
        Degrees; None to go by the clock's hour alone.
    zone : tzinfo or None
        The camera's zone; needed with a place.

    Returns
    -------
    ndarray of float32, shape (N,)
        0 to 1.
    """
    if place is None or zone is None:
        return _by_clock_and_season(frames)
    heights = [
        sun_altitude(frame.time.replace(tzinfo=zone).astimezone(UTC), place[0], place[1]) for frame in frames
    ]
    return _looked_up(np.array(heights), _BY_SUN)


def _looked_up(values: Plane, table: tuple[tuple[float, float], ...]) -> Plane:
    """Interpolate in a table."""
    known, chances = zip(*table, strict=True)
    return np.asarray(np.interp(values, known, chances), np.float32)


def _by_clock_and_season(frames: Sequence[Frame]) -> Plane:
    """Average over the places and zones that a card may come from, and over those whose clock means nothing."""
    hours = np.array([frame.time.hour + frame.time.minute / 60 for frame in frames], np.float32)
    days = np.array([frame.time.timetuple().tm_yday for frame in frames], np.float32)
    summer = np.array([frame.time.month in _SUMMER_MONTHS for frame in frames])
    chances = np.zeros(len(frames), np.float32)
    for latitude, weight in zip(_LATITUDES, _WEIGHTS, strict=True):
        keep_it = np.where(summer & (latitude > 0), _KEEP_IT, 0.0)
        for offset in _AHEAD_H:
            for ahead, share in ((_SUMMER_TIME_H, keep_it), (0.0, 1.0 - keep_it)):
                heights = height_of_sun(days, np.asarray(hours - ahead - offset, np.float32), latitude)
                chances += weight * share * _looked_up(heights, _BY_SUN)
    by_season = chances / (sum(_WEIGHTS) * len(_AHEAD_H))
    by_hour = _looked_up(hours, _BY_CLOCK)
    mixed = (1.0 - _A_CLOCK_MAY_BE_WRONG) * by_season + _A_CLOCK_MAY_BE_WRONG * by_hour
    return np.asarray(np.maximum(mixed, np.minimum(by_hour, _LEFT_OPEN)), np.float32)
