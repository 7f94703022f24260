"""How sun and moon are painted on the ribbon: as high as they stand, in the tones of the sky."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPolygonF

from triage.records.night import Night, Sky, SkySpan
from triage.ui import theme
from triage.ui.timeline.axis import TimeAxis, to_seconds
from triage.ui.timeline.look import Look, draw_text, pen, sky_tone
from triage.ui.timeline.ribbon_bands import Bands
from triage.ui.tongue import tr

LEVELS_DEG = {"day": -50 / 60, "civil": -6.0, "nautical": -12.0, "astronomical": -18.0}
"""Height of the sun's centre above which each kind of sky reigns; below all of them it is night."""
USUAL_DEG = {"day": 15.0, "civil": -3.4, "nautical": -9.0, "astronomical": -15.0, "night": -30.0}
"""Taken in the middle of a span where nobody worked the heights out."""
HEIGHTS = ((-18.0, 0.0), (-50 / 60, 0.66), (15.0, 0.94), (60.0, 1.0))
"""Height of the sun in degrees, and how far up the ribbon it is drawn: twilight has two thirds of the room."""
TONES = ((-18.0, "night"), (-15.0, "astronomical"), (-9.0, "nautical"), (-3.4, "civil"), (3.0, "day"))
"""Height of the sun in degrees, and the sky whose tone is pure there; mixed in between."""
COLUMN_PX = 2.0
UNKNOWN_SUN_TEXT = "Sun unknown: give a place"


def sun_heights(sky: Sky) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return moments, in seconds and rising, and how high the sun stands then, in degrees.

    Where nobody worked the heights out they follow from the spans: at the border of two it is known.
    """
    told = [(to_seconds(moment), height) for moment, height in sky.sun] or _from_spans(sky.spans)
    points = np.array(told, np.float64).reshape(-1, 2)
    return points[:, 0], points[:, 1]


def _from_spans(spans: Sequence[SkySpan]) -> list[tuple[float, float]]:
    points = []
    for span, after in zip(spans, [*spans[1:], None], strict=True):
        start, end = to_seconds(span.start), to_seconds(span.end)
        points.append(((start + end) / 2, USUAL_DEG[span.kind]))
        if after is not None:
            points.append((end, max(LEVELS_DEG.get(span.kind, -90.0), LEVELS_DEG.get(after.kind, -90.0))))
    return points


def share_of(heights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far up the ribbon heights are drawn, 0 to 1; never falling with the height."""
    known, shares = zip(*HEIGHTS, strict=True)
    return np.asarray(np.interp(heights, known, shares), np.float64)


def tone_of(heights: NDArray[np.float64]) -> list[QColor]:
    """Return the tone of the sky at each height of the sun."""
    known = [height for height, _ in TONES]
    tones = [sky_tone(kind) for _, kind in TONES]
    channels = (
        [tone.red() for tone in tones],
        [tone.green() for tone in tones],
        [tone.blue() for tone in tones],
    )
    mixed = [np.interp(heights, known, channel) for channel in channels]
    return [QColor(*(round(part) for part in each)) for each in zip(*mixed, strict=True)]


