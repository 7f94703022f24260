"""What the words of a command mean: intervals, places, zones. Strict, and refused in plain words."""

import argparse
import math
from datetime import datetime

from triage.errors import UsageError
from triage.records.night import Window
from triage.records.result import FARTHEST_M, Options


def setup_window(text: str) -> Window:
    """Read one setup window.

    Parameters
    ----------
    text : str
        An ISO 8601 interval in camera time, ``2026-10-03T17:25/2026-10-03T18:10``.

    Returns
    -------
    Window
        Both ends included.

    Raises
    ------
    argparse.ArgumentTypeError
        It is not an interval, carries a zone, or does not end after it starts.
    """
    start_text, slash, end_text = text.partition("/")
    if not slash:
        msg = f"'{text}' is not START/END, for example 2026-10-03T17:25/2026-10-03T18:10"
        raise argparse.ArgumentTypeError(msg)
    start, end = _camera_time(start_text), _camera_time(end_text)
    if end <= start:
        msg = f"'{text}' ends {'when' if end == start else 'before'} it starts"
        raise argparse.ArgumentTypeError(msg)
    return Window(start, end)


def _camera_time(text: str) -> datetime:
    # fromisoformat() also takes a blank or any other sign between date and time, and a date alone (midnight):
    # more likely slips than wishes.
    try:
        moment = datetime.fromisoformat(text)
    except ValueError as error:
        msg = f"'{text}' is not a date and time as in 2026-10-03T17:25"
        raise argparse.ArgumentTypeError(msg) from error
    if text.count("T") != 1:
        msg = f"'{text}' is not a date and time joined by T, as in 2026-10-03T17:25"
        raise argparse.ArgumentTypeError(msg)
    if moment.tzinfo is not None:
        msg = f"'{text}' has a time zone; setup times are the camera's own, without one"
        raise argparse.ArgumentTypeError(msg)
    return moment


def latitude(text: str) -> float:
    """Read a latitude.

    Parameters
    ----------
    text : str
        As the user wrote it.

    Returns
    -------
    float
        Degrees, -90 to 90, north positive.

    Raises
    ------
    argparse.ArgumentTypeError
        It is not one.
    """
    return _degrees(text, limit=90, name="a latitude", positive="north")


def longitude(text: str) -> float:
    """Read a longitude.

    Parameters
    ----------
    text : str
        As the user wrote it.

    Returns
    -------
    float
        Degrees, -180 to 180, east positive.

    Raises
    ------
    argparse.ArgumentTypeError
        It is not one.
    """
    return _degrees(text, limit=180, name="a longitude", positive="east")


def _degrees(text: str, *, limit: int, name: str, positive: str) -> float:
    msg = f"'{text}' is not {name}: degrees from -{limit} to {limit}, {positive} positive, as in 51.25"
    return number(text, least=-limit, most=limit, msg=msg)


def number(text: str, *, least: float, most: float, msg: str) -> float:
    """Read a number within bounds.

    Parameters
    ----------
    text : str
        As the user wrote it.
    least, most : float
        Both may be given.
    msg : str
        Says what is wanted instead.

    Returns
    -------
    float
        Never nan.

    Raises
    ------
    argparse.ArgumentTypeError
        It is not one.
    """
    try:
        value = float(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(msg) from error
    if not least <= value <= most:  # also refuses nan
        raise argparse.ArgumentTypeError(msg)
    return value


def distance(text: str) -> float:
    """Read how far from the camera animals pass.

    Parameters
    ----------
    text : str
        As the user wrote it.

    Returns
    -------
    float
        Metres, above 0 and up to 100.

    Raises
    ------
    argparse.ArgumentTypeError
        It is not one.
    """
    msg = f"'{text}' is not a distance from the camera: metres, above 0 and up to {FARTHEST_M:g}, as in 3.5"
    return number(text, least=math.nextafter(0.0, 1.0), most=FARTHEST_M, msg=msg)


def zone(text: str) -> str:
    """Check a time zone: an IANA name or an offset.

    Parameters
    ----------
    text : str
        As the user wrote it.

    Returns
    -------
    str
        As it was written.

    Raises
    ------
    argparse.ArgumentTypeError
        It is not one.
    """
    from triage.sky.zone import parse_zone

    try:
        parse_zone(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from error
    return text


def add_night_options(parser: argparse.ArgumentParser) -> None:
    """Add the options that tell the tool about the night.

    Parameters
    ----------
    parser : argparse.ArgumentParser
        Of a command.
    """
    night = parser.add_argument_group("what you know about the night")
    night.add_argument(
        "--setup",
        metavar="START/END",
        action="append",
        type=setup_window,
        default=[],
        help="you were at the rig then, in camera time, as 2026-10-03T17:25/2026-10-03T18:10; may be given "
        "several times; replaces what the tool would work out by itself",
    )
    night.add_argument(
        "--lat",
        metavar="DEG",
        type=latitude,
        help="latitude of the site, north positive; together with --lon",
    )
    night.add_argument(
        "--lon",
        metavar="DEG",
        type=longitude,
        help="longitude of the site, east positive; together with --lat",
    )
    night.add_argument(
        "--tz", metavar="ZONE", type=zone, help="time zone of the camera's clock: an IANA name, or as +01:00"
    )
    night.add_argument(
        "--flashes",
        metavar="N",
        type=int,
        choices=(1, 2, 3),
        help="how many flashes the rig has, 1 to 3; worked out from the card where it can be when not given",
    )
    night.add_argument(
        "--distance",
        metavar="M",
        type=distance,
        help="metres from the camera to where the animals pass, for advice on the aim in centimetres; taken from the "
        "pictures where they carry it",
    )
    night.add_argument("--site", metavar="NAME", help="name of the site")


def night_options(words: argparse.Namespace) -> Options:
    """Gather what the user said of the night.

    Parameters
    ----------
    words : argparse.Namespace
        With the options of `add_night_options`.

    Returns
    -------
    Options
        Setup windows in order of time.

    Raises
    ------
    UsageError
        A latitude without a longitude, or the other way round.
    """
    if (words.lat is None) != (words.lon is None):
        given, wanted = ("--lat", "--lon") if words.lon is None else ("--lon", "--lat")
        msg = f"{given} needs {wanted} beside it: a place has both."
        raise UsageError(msg)
    setup = tuple(sorted(words.setup, key=lambda window: (window.start, window.end)))
    return Options(
        setup=setup,
        lat=words.lat,
        lon=words.lon,
        tz=words.tz,
        flashes=words.flashes,
        site=words.site,
        distance_m=words.distance,
    )
