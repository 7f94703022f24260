"""Times, pauses and counts in words, for labels and tips; no widgets."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from triage.ui.tongue import counted, tr

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

MINUTE_S, HOUR_S, DAY_S = 60, 3_600, 86_400


def day_words(day: date) -> str:
    """Return a day as ``Sun 4 Oct``; the tool's words follow the window's language, not the system's."""
    return tr("{weekday} {day}", weekday=tr(WEEKDAYS[day.weekday()]), day=_month_day(day))


def days_words(first: date, last: date) -> str:
    """Return a stretch of days as ``3 to 4 Oct 2026``, or one day as ``4 Oct 2026``."""
    if first.year != last.year:
        return tr("{first} to {last}", first=days_words(first, first), last=days_words(last, last))
    return tr("{days} {year}", days=short_days_words(first, last), year=last.year)


def short_days_words(first: date, last: date) -> str:
    """Return a stretch of days without their year: ``3 to 4 Oct``, ``28 Sep to 4 Oct``, ``4 Oct``."""
    if first == last:
        return _month_day(last)
    same_month = (first.year, first.month) == (last.year, last.month)
    return tr(
        "{first} to {last}", first=first.day if same_month else _month_day(first), last=_month_day(last)
    )


def _month_day(day: date) -> str:
    return tr("{day} {month}", day=day.day, month=tr(MONTHS[day.month - 1]))


def sayable(text: str) -> str:
    """Return text fit for the screen: undecodable bytes of a file name become question marks."""
    return text.encode("utf-8", "replace").decode("utf-8")


def clock_words(moment: datetime, *, seconds: bool = False) -> str:
    """Return the time of day as ``02:10``, or ``02:10:05``."""
    return f"{moment:%H:%M:%S}" if seconds else f"{moment:%H:%M}"


def duration_words(seconds: float) -> str:
    """Return a length of time in at most two units: ``0.4 s``, ``6 min``, ``1 h 20 min``, ``3 d 4 h``."""
    if seconds < 9.95:
        return tr("{seconds} s", seconds=f"{seconds:.1f}".removesuffix(".0"))
    whole = round(seconds)
    if whole < MINUTE_S:
        return tr("{seconds} s", seconds=whole)
    if whole < 10 * MINUTE_S:
        minutes, rest = divmod(whole, MINUTE_S)
        return tr("{minutes} min {seconds} s" if rest else "{minutes} min", minutes=minutes, seconds=rest)
    minutes = round(seconds / MINUTE_S)
    if minutes < 60:
        return tr("{minutes} min", minutes=minutes)
    if minutes < 24 * 60:
        hours, rest = divmod(minutes, 60)
        return tr("{hours} h {minutes} min" if rest else "{hours} h", hours=hours, minutes=rest)
    days, rest = divmod(round(seconds / HOUR_S), 24)
    return tr("{days} d {hours} h" if rest else "{days} d", days=days, hours=rest)


def offset_words(seconds: float, *, digits: int | None = None) -> str:
    """Return how long after the event's first frame: ``+1.2 s``, ``+6 min 5 s``; the first is ``0 s``.

    With `digits` the seconds are written out, with so many decimals: ``+1 h 6 min 5.3 s``.
    """
    if abs(seconds) < (0.05 if digits is None else 0.5 * 0.1**digits):
        return tr("{seconds} s", seconds=0)
    if seconds < 0:
        return f"\N{MINUS SIGN}{offset_words(-seconds, digits=digits).removeprefix('+')}"
    if digits is None:
        return f"+{duration_words(seconds)}"
    parts = 10**digits
    minutes, rest = divmod(round(seconds * parts), MINUTE_S * parts)
    hours, minutes = divmod(minutes, 60)
    small = f"{rest / parts:.{digits}f}"
    left = small.rstrip("0").rstrip(".") if digits else small
    if hours:
        words = tr("{hours} h {minutes} min {seconds} s", hours=hours, minutes=minutes, seconds=left)
    elif minutes:
        words = tr("{minutes} min {seconds} s", minutes=minutes, seconds=left)
    else:
        words = tr("{seconds} s", seconds=left)
    return f"+{words}"


def offset_label(offsets: Sequence[float], place: int, *, tenths: bool = False) -> str:
    """Return a frame's offset as briefly as tells it from the frames beside it, at least to `tenths` if wanted.

    A pair of frames ten minutes into an event are ``+10 min 2 s`` and ``+10 min 4 s``, not twice ``+10 min``.
    """
    here = offsets[place]
    beside = [offsets[near] for near in (place - 1, place + 1) if 0 <= near < len(offsets)]
    grades: list[int | None] = [1, 2] if tenths else [None, 0, 1, 2]
    for digits in grades:
        words = offset_words(here, digits=digits)
        if all(offset_words(other, digits=digits) != words for other in beside):
            return words
    return offset_words(here, digits=grades[0])


def frames_words(count: int) -> str:
    """Return how many frames: ``1 frame``, ``14 frames``, ``1,200 frames``."""
    return counted(count, "{count} frame", "{count} frames")


def events_words(count: int) -> str:
    """Return how many events."""
    return counted(count, "{count} event", "{count} events")


def list_words(parts: Iterable[str]) -> str:
    """Join words as in a sentence: ``a``, ``a and b``, ``a, b and c``."""
    words = list(parts)
    if len(words) < 2:
        return "".join(words)
    return tr("{several} and {last}", several=", ".join(words[:-1]), last=words[-1])
