"""Where and in which zone the camera stood, as far as the user or the pictures tell."""

from collections.abc import Sequence
from datetime import timedelta, timezone, tzinfo

from triage.errors import UsageError
from triage.records.frame import Frame
from triage.records.result import Options
from triage.sky.zone import parse_zone


def place_of(frames: Sequence[Frame], options: Options) -> tuple[float, float] | None:
    """Find the place.

    Parameters
    ----------
    frames : sequence of Frame
        The card's frames.
    options : Options
        What the user said comes first.

    Returns
    -------
    (lat, lon) or None
        Degrees, north and east positive; the first position found in the pictures where the user gave none.
    """
    if options.lat is not None and options.lon is not None:
        return options.lat, options.lon
    for frame in frames:
        capture = frame.capture
        if capture.lat is not None and capture.lon is not None:
            return capture.lat, capture.lon
    return None


def zone_of(frames: Sequence[Frame], options: Options) -> tzinfo | None:
    """Find the camera's zone.

    Parameters
    ----------
    frames : sequence of Frame
        The card's frames.
    options : Options
        What the user said comes first.

    Returns
    -------
    tzinfo or None
        The user's; else the pictures' own offset; else the zone whose hours fit the longitude, since a clock is
        usually set to local time; None without a place.

    Raises
    ------
    UsageError
        The zone given is not one.
    """
    if options.tz is not None:
        try:
            return parse_zone(options.tz)
        except ValueError as error:
            raise UsageError(str(error)) from error
    for frame in frames:
        if frame.capture.offset_min is not None:
            return timezone(timedelta(minutes=frame.capture.offset_min))
    place = place_of(frames, options)
    return None if place is None else timezone(timedelta(hours=round(place[1] / 15.0)))