class SkyLayer:
    """Paints the sky of the ribbon's kept layer; made for one painting."""

    def __init__(self, painter: QPainter, look: Look, axis: TimeAxis, bands: Bands) -> None:
        self._painter = painter
        self._look = look
        self._axis = axis
        self._bands = bands

    def paint(self, night: Night) -> None:
        """Paint sun, names and moon."""
        if night.sky is None:
            at = QPointF(self._axis.left + self._look.pad, self._names_base())
            draw_text(self._painter, at, tr(UNKNOWN_SUN_TEXT), theme.QUIET)
            return
        self._paint_sun(night.sky)
        self._paint_names(night.sky.spans)
        for window in night.sky.moon_up:
            self._paint_moon(to_seconds(window.start), to_seconds(window.end), night.sky.moon_lit)

    def _names_base(self) -> float:
        return self._bands.names.bottom() - self._look.metrics.descent()

    def _paint_sun(self, sky: Sky) -> None:
        moments, heights = sun_heights(sky)
        if not moments.size:
            return
        axis, field = self._axis, self._bands.field
        xs = np.arange(axis.left, axis.right, COLUMN_PX)
        seen = np.interp(axis.start + (xs - axis.left) / axis.width * axis.span, moments, heights)
        shares = share_of(seen)
        # Each stretch with the sun above the end of twilight is painted by itself; night needs nothing.
        lit = np.flatnonzero(shares > 0)
        for stretch in np.split(lit, np.flatnonzero(np.diff(lit) > 1) + 1):
            if stretch.size:
                tops = field.bottom() - shares[stretch] * field.height()
                self._paint_daylight(xs[stretch].tolist(), tops.tolist(), tone_of(seen[stretch]))

    def _paint_daylight(self, xs: Sequence[float], tops: Sequence[float], tones: Sequence[QColor]) -> None:
        foot = self._bands.field.bottom()
        for x, top, tone in zip(xs, tops, tones, strict=True):
            self._painter.fillRect(QRectF(x, top, COLUMN_PX, foot - top), tone)
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._painter.setPen(pen(theme.colour(theme.SKY["day"], 0.9), 1))
        line = [QPointF(x, top) for x, top in zip(xs, tops, strict=True)]
        self._painter.drawPolyline(QPolygonF(line))
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)

    def _paint_names(self, spans: Sequence[SkySpan]) -> None:
        """Name the kinds of sky where there is room for it, with their borders."""
        look, axis, row = self._look, self._axis, self._bands.names
        borders = set()
        for span in spans:
            x0, x1 = (axis.x_of(to_seconds(moment)) for moment in (span.start, span.end))
            seen0, seen1 = max(axis.left, x0), min(axis.right, x1)
            name = tr(span.kind)
            if seen1 - seen0 >= look.width(name) + 2 * look.pad:
                at = QPointF((seen0 + seen1 - look.width(name)) / 2, self._names_base())
                draw_text(self._painter, at, name, theme.QUIET)
                borders |= {round(x) + 0.5 for x in (x0, x1) if axis.left + 2 < x < axis.right - 2}
        self._painter.setPen(pen(theme.colour(theme.QUIET, 0.8)))
        self._painter.drawLines([QLineF(x, row.top() + 2, x, row.bottom() - 1) for x in sorted(borders)])

    def _paint_moon(self, start: float, end: float, lit: float) -> None:
        x0, x1 = self._axis.x_of(start), self._axis.x_of(end)
        if x1 <= self._axis.left or x0 >= self._axis.right or x1 - x0 < 4:
            return
        row = self._bands.moon
        low, high = row.bottom(), row.center().y()
        arc = QPainterPath(QPointF(x0, low))
        arc.quadTo(QPointF((x0 + x1) / 2, 2 * high - low), QPointF(x1, low))
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        self._painter.strokePath(arc, pen(theme.colour(theme.MOON, 0.8), 1.2))
        middle = (max(x0, self._axis.left) + min(x1, self._axis.right)) / 2
        draw_moon(self._painter, QPointF(middle, high), self._look.line * 0.32, lit)


def draw_moon(painter: QPainter, at: QPointF, radius: float, lit: float) -> None:
    """Draw the moon's disc with its lit part."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(theme.MOON))
    painter.setBrush(theme.colour(theme.SUNK))
    painter.drawEllipse(at, radius, radius)
    # The lit side is drawn above: which it is depends on the hemisphere, which the card may not tell.
    disc = QRectF(at.x() - radius, at.y() - radius, 2 * radius, 2 * radius)
    part = QPainterPath()
    part.arcMoveTo(disc, 0)
    part.arcTo(disc, 0, 180)
    bulge = radius * abs(2 * lit - 1)
    edge = QRectF(at.x() - radius, at.y() - bulge, 2 * radius, 2 * bulge)
    part.arcTo(edge, 180, 180 if lit > 0.5 else -180)
    painter.fillPath(part, theme.colour(theme.MOON))
