"""Which times to write under a stretch of time so that the labels never touch; no Qt."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from math import ceil

from triage.ui.timeline.axis import TimeAxis, to_moment
from triage.ui.timeline.words import DAY_S, HOUR_S, MINUTE_S, clock_words, day_words

STEPS_S = (
    *(1, 2, 5, 10, 15, 30),
    *(MINUTE_S * n for n in (1, 2, 5, 10, 15, 30)),
    *(HOUR_S * n for n in (1, 2, 3, 6, 12)),
    *(DAY_S * n for n in (1, 2, 4, 7, 14, 28, 91, 182, 364)),
)
"""Steps a person reads without arithmetic."""

WIDE_DAY = date(2029, 5, 30)
"""A Wednesday in May: about as long as the name of a day gets."""

Measure = Callable[[str], float]
"""How wide a text is, in pixels."""


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on the time axis.

    Attributes
    ----------
    seconds : float
        When.
    x : float
        Where, in pixels.
    label : str
        What to write, centred on x; empty for a mark without a label.
    is_day : bool
        Whether a new day begins here.
    """

    seconds: float
    x: float
    label: str
    is_day: bool


def step_for(axis: TimeAxis, label_px: float) -> int:
    """Return the smallest step, in seconds, whose marks stand at least `label_px` apart."""
    px_per_s = axis.width / axis.span
    for step in STEPS_S:
        if step * px_per_s >= label_px:
            return step
    longest = STEPS_S[-1]
    return longest * ceil(label_px / (longest * px_per_s))


def ticks(axis: TimeAxis, measure: Measure, *, gap: float) -> tuple[Tick, ...]:
    """Return the marks in view, in order of time.

    Labels keep `gap` pixels between them and stay within the axis; a mark whose label would not is left
    without. The beginning of a day is written as a date.
    """
    step = _label_step(axis, measure, gap)
    labelled = _multiples(axis, step)
    days = _multiples(axis, DAY_S) if DAY_S / axis.span * axis.width >= gap else labelled
    if step < DAY_S:
        labelled |= days
    kept = _fitting(axis, labelled, measure, gap)
    return tuple(
        Tick(at, axis.x_of(at), _label(at) if at in kept else "", at % DAY_S == 0)
        for at in sorted(labelled | days)
    )


def _label_step(axis: TimeAxis, measure: Measure, gap: float) -> int:
    widest = measure(day_words(WIDE_DAY))
    step = step_for(axis, (measure("00:00") + widest) / 2 + gap)  # room for an hour beside a date
    if step < MINUTE_S:
        step = step_for(axis, (measure("00:00:00") + widest) / 2 + gap)
    return step_for(axis, widest + gap) if step >= DAY_S else step


def _multiples(axis: TimeAxis, step: int) -> set[int]:
    return set(range(ceil(axis.start / step) * step, int(axis.end // 1) + 1, step))


def _fitting(axis: TimeAxis, moments: set[int], measure: Measure, gap: float) -> set[int]:
    kept = set()
    free_from = axis.left
    for at in sorted(moments):
        half = measure(_label(at)) / 2
        x = axis.x_of(at)
        if x - half >= free_from and x + half <= axis.right:
            kept.add(at)
            free_from = x + half + gap
    return kept


def _label(at: int) -> str:
    moment = to_moment(at)
    if at % DAY_S == 0:
        return day_words(moment.date())
    return clock_words(moment, seconds=at % MINUTE_S != 0)
