"""The record of a site as a person reads it in the terminal."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from triage.diagnose.cells import CellOutlook, CellSet
from triage.diagnose.site_night import likely_faults, visits
from triage.events import limits
from triage.events.activity import Activity
from triage.export.fault_words import FAULT_TITLES, PART_TITLES, sureness_parts
from triage.export.site_book import SiteBook
from triage.export.words import count
from triage.records.percent import percent

NOTHING_KEPT = (
    "No night is on record yet. After a night: triage report CARD --site NAME. From the second night on, the record "
    "shows when something comes and how cells last.\n"
)
BARS = " ▁▂▃▄▅▆▇█"
EVEN = 0.05
"""Chance below which times are said to be bunched; the usual limit (common practice)."""


def sites_account(books: Sequence[SiteBook]) -> str:
    """Return the record of sites in words.

    Parameters
    ----------
    books : sequence of SiteBook
        Each site to be told of.

    Returns
    -------
    str
        Plain text, ended by a line break; times are the camera's own.
    """
    return "\n".join(_site(book) for book in books) if books else NOTHING_KEPT


def _site(book: SiteBook) -> str:
    nights = book.nights
    head = f"{book.site}: {count(len(nights), 'night')}, {_day(nights[0].first)}"
    if len(nights) > 1:
        head += f" to {_day(nights[-1].first)}"
    parts = (
        [head, "=" * len(head)],
        _table(book),
        ["When it comes, by the camera's clock", *_indented(_comes(book))],
        ["What nights were lost to", *_indented(_lost(book))],
        ["Cells", *_indented(line for cells in book.cells for line in _cells(cells))] if book.cells else [],
    )
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _indented(lines: Iterable[str]) -> list[str]:
    return [f"  {line}" for line in lines]


def _table(book: SiteBook) -> list[str]:
    lines = ["Night        Visits  Trips  Kept  What failed"]
    for night in book.nights:
        faults = [
            f"{PART_TITLES[fault.part].lower()} {FAULT_TITLES[fault.kind]} "
            f"({percent(sureness_parts(fault.confidence)[1] / 100)})"
            for fault in likely_faults(night)
        ]
        lines.append(
            f"{_day(night.first)}  {len(visits(night)):7d}{night.trips:7d}{book.kept[night.digest]:6d}  "
            + (", ".join(faults) or "nothing")
        )
    return lines


def _comes(book: SiteBook) -> list[str]:
    found = book.activity
    minutes = round(book.apart.total_seconds() / 60)
    lines = []
    if not found.times:
        lines.append("No visit is on record.")
    else:
        lines.append(f"{count(len(found.times), 'visit')} more than {count(minutes, 'minute')} apart.")
        lines += _middle(found)
    if book.left_out:
        days = ", ".join(_day(night.first) for night in book.left_out)
        lines.append(f"Left out, since the clock was likely wrong: {days}.")
    return lines


def _middle(found: Activity) -> list[str]:
    lines = []
    if found.mean_h is not None:
        spread = "" if found.spread_h is None else f", circular standard deviation {found.spread_h:.1f} h"
        lines.append(
            f"Circular mean {_clock(found.mean_h)}; mean vector {found.resultant:.2f} (0 even, 1 always then){spread}."
        )
    if found.half is not None:
        lines.append(
            f"The closest half of them came between {_clock(found.half[0])} and {_clock(found.half[1])}."
        )
    lines += _evenness(found)
    if found.density:
        lines += ["", *_curve(found)]
    else:
        lines.append(f"A curve is drawn from {limits.FEWEST_FOR_DENSITY} visits on.")
    return lines


def _evenness(found: Activity) -> list[str]:
    """Say whether the times are bunched.

    Over the hours that were watched: a rig that stands by night only must not make an animal one of the night.
    """
    chance = found.rayleigh_watched_p
    if chance is None or found.rayleigh_p is None:
        return [f"Too few to tell whether they are bunched: {limits.FEWEST_FOR_RAYLEIGH} are needed."]
    said = (
        "they come at certain hours"
        if chance < EVEN
        else "so they may come at any hour of those watched, as far as this record tells"
    )
    return [
        "Rayleigh's test: over the hours watched, visits at any hour alike would lie so close together",
        f"in {_chance(chance)} of records; {said}. Over all 24 hours: {_chance(found.rayleigh_p)}.",
        "It looks for one time of day: two peaks may escape it.",
    ]


def _curve(found: Activity) -> list[str]:
    """Draw the density from noon to noon, half an hour to a column, and under it what was watched."""
    halves = [(found.density[2 * at] + found.density[2 * at + 1]) / 2 for at in range(48)]
    turned = halves[24:] + halves[:24]
    most = max(turned)
    bars = "".join(BARS[round(value / most * (len(BARS) - 1))] for value in turned)
    seen = "".join("--" if hours else "  " for hours in (*found.watched[12:], *found.watched[:12]))
    axis = "".join(f"{hour % 24:<6d}" for hour in range(12, 36, 3))
    return [
        bars.rstrip(),
        seen.rstrip(),
        axis + "12",
        "Density of visits from noon to noon; -- marks hours that were watched.",
    ]


def _lost(book: SiteBook) -> list[str]:
    lines = []
    for loss in book.losses:
        days = ", ".join(_day(night.first) for night in loss.nights)
        name = f"{PART_TITLES[loss.part]} {FAULT_TITLES[loss.kind]}"
        lines.append(f"{name}: {len(loss.nights)} of {count(len(book.nights), 'night')} ({days})")
    well = sum(not likely_faults(night) for night in book.nights)
    lines.append(f"Nothing likely failed on {well} of {count(len(book.nights), 'night')}.")
    return lines


def _cells(cells: CellOutlook) -> list[str]:
    now = cells.sets[-1]
    lines = [f"{PART_TITLES[cells.part]}: {_so_far(now)}"]
    for one in cells.sets[:-1]:
        known = "" if one.began_fresh and one.ran_out else " at least"
        how = "until it faded or stopped" if one.ran_out else "and was changed while it fired"
        lines.append(f"  before that: {count(one.fires, 'fire')}{known}, from {_day(one.since)}, {how}")
    lines.append(f"  {_outlook(cells, now)}")
    return lines


def _so_far(now: CellSet) -> str:
    if now.ran_out:
        fires = count(now.fires, "fire")
        return (
            f"faded or stopped by {_day(now.until)}, after {fires} on record; taken for the end of its cells."
        )
    since = "fresh on" if now.began_fresh else "on record since"
    return f"{count(now.fires, 'fire')} in {count(now.nights, 'night')}, {since} {_day(now.since)}."


def _outlook(cells: CellOutlook, now: CellSet) -> str:
    """Say how much is left, or what is missing to tell it."""
    rate = f"{cells.fires_a_night:.0f} fires a night"
    if cells.fires_left is not None and cells.nights_left is not None:
        fires, nights = round(cells.fires_left), round(cells.nights_left)
        sets = count(len(cells.lives), "set")
        said = f"About {count(fires, 'fire')} left, {count(nights, 'night')} at {rate}, by {sets} before"
        if not fires:
            said = f"Past what {sets} before gave: change these now"
        if cells.fires_least is None or cells.fires_most is None:
            return said + "; one set tells no interval, so carry spares from now on."
        least, most = cells.nights_least or 0.0, cells.nights_most or 0.0
        return (
            said
            + f"; nineteen times in twenty between {cells.fires_least:.0f} and {cells.fires_most:.0f} fires, "
            f"{least:.0f} and {most:.0f} nights."
        )
    if cells.lives:
        before = ", ".join(str(life) for life in cells.lives)
        return f"Sets before gave {before} fires; when these were put in is not on record."
    if now.ran_out:
        return "From the next set on, the record knows how long one lasts."
    return (
        f"No set is on record from fresh to empty, so when these run out cannot be told; so far one gave at least "
        f"{count(cells.reached, 'fire')}, at {rate}. "
        "Say when cells are fresh: triage report CARD --site NAME --fresh-cells."
    )


def _chance(value: float) -> str:
    if value < 0.001:
        return f"under {percent(0.001, places=1)}"
    return percent(value, places=1)


def _clock(hours: float) -> str:
    minutes = round(hours * 60) % (24 * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _day(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d}"
