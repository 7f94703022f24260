"""Fold many measurements into what a row of pixels can show, without hiding the worst; no Qt."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan

import numpy as np

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


def columns(samples: Sequence[Sample], axis: TimeAxis, *, pixel: float) -> tuple[Column, ...]:
    """Return the columns in view that have a measurement, from left to right, `pixel` wide each."""
    seconds = np.fromiter((sample.seconds for sample in samples), np.float64, len(samples))
    outputs = np.array([sample.output for sample in samples], np.float64)  # None becomes nan
    seen = (seconds >= axis.start) & (seconds <= axis.end)
    if not seen.any():
        return ()
    xs = (seconds[seen] - axis.start) / axis.span * axis.width
    places, members = np.unique((xs // pixel).astype(np.int64), return_inverse=True)
    low, high = np.full(places.size, np.nan), np.full(places.size, np.nan)
    np.fmin.at(low, members, outputs[seen])
    np.fmax.at(high, members, outputs[seen])
    return tuple(
        Column(axis.left + place * pixel, _told(least), _told(most))
        for place, least, most in zip(places.tolist(), low.tolist(), high.tolist(), strict=True)
    )


def _told(output: float) -> float | None:
    return None if isnan(output) else output
