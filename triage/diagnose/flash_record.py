"""What each flash gave over the night, and what the fall of its light says of its cells."""

from collections.abc import Collection

import numpy as np

from triage.diagnose import limits
from triage.diagnose.timeline import Places, Row, Timeline
from triage.diagnose.trend import find_trend
from triage.diagnose.words import counted, duration, lamp_name
from triage.records.diagnosis import Part
from triage.records.percent import percent
from triage.records.rig import FlashRecord, Outlook

_FEWEST_TRIPS = 6
_SHORTEST_H = 2.0
_STOP_UNDER = 0.5
_NO_END_H = 24 * 60.0  # an end farther off than two months is none
_A_WEEK_H = 7 * 24  # farther ahead no straight line is to be trusted


def flash_records(timeline: Timeline, *, failed: Collection[Part] = ()) -> tuple[FlashRecord, ...]:
    """Tell what each flash gave.

    Parameters
    ----------
    timeline : Timeline
        The night.
    failed : collection of Part, optional
        Flashes that are known to have given out: their light promises nothing more.

    Returns
    -------
    tuple of FlashRecord
        One for each flash; one for all together where they never showed apart; none without night frames.
    """
    told = timeline.needs_flash & ~timeline.setup
    outputs = timeline.outputs
    if never_apart(timeline):
        # Where all but one are known to have given nothing, what was measured is that one's.
        lasting = [part for part in outputs if part not in failed]
        outputs = {lasting[0] if len(lasting) == 1 else Part.FLASH_LINK: next(iter(outputs.values()))}
    records = []
    for part, output in outputs.items():
        places = np.flatnonzero(told & np.isfinite(output))
        if places.size:
            promises = not {part, Part.FLASH_LINK} & set(failed)
            records.append(_record(timeline, part, output, places, lasting=promises))
    return tuple(records)


def never_apart(timeline: Timeline) -> bool:
    """Tell whether several flashes share one output on every frame: no frame showed one without the other.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    bool
        False with fewer than two flashes.
    """
    rows = list(timeline.outputs.values())
    return len(rows) > 1 and all(np.array_equal(rows[0], row, equal_nan=True) for row in rows[1:])


def _record(timeline: Timeline, part: Part, output: Row, places: Places, *, lasting: bool) -> FlashRecord:
    values = output[places]
    fired = values >= limits.OFF
    return FlashRecord(
        part=part,
        asked=int(places.size),
        fired=int(fired.sum()),
        given=round(float(values[fired].sum()), 2),
        outputs=tuple(
            (timeline.frames[place].index, round(float(value), 4))
            for place, value in zip(places, values, strict=True)
        ),
        outlook=_outlook(timeline, output, places[fired]) if lasting else None,
    )


def _outlook(timeline: Timeline, output: Row, lit: Places) -> Outlook | None:
    """Follow the first lit frame of each trip: later ones of a burst also show how fast it charges.

    Frames seen through fog are left out, for fog eats light.
    """
    clear = lit[~(timeline.haze[lit] >= limits.HAZY)]
    _, first = np.unique(timeline.burst[clear], return_index=True)
    chosen = clear[first]
    hours = timeline.seconds[chosen] / 3600.0
    if len(chosen) < _FEWEST_TRIPS or hours[-1] - hours[0] < _SHORTEST_H:
        return None
    trend = find_trend(hours, output[chosen])
    if trend is None:
        return None
    return Outlook(
        change_per_h=round(trend.slope, 5),
        low_per_h=round(trend.low, 5),
        high_per_h=round(trend.high, 5),
        now=round(trend.end, 4),
        hours_left=_hours(trend.end, trend.slope) if trend.high < 0 else None,
        hours_least=_hours(trend.end, trend.low),
    )


def _hours(now: float, change_per_h: float) -> float | None:
    if change_per_h >= 0:
        return None
    hours = max(0.0, now - _STOP_UNDER) / -change_per_h
    return round(hours, 2) if hours <= _NO_END_H else None


def flash_notes(records: tuple[FlashRecord, ...], *, failed: Collection[Part] = ()) -> tuple[str, ...]:
    """Say what each flash gave, with figures.

    Parameters
    ----------
    records : tuple of FlashRecord
        Of one night.
    failed : collection of Part, optional
        Flashes that are known to have given out.

    Returns
    -------
    tuple of str
        A sentence or two for each.
    """
    lasting = [not {record.part, Part.FLASH_LINK} & set(failed) for record in records]
    notes = [
        f"{_fires(record)} {_outlook_words(record)}" if lasts else _fires(record)
        for record, lasts in zip(records, lasting, strict=True)
    ]
    if any(record.outlook is not None for record in records):
        notes.append(
            "Cells may hold a flash's light for long and then give out at once: a steady light is no promise."
        )
    return tuple(notes)


def _fires(record: FlashRecord) -> str:
    name = "the flashes" if record.part is Part.FLASH_LINK else lamp_name(record.part)
    fires = f"{name} fired on {record.fired} of {counted(record.asked, 'night frame')} that needed it"
    if record.fired:
        fires += f", as much light as {counted(round(record.given), 'healthy fire')}"
    return f"{fires[0].upper()}{fires[1:]}."


def _outlook_words(record: FlashRecord) -> str:
    whose, outlook = "Their" if record.part is Part.FLASH_LINK else "Its", record.outlook
    if outlook is None:
        return f"So few trips do not tell how {whose.lower()} cells last."
    between = f"{_change(outlook.low_per_h)} to {_change(outlook.high_per_h)} an hour, 19 times in 20"
    if outlook.hours_left is not None:
        return (
            f"{whose} light fell by {percent(abs(outlook.change_per_h), places=1)} an hour ({between}), to "
            f"{percent(outlook.now)} at the end: a stop under after {_span(outlook.hours_left)} more, at the "
            f"worst {_span(outlook.hours_least)}."
        )
    if outlook.hours_least is None:
        return f"{whose} light did not fall ({between})."
    return (
        f"No fall of {whose.lower()} light can be told ({between}); were it the steepest of these, it would be a stop "
        f"under after {_span(outlook.hours_least)} more."
    )


def _change(per_h: float) -> str:
    return percent(per_h, places=1, signed=True)


def _span(hours: float | None) -> str:
    return (
        f"more than {_A_WEEK_H // 24} days"
        if hours is None or hours > _A_WEEK_H
        else duration(3600.0 * hours)
    )
