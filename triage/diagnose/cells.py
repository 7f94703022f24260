"""How many fires the cells of each flash give, over the nights of a site, and when they will likely run out.

A set of cells begins where the user said that they were fresh, or after a night on which its flash faded or stopped,
since nobody leaves a dead flash standing. It ends there too. Only a set whose begin and end are both known tells how
long cells last; one that was taken out while it still fired, or that was in when the record began, gives a number it
reached at least.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

import numpy as np
from scipy.stats import t as student

from triage.diagnose.site_night import likely_faults
from triage.diagnose.timeline import LAMPS
from triage.records.diagnosis import FaultKind, Part
from triage.records.rig import Outlook
from triage.records.site import NightFlash, SiteNight

LEVEL = 0.95
"""Of the intervals."""

ENDS_A_SET = frozenset({FaultKind.STOPPED, FaultKind.FADING})


@dataclass(frozen=True, slots=True)
class CellSet:
    """One set of cells of one flash.

    Attributes
    ----------
    since, until : datetime
        Camera time of the first frame of its first night, and of the last frame of its last one.
    nights : int
        How many.
    fires : int
        Fires counted: frames that needed flash and had light from it.
    began_fresh : bool
        The record knows when it was put in.
    ran_out : bool
        It ended by fading or stopping.
    """

    since: datetime
    until: datetime
    nights: int
    fires: int
    began_fresh: bool
    ran_out: bool


@dataclass(frozen=True, slots=True)
class CellOutlook:
    """What the record says of the cells of one flash.

    Attributes
    ----------
    part : Part
        Which flash.
    sets : tuple of CellSet
        Oldest first; the last one is in now, unless it ran out.
    lives : tuple of int
        Fires of the sets that are known from beginning to end.
    reached : int
        The most fires any set gave.
    fires_a_night : float
        Mean of the nights on which it fired.
    fires_left, fires_least, fires_most : float or None
        What the set in now has left: expected, and the ends of the interval that holds the truth nineteen times in
        twenty. None where it cannot be told; with one known life there is no interval.
    nights_left, nights_least, nights_most : float or None
        The same in nights, at the mean number of fires.
    outlook : Outlook or None
        How its light changed in the last night that tells.
    """

    part: Part
    sets: tuple[CellSet, ...]
    lives: tuple[int, ...]
    reached: int
    fires_a_night: float
    fires_left: float | None
    fires_least: float | None
    fires_most: float | None
    nights_left: float | None
    nights_least: float | None
    nights_most: float | None
    outlook: Outlook | None


def cell_outlooks(nights: Sequence[SiteNight]) -> tuple[CellOutlook, ...]:
    """Tell about the cells of each flash of a site.

    Parameters
    ----------
    nights : sequence of SiteNight
        In order of time.

    Returns
    -------
    tuple of CellOutlook
        Left, right and third flash, as far as any night tells of them; all together where they never showed apart.
    """
    parts = [part for part in LAMPS if any(_own(night, part) for night in nights)]
    return tuple(_outlook(part, nights) for part in parts or [Part.FLASH_LINK] if _tells(part, nights))


def life_interval(lives: Sequence[int]) -> tuple[float, float | None, float | None]:
    """Predict how many fires the next set of cells gives.

    Parameters
    ----------
    lives : sequence of int
        Fires of the sets that are known from beginning to end, at least one.

    Returns
    -------
    expected : float
        Their geometric mean.
    least, most : float or None
        Ends of the interval that holds the next one nineteen times in twenty; None with a single life.

    Notes
    -----
    Prediction interval of one more draw from a normal law, on the logarithms, since a life is never below nothing.

    References
    ----------
    Hahn & Meeker 1991, Statistical Intervals, section 4.7.
    """
    logs = np.log(np.maximum(np.asarray(lives, np.float64), 1.0))
    middle = float(logs.mean())
    if len(logs) < 2:
        return math.exp(middle), None, None
    reach = float(student.ppf((1 + LEVEL) / 2, len(logs) - 1)) * float(logs.std(ddof=1))
    reach *= math.sqrt(1 + 1 / len(logs))
    return math.exp(middle), math.exp(middle - reach), math.exp(min(middle + reach, 700.0))


def _own(night: SiteNight, part: Part) -> NightFlash | None:
    return next((flash for flash in night.flashes if flash.part is part and flash.asked), None)


def _record(night: SiteNight, part: Part) -> NightFlash | None:
    """Return what a night tells of a flash; that of all together where it did not show apart."""
    return _own(night, part) or _own(night, Part.FLASH_LINK)


def _tells(part: Part, nights: Sequence[SiteNight]) -> bool:
    return any(_record(night, part) for night in nights)


def _runs_out(night: SiteNight, part: Part) -> bool:
    """Whether the cells gave out that night; all flashes fading together is cells too, all stopping at once is not."""
    return any(
        (fault.part is part and fault.kind in ENDS_A_SET)
        or (fault.part is Part.FLASH_LINK and fault.kind is FaultKind.FADING)
        for fault in likely_faults(night)
    )


def _outlook(part: Part, nights: Sequence[SiteNight]) -> CellOutlook:
    sets = _sets(part, nights)
    fired = [record.fired for night in nights if (record := _record(night, part)) and record.fired]
    rate = float(np.mean(fired)) if fired else 0.0
    lives = tuple(one.fires for one in sets if one.began_fresh and one.ran_out and one.fires)
    expected, least, most = _left(sets[-1], lives)
    outlooks = [record.outlook for night in nights if (record := _record(night, part)) and record.outlook]

    def in_nights(fires: float | None) -> float | None:
        return fires / rate if fires is not None and rate else None

    return CellOutlook(
        part=part,
        sets=sets,
        lives=lives,
        reached=max(one.fires for one in sets),
        fires_a_night=rate,
        fires_left=expected,
        fires_least=least,
        fires_most=most,
        nights_left=in_nights(expected),
        nights_least=in_nights(least),
        nights_most=in_nights(most),
        outlook=outlooks[-1] if outlooks else None,
    )


def _sets(part: Part, nights: Sequence[SiteNight]) -> tuple[CellSet, ...]:
    begins = [
        at
        for at, night in enumerate(nights)
        if not at or night.has_fresh_cells or _runs_out(nights[at - 1], part)
    ]
    sets = []
    for begin, end in pairwise([*begins, len(nights)]):
        stretch = nights[begin:end]
        sets.append(
            CellSet(
                since=stretch[0].first,
                until=stretch[-1].last,
                nights=len(stretch),
                fires=sum(record.fired for night in stretch if (record := _record(night, part))),
                began_fresh=stretch[0].has_fresh_cells or begin > 0,
                ran_out=_runs_out(stretch[-1], part),
            )
        )
    return tuple(sets)


def _left(now: CellSet, lives: Sequence[int]) -> tuple[float | None, float | None, float | None]:
    """Return the fires left in the set that is in: expected, least and most."""
    if now.ran_out or not now.began_fresh or not lives:
        return None, None, None
    expected, least, most = life_interval(lives)
    return (
        max(0.0, expected - now.fires),
        None if least is None else max(0.0, least - now.fires),
        None if most is None else max(0.0, most - now.fires),
    )
