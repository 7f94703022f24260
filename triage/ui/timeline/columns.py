"""Fold many measurements into what a row of pixels can show, without hiding the worst; no Qt."""

from collections.abc import Iterable
from dataclasses import dataclass

from triage.ui.timeline.axis import TimeAxis
from triage.ui.timeline.scene import Sample


@dataclass(frozen=True, slots=True)
class Column:
    """The measurements that fall on one pixel column.

    Attributes
    ----------
    x : float
        Left side of the column, in pixels.
    low, high : float or None
        The least and the most of them; None where none of them could be told.
    """

    x: float
    low: float | None
    high: float | None


def columns(samples: Iterable[Sample], axis: TimeAxis, *, pixel: float) -> tuple[Column, ...]:
    """Return the columns in view that have a measurement, from left to right, `pixel` wide each."""
    folded: dict[int, list[float]] = {}
    for sample in samples:
        if axis.sees(sample.seconds):
            outputs = folded.setdefault(int((axis.x_of(sample.seconds) - axis.left) // pixel), [])
            if sample.output is not None:
                outputs.append(sample.output)
    return tuple(
        Column(axis.left + place * pixel, min(outputs, default=None), max(outputs, default=None))
        for place, outputs in sorted(folded.items())
    )
