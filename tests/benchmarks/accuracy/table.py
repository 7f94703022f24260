"""The one table: a row for each figure, a column for each group of cards."""

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np

from tests.benchmarks.accuracy.calibration import calibration_error, reliability
from tests.benchmarks.accuracy.counts import Counts, interval, share
from tests.benchmarks.accuracy.frames import Seen
from tests.benchmarks.accuracy.tally import Tally
from tests.benchmarks.accuracy.truth import HARD_AREA, HARD_TONE, KINDS, RULE, WEATHERS

NOTHING = "-"

HARD = f"Small or faint: area < {HARD_AREA:.1%} of the picture, or < {HARD_TONE:g} grey levels."

Row = tuple[str, Callable[[Tally], str]]


def table(groups: Sequence[tuple[str, Tally]]) -> str:
    """Return the table as text; a dash stands where there is nothing to judge."""
    rows: list[tuple[str, list[str]]] = [("", [name for name, _ in groups])]
    for title, lines in _sections([tally for _, tally in groups]):
        rows.append((title.upper(), [""] * len(groups)))
        rows += [(name, [cell(tally) for _, tally in groups]) for name, cell in lines]
    first = max(len(name) for name, _ in rows)
    widths = [max(len(cells[column]) for _, cells in rows) for column in range(len(groups))]
    text = [
        "  ".join(
            [name.ljust(first), *(cell.rjust(width) for cell, width in zip(cells, widths, strict=True))]
        )
        for name, cells in rows
    ]
    notes = f"Visible: {RULE}. Other subjects are set apart.\n{HARD}\nP precision, R recall; [95 % Clopper-Pearson]."
    return "\n".join([*(line.rstrip() for line in text), notes])


def _sections(tallies: Sequence[Tally]) -> list[tuple[str, list[Row]]]:
    kinds = [kind for kind in KINDS if any(kind in tally.kinds for tally in tallies)]
    return [
        ("cards", _CARDS),
        ("findings", [(kind, _kind(kind)) for kind in kinds]),
        ("frames with a visible subject", _SUBJECTS),
        ("by weather", _weather()),
        ("visits", _VISITS),
        ("light, in units of healthy output", _LIGHT),
        ("the rig", _RIG),
        ("stated confidence: count, stated, observed", _calibration(tallies)),
        ("most frequent failures", _frequent(tallies)),
    ]


def percent(value: float | None) -> str:
    """Show a share."""
    return NOTHING if value is None else f"{100 * value:.1f} %"


def of(part: int, whole: int) -> str:
    """Show a share with its counts."""
    return f"{percent(share(part, whole))} ({part}/{whole})" if whole else NOTHING


def _kind(kind: str) -> Callable[[Tally], str]:
    return lambda tally: _both(tally.kinds.get(kind, Counts()))


def _both(counts: Counts) -> str:
    """Show precision and recall."""
    if not (counts.said or counts.true):
        return NOTHING
    return f"P {of(counts.hits, counts.said)}  R {of(counts.hits, counts.true)}"


def _weather() -> list[Row]:
    rows: list[Row] = [(f"empty, {name}", _empty_in(name)) for name in WEATHERS]
    return [*rows, *((f"hidden or misplaced, {name}", _astray_in(name)) for name in WEATHERS)]


def _empty_in(name: str) -> Callable[[Tally], str]:
    return lambda tally: _both(tally.empty_in.get(name, Counts()))


def _astray_in(name: str) -> Callable[[Tally], str]:
    def cell(tally: Tally) -> str:
        seen = tally.seen_in.get(name, {})
        return of(seen.get(Seen.HIDDEN, 0) + seen.get(Seen.MISPLACED, 0), sum(seen.values()))

    return cell


def _middle(values: Sequence[float], digits: int = 3) -> str:
    """Show the median and the 95th percentile."""
    if not values:
        return NOTHING
    middle, high = np.percentile(values, [50, 95])
    return f"{middle:.{digits}f} / {high:.{digits}f} (n {len(values)})"


def _visible(tally: Tally) -> int:
    return sum(tally.seen.values())


def _hidden(tally: Tally) -> str:
    hidden, visible = tally.seen.get(Seen.HIDDEN, 0), _visible(tally)
    if not visible:
        return NOTHING
    low, high = interval(hidden, visible)
    return f"{of(hidden, visible)} [{100 * low:.1f} to {100 * high:.1f} %]"


def _seen(kind: Seen) -> Callable[[Tally], str]:
    return lambda tally: of(tally.seen.get(kind, 0), _visible(tally))


def _mean(values: Sequence[float]) -> str:
    return f"{sum(values) / len(values):.3f} (n {len(values)})" if values else NOTHING


