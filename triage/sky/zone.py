"""What the user types for a time zone, understood."""

import re
from datetime import UTC, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

_OFFSET = re.compile(r"(?:UTC)?([+-])(\d{1,2})(?::?([0-5]\d))?", re.IGNORECASE)
_LARGEST_OFFSET_MIN = 14 * 60  # the date line's farthest zone, +14:00
_ACCEPTED = (
    "Give a zone as an IANA name such as Europe/Berlin, as an offset from UTC such as +01:00 or -03:30, "
    "or as Z."
)


def parse_zone(text: str) -> tzinfo:
    """Understand a time zone given by name or by offset.

    Parameters
    ----------
    text : str
        An IANA name (``Europe/Berlin``), an offset (``+01:00``, ``-03:30``, ``+1``), or ``Z``.

    Returns
    -------
    tzinfo
        The zone.

    Raises
    ------
    ValueError
        With a sentence that lists what is accepted.
    """
    wanted = text.strip()
    if wanted.upper() in {"Z", "UTC"}:
        return UTC
    # A minus sign or dash that a word processor has made of a hyphen is still a minus.
    offset = _OFFSET.fullmatch(wanted.replace("\N{MINUS SIGN}", "-").replace("\N{EN DASH}", "-"))
    if offset:
        return _fixed(text, sign=offset[1], hours=int(offset[2]), minutes=int(offset[3] or 0))
    try:
        return ZoneInfo(wanted)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        # Folder names ("Europe") raise OSError, absolute paths and "../" raise ValueError.
        message = f"'{text}' is not a time zone known here. {_ACCEPTED}"
        raise ValueError(message) from error


def _fixed(text: str, *, sign: str, hours: int, minutes: int) -> tzinfo:
    total = hours * 60 + minutes
    if total > _LARGEST_OFFSET_MIN:
        message = f"'{text}' is farther from UTC than any zone (14 hours). {_ACCEPTED}"
        raise ValueError(message)
    return timezone(timedelta(minutes=-total if sign == "-" else total))
