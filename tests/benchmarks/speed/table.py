"""The bench's figures as a table."""

from collections.abc import Sequence
from dataclasses import dataclass

from tests.benchmarks.speed.timing import Took


@dataclass(frozen=True, slots=True)
class Row:
    """One card: its kind and size, and what each part of the work took.

    Attributes
    ----------
    kind : str
        Of `cards.KINDS`.
    frames : int
        On the card.
    floor : Took
        Bare reduced decoding of all files.
    headers : Took
        Listing and headers alone.
    pictures : Took
        The recipe up to the last picture read: all but measuring and what follows from it.
    report : Took
        ``triage report`` from a cold process to the written report.
    again : Took
        The same command once more.
    """

    kind: str
    frames: int
    floor: Took
    headers: Took
    pictures: Took
    report: Took
    again: Took


HEADS = (
    "card",
    "frames",
    "floor, ms/frame",
    "headers, ms/frame",
    "pictures, ms/frame",
    "pictures : floor",
    "report, ms/frame",
    "report : floor",
    "again, s",
    "peak, MB",
    "cores busy",
)


def table(rows: Sequence[Row], cores: int) -> str:
    """Return the rows as a table in which each time is wall clock, and in brackets processor time."""
    cells = [HEADS, tuple("-" * len(head) for head in HEADS), *(_cells(row, cores) for row in rows)]
    return "\n".join(f"| {' | '.join(cell)} |" for cell in cells)


def _cells(row: Row, cores: int) -> tuple[str, ...]:
    peak = max(row.report.peak_bytes, row.again.peak_bytes)
    busy = row.report.cpu_s / (row.report.wall_s * cores)
    return (
        row.kind,
        f"{row.frames:,}",
        _each(row.floor, row.frames),
        _each(row.headers, row.frames),
        _each(row.pictures, row.frames),
        _ratio(row.pictures, row.floor),
        _each(row.report, row.frames),
        _ratio(row.report, row.floor),
        f"{row.again.wall_s:.2f} ({row.again.cpu_s:.2f})",
        f"{peak / 1e6:.0f}",
        f"{100 * busy:.0f} %",
    )


def _ratio(took: Took, floor: Took) -> str:
    return f"{took.wall_s / floor.wall_s:.2f} ({took.cpu_s / floor.cpu_s:.2f})"


def _each(took: Took, frames: int) -> str:
    return f"{1000 * took.wall_s / frames:.1f} ({1000 * took.cpu_s / frames:.1f})"
