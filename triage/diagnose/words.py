"""Figures and names as people read them."""

from datetime import datetime, timedelta

from triage.diagnose.timeline import Timeline
from triage.records.diagnosis import Part

_LONG = timedelta(hours=22)
MONTHS = (
    "January February March April May June July August September October November December".split()  # noqa: SIM905
)
_NAMES = {
    Part.FLASH_LEFT: "the left flash",
    Part.FLASH_RIGHT: "the right flash",
    Part.FLASH_3: "the third flash",
    Part.FLASH_LINK: "the flashes, all together,",
}


def lamp_name(part: Part) -> str:
    """Name a flash part inside a sentence."""
    return _NAMES[part]


def counted(number: int, one: str, many: str | None = None) -> str:
    """Say a number of things: ``1 frame``, ``3 frames``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def clock(moment: datetime, *, long: bool) -> str:
    """Say a moment: the time of day, with the date where the card spans more than a night."""
    time = f"{moment:%H:%M}"
    return f"{time} on {moment.day} {MONTHS[moment.month - 1]}" if long else time


def when(timeline: Timeline, place: int) -> str:
    """Say when a frame was taken, with the date where the card spans more than a night."""
    return clock(timeline.time(place), long=is_long(timeline.frames[0].time, timeline.frames[-1].time))


def is_long(first: datetime, last: datetime) -> bool:
    """Tell whether times of day alone would be ambiguous."""
    return abs(last - first) > _LONG


def duration(seconds: float) -> str:
    """Say how long: ``40 seconds``, ``25 minutes``, ``3.5 hours``, ``4 days``."""
    if seconds < 90:
        return counted(round(seconds), "second")
    if seconds < 5400:
        return counted(round(seconds / 60), "minute")
    if seconds < 172800:
        return f"{seconds / 3600:.1f} hours"
    return counted(round(seconds / 86400), "day")
