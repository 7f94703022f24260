"""The rows of the ribbon."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF

from triage.ui.timeline.axis import TimeAxis
from triage.ui.timeline.look import Look

PROGRESS_PX = 3.0
FIELD_LINES = 4.6
"""Height of the field in lines of labels."""
LARGE_TEXT_LINES, LARGE_TEXT_PX = 2.2, 30
"""Beyond so many lines and pixels it does not grow with the text: it holds a curve and marks, hardly any words."""


@dataclass(frozen=True, slots=True)
class Bands:
    """The ribbon's rows, from top to bottom.

    Attributes
    ----------
    names : QRectF
        Where the kinds of sky are named.
    moon : QRectF
        The moon's row, over the top of the field.
    field : QRectF
        Where the sky and the events stand; its bottom is their ground.
    feet : float
        The middle of the row that tells what is decided.
    labels : float
        The baseline of the times.
    height : float
        All of it.
    """

    names: QRectF
    moon: QRectF
    field: QRectF
    feet: float
    labels: float
    height: float

    @classmethod
    def of(cls, look: Look, axis: TimeAxis) -> "Bands":
        """Lay the rows out for a font."""
        line = look.line
        names = QRectF(axis.left, look.pad, axis.width, line)
        high = min(line * FIELD_LINES, line * LARGE_TEXT_LINES + LARGE_TEXT_PX)
        field = QRectF(axis.left, names.bottom(), axis.width, round(high))
        moon = QRectF(axis.left, field.top(), axis.width, round(line * 0.6))
        feet = field.bottom() + round(line * 0.48)
        labels = feet + round(line * 0.4) + look.metrics.ascent()
        return cls(names, moon, field, feet, labels, labels + look.metrics.descent() + 4 + PROGRESS_PX)