def _rand(tally: Tally) -> str:
    frames = sum(count for _, count in tally.rand)
    if not frames:
        return NOTHING
    return f"{sum(value * count for value, count in tally.rand) / frames:.3f} (n {frames})"


def _top(faults: int) -> Callable[[Tally], str]:
    def cell(tally: Tally) -> str:
        rigs = [rig for rig in tally.rigs if rig.faults == faults]
        return of(sum(rig.in_front for rig in rigs), faults * len(rigs))

    return cell


def _alarms(tally: Tally) -> str:
    healthy = [rig for rig in tally.rigs if rig.faults == 0]
    return of(sum(bool(rig.false) for rig in healthy), len(healthy))


def _time(tally: Tally) -> str:
    return f"{1000 * tally.seconds / tally.frames:.0f} ms" if tally.frames else NOTHING


def _pairs(tally: Tally) -> str:
    return _both(tally.together)


def _other_alarms(tally: Tally) -> str:
    faulty = [rig for rig in tally.rigs if rig.faults]
    return f"{sum(len(rig.false) for rig in faulty)} on {len(faulty)}" if faulty else NOTHING


def _onsets(tally: Tally) -> list[float]:
    return [float(onset) for rig in tally.rigs for onset in rig.onsets]


_CARDS: list[Row] = [
    ("cards, frames", lambda tally: f"{tally.nights}, {tally.frames}"),
    ("frames not in the report", lambda tally: str(tally.lost)),
    ("unsure", lambda tally: of(tally.unsure, tally.frames)),
    ("time for a frame, for information", _time),
]
_SUBJECTS: list[Row] = [
    ("hidden (filed as empty or setup)", _hidden),
    ("misplaced (box overlaps nobody)", _seen(Seen.MISPLACED)),
    ("no box, but not filed away", _seen(Seen.UNBOXED)),
    ("seen, of those small or faint", lambda tally: of(tally.hard.hits, tally.hard.true)),
    ("overlap, mean", lambda tally: _mean(tally.overlaps)),
    ("set apart; of them filed away", lambda tally: f"{tally.impossible}; {tally.impossible_hidden}"),
]
_VISITS: list[Row] = [
    ("adjusted Rand index", _rand),
    ("pairs put together", _pairs),
]
_LIGHT: list[Row] = [
    ("flash error, median / 95th", lambda tally: _middle(tally.flash_errors)),
    ("flash not told", lambda tally: of(tally.flash_untold, tally.flash_untold + len(tally.flash_errors))),
    ("ambient error at night, median / 95th", lambda tally: _middle(tally.ambient_night)),
    ("ambient error by day in stops, median / 95th", lambda tally: _middle(tally.ambient_day_stops, 2)),
]
_RIG: list[Row] = [
    ("one fault: it stands first", _top(1)),
    ("two faults: among the first two", _top(2)),
    ("healthy nights with a false alarm", _alarms),
    ("false alarms on the other nights", _other_alarms),
    ("start wrong by frames, median / 95th", lambda tally: _middle(_onsets(tally), 0)),
]


def _calibration(tallies: Sequence[Tally]) -> list[Row]:
    rows: list[Row] = []
    for name, kinds in (("findings", KINDS), ("subject", ("subject",)), ("diagnosis", ("diagnosis",))):
        tenths = sorted({step.low for tally in tallies for step in reliability(_stated(tally, kinds))})
        rows += [(f"{name} {low:.1f} to {low + 0.1:.1f}", _step(kinds, low)) for low in tenths]
        rows.append((f"{name}: expected calibration error", _error(kinds)))
    return rows


def _stated(tally: Tally, kinds: Sequence[str]) -> list[tuple[float, bool]]:
    return [stated for kind in kinds for stated in tally.stated.get(kind, [])]


def _step(kinds: Sequence[str], low: float) -> Callable[[Tally], str]:
    def cell(tally: Tally) -> str:
        steps = [step for step in reliability(_stated(tally, kinds)) if step.low == low]
        return f"{steps[0].count}  {steps[0].stated:.2f}  {steps[0].observed:.2f}" if steps else NOTHING

    return cell


def _error(kinds: Sequence[str]) -> Callable[[Tally], str]:
    return lambda tally: percent(calibration_error(_stated(tally, kinds)))


def _frequent(tallies: Sequence[Tally], count: int = 12) -> list[Row]:
    kinds = Counter(failure.kind for tally in tallies for failure in tally.failures)
    return [(kind, _failures(kind)) for kind, _ in kinds.most_common(count)]


def _failures(kind: str) -> Callable[[Tally], str]:
    return lambda tally: str(sum(failure.kind == kind for failure in tally.failures))
