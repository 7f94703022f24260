"""How likely the scene was dark but for flash, when each frame was taken."""

from collections.abc import Sequence
from datetime import UTC, tzinfo

import numpy as np

from triage.records.arrays import Plane
from triage.records.frame import Frame
from triage.sky.heaven import sun_altitude

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
"""Hour of the camera's clock, and the chance of darkness without knowing the place: the middle latitudes' year."""

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
        hours = [frame.time.hour + frame.time.minute / 60 for frame in frames]
        table: tuple[tuple[float, float], ...] = _BY_CLOCK
    else:
        hours = [
            sun_altitude(frame.time.replace(tzinfo=zone).astimezone(UTC), place[0], place[1])
            for frame in frames
        ]
        table = _BY_SUN
    known, chances = zip(*table, strict=True)
    return np.asarray(np.interp(hours, known, chances), np.float32)
