"""How the night, its sky and its events are painted on the ribbon."""

from collections.abc import Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter

from triage.records.decision import Verdict
from triage.records.night import Night
from triage.ui import theme
from triage.ui.timeline.axis import TimeAxis, to_seconds
from triage.ui.timeline.event_marks import EventMark
from triage.ui.timeline.look import Look, draw_text, draw_text_on_ground, hatch, pen, sky_tone
from triage.ui.timeline.ribbon_bands import Bands
from triage.ui.timeline.scene import Scene, Standing
from triage.ui.timeline.shapes import draw_mark
from triage.ui.timeline.sky_layer import SkyLayer, draw_moon
from triage.ui.timeline.ticks import Tick, ticks
from triage.ui.timeline.tips import lit_words
from triage.ui.timeline.words import events_words, frames_words, short_days_words


class RibbonLayer:
    """Paints the ribbon's kept layer; made for one painting."""

    def __init__(self, painter: QPainter, look: Look, axis: TimeAxis) -> None:
        self._painter = painter
        self._look = look
        self._axis = axis
        self._bands = Bands.of(look, axis)

    def paint(self, scene: Scene, marks: Sequence[EventMark]) -> None:
        """Paint everything but what is decided, from the back to the front."""
        whole = self._bands.names.united(self._bands.field)
        self._painter.fillRect(whole, sky_tone("night"))
        self._painter.save()
        self._painter.setClipRect(whole)
        SkyLayer(self._painter, self._look, self._axis, self._bands).paint(scene.night)
        self._paint_setup(scene.night)
        self._painter.restore()
        self._paint_ticks(ticks(self._axis, self._look.width, gap=self._look.line))
        self._paint_ground()
        for mark in marks:
            self._paint_mark(mark)
        self._paint_gutter(scene)

    def _x(self, seconds: float) -> float:
        return min(max(self._axis.x_of(seconds), self._axis.left - 2), self._axis.right + 2)

    def _names_base(self) -> float:
        return self._bands.names.bottom() - self._look.metrics.descent()

    def _paint_setup(self, night: Night) -> None:
        field = self._bands.field
        for window in night.setup_windows:
            x0, x1 = self._x(to_seconds(window.start)), self._x(to_seconds(window.end))
            if x1 <= self._axis.left or x0 >= self._axis.right:
                continue
            box = QRectF(x0, field.top(), max(2.0, x1 - x0), field.height())
            hatch(self._painter, box, pen(theme.colour(theme.AT_RIG, 0.45)), 7)
            self._painter.setPen(pen(theme.colour(theme.AT_RIG, 0.7)))
            self._painter.drawLines(
                [QLineF(x, field.top(), x, field.bottom()) for x in (box.left(), box.right())]
            )

    def _paint_ticks(self, marks: Sequence[Tick]) -> None:
        field, look = self._bands.field, self._look
        for tick in marks:
            x = round(tick.x) + 0.5
            if tick.is_day:
                self._painter.setPen(pen(theme.colour(theme.INK, 0.45), 1, Qt.PenStyle.DashLine))
                self._painter.drawLine(QLineF(x, field.top(), x, field.bottom()))
            self._painter.setPen(pen(theme.OUTLINE))
            self._painter.drawLine(QLineF(x, field.bottom(), x, field.bottom() + (6 if tick.is_day else 4)))
            if tick.label:
                at = QPointF(tick.x - look.width(tick.label) / 2, self._bands.labels)
                draw_text(self._painter, at, tick.label, theme.INK if tick.is_day else theme.QUIET)

    def _paint_ground(self) -> None:
        y = self._bands.field.bottom()
        self._painter.fillRect(QRectF(self._axis.left, y, self._axis.width, 1), theme.colour(theme.OUTLINE))

    def _paint_mark(self, mark: EventMark) -> None:
        painter, radius = self._painter, self._look.radius
        head, foot = mark_head(mark, self._bands, radius), self._bands.field.bottom()
        meaning = theme.EVENT_MARKS[mark.kind]
        # Filled boxes: lines this thin are many times slower to paint, and a crowded night has a hundred.
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        x = round(head.x())
        painter.fillRect(QRectF(x - 2, head.y(), 4, foot - head.y()), theme.colour(theme.SUNK, 0.7))
        painter.fillRect(QRectF(x - 1, head.y(), 2, foot - head.y()), theme.colour(meaning.colour, 0.85))
        if len(mark.events) > 1:
            painter.fillRect(
                QRectF(mark.first_x, foot - 2, mark.last_x - mark.first_x, 3), theme.colour(theme.INK)
            )
        draw_mark(painter, meaning, QPointF(x, head.y()), radius)
        if len(mark.events) > 1:
            count = f"{len(mark.events):,}"
            at = QPointF(head.x() - self._look.width(count) / 2, head.y() - radius - 4)
            draw_text_on_ground(painter, self._look, at, count)

    def _paint_gutter(self, scene: Scene) -> None:
        look = self._look
        night = scene.night
        first, last = night.start.date(), night.end.date()
        rows = [
            (short_days_words(first, last), theme.INK),
            (frames_words(len(scene.frames)), theme.QUIET),
            (events_words(len(scene.events)), theme.QUIET),
        ]
        y = self._names_base()
        for text, shade in rows:
            draw_text(self._painter, QPointF(look.edge, y), text, shade)
            y += look.line * 1.2
        if night.sky is not None:
            middle = y - look.metrics.ascent() * 0.38
            at = QPointF(look.edge + look.line * 0.34, middle)
            draw_moon(self._painter, at, look.line * 0.32, night.sky.moon_lit)
            at = QPointF(look.edge + look.line * 0.68 + 5, y)
            draw_text(self._painter, at, lit_words(night.sky.moon_lit), theme.QUIET)


def paint_standing(painter: QPainter, look: Look, at: QPointF, decided: Standing) -> None:
    """Paint under a mark what is decided on its events."""
    radius = look.radius * 0.8
    if decided is Standing.KEPT:
        draw_mark(painter, theme.VERDICT_MARKS[Verdict.KEEP], at, radius)
    elif decided is Standing.REJECTED:
        draw_mark(painter, theme.VERDICT_MARKS[Verdict.REJECT], at, radius)
    elif decided is Standing.BEGUN:
        painter.fillRect(QRectF(at.x() - radius, at.y() - 1, 2 * radius, 2), theme.colour(theme.INK))


def mark_head(mark: EventMark, bands: Bands, radius: float) -> QPointF:
    """Return where a mark's head is drawn."""
    low, high = bands.field.bottom() - radius, bands.field.top() + 3 * radius + 4
    return QPointF(mark.x, low - (low - high) * mark.height)
