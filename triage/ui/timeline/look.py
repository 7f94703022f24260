"""Sizes, fonts and textures of the time line, made once for each font and not once per painting."""

from dataclasses import dataclass
from datetime import date
from math import ceil

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen

from triage.records.diagnosis import Part
from triage.ui import theme
from triage.ui.timeline.words import frames_words, short_days_words
from triage.ui.tongue import tr

SMALL_TEXT = 0.86
"""Labels on the time line against the application's font."""
SKY_DIMNESS = 0.45
"""How far the sky's tones are drawn towards black: a day fills the ribbon and must not dazzle at night."""

WIDE_DAYS, WIDE_COUNT = (date(2026, 9, 28), date(2026, 10, 31)), 10_000
"""What the names at the left must have room for."""

GROUND_PX = 3
"""How far the ground of a label reaches beyond its words."""


@dataclass(frozen=True)
class Look:
    """What depends on the font.

    Attributes
    ----------
    font, strong : QFont
        For labels, and for the few that lead.
    metrics, strong_metrics : QFontMetricsF
        Their measures.
    line : float
        Height of a line of labels.
    gutter : float
        Width of the names at the left; all three views begin their time there.
    pad : float
        Room around things.
    edge : float
        Room between the window's border and what is written at the left, as in the menus above.
    """

    font: QFont
    strong: QFont
    metrics: QFontMetricsF
    strong_metrics: QFontMetricsF
    line: float
    gutter: float
    pad: float
    edge: float

    @classmethod
    def of(cls, base: QFont) -> "Look":
        """Make the look for a font."""
        font = theme.scaled_font(base, SMALL_TEXT)
        strong = theme.scaled_font(base, 1.0)
        strong.setWeight(QFont.Weight.DemiBold)
        metrics = QFontMetricsF(font)
        pad = max(3.0, metrics.height() * 0.35)
        names = [tr(part.value) for part in Part] + [short_days_words(*WIDE_DAYS), frames_words(WIDE_COUNT)]
        edge = 2 * pad
        gutter = max(metrics.horizontalAdvance(name) for name in names) + edge + 2 * pad
        return cls(
            font, strong, metrics, QFontMetricsF(strong), ceil(metrics.height()), ceil(gutter), pad, edge
        )

    def width(self, text: str) -> float:
        """Return how wide a label is."""
        return self.metrics.horizontalAdvance(text)

    @property
    def radius(self) -> float:
        """Return the half width of an event's or a frame's mark."""
        return self.line * 0.34


def mixed(one: str, other: str, share: float) -> QColor:
    """Return a colour between two: `share` of the other."""
    a, b = QColor(one), QColor(other)
    return QColor(*(round(x + (y - x) * share) for x, y in zip(_rgb(a), _rgb(b), strict=True)))


def _rgb(shade: QColor) -> tuple[int, int, int]:
    return shade.red(), shade.green(), shade.blue()


def sky_tone(kind: str) -> QColor:
    """Return the ribbon's fill under one kind of sky."""
    return mixed(theme.SKY.get(kind, theme.RULE), theme.SUNK, SKY_DIMNESS)


def pen(shade: QColor | str, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """Return a pen with flat ends, which keeps short marks as long as they are meant."""
    made = QPen(QColor(shade), width, style)
    made.setCapStyle(Qt.PenCapStyle.FlatCap)
    return made


def hatch(painter: QPainter, box: QRectF, line: QPen, spacing: float, *, rising: bool = True) -> None:
    """Fill a box with slanted lines; drawn and not a texture, so that they are crisp at any scale."""
    if box.isEmpty():
        return
    painter.save()
    painter.setClipRect(box, Qt.ClipOperation.IntersectClip)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(line)
    height = box.height()
    # Lines hang on a grid of the widget, not of the box: hatching does not crawl while the view is moved.
    x = (box.left() - height) // spacing * spacing
    lines = []
    while x < box.right():
        foot, head = (box.bottom(), box.top()) if rising else (box.top(), box.bottom())
        lines.append(QLineF(x, foot, x + height, head))
        x += spacing
    painter.drawLines(lines)
    painter.restore()


def draw_text(painter: QPainter, at: QPointF, text: str, shade: str | None = None) -> None:
    """Write a label with its baseline at a point, on whole pixels so that its stems are sharp."""
    painter.setPen(QColor(shade or theme.INK))
    painter.drawText(QPointF(round(at.x()), round(at.y())), text)


def draw_text_on_ground(
    painter: QPainter, look: Look, at: QPointF, text: str, shade: str | None = None
) -> None:
    """Write a label on a ground of its own, for places where anything may lie below."""
    box = QRectF(
        at.x() - GROUND_PX, at.y() - look.metrics.ascent(), look.width(text) + 2 * GROUND_PX, look.line
    )
    painter.fillRect(box, theme.colour(theme.SUNK, 0.86))
    draw_text(painter, at, text, shade)


def rounded(box: QRectF, radius: float) -> QPainterPath:
    """Return a box with round corners."""
    path = QPainterPath()
    path.addRoundedRect(box, radius, radius)
    return path
