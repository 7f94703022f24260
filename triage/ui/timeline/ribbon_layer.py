"""How the night, its sky and its events are painted on the ribbon."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath

from triage.records.decision import Verdict
from triage.records.night import Night, SkySpan
from triage.ui import theme
from triage.ui.timeline.axis import TimeAxis, to_seconds
from triage.ui.timeline.event_marks import EventMark
from triage.ui.timeline.look import Look, draw_text, draw_text_on_ground, hatch, pen, sky_tone
from triage.ui.timeline.scene import Scene, Standing, standing, standing_together
from triage.ui.timeline.shapes import draw_mark
from triage.ui.timeline.ticks import Tick, ticks
from triage.ui.timeline.tips import lit_words
from triage.ui.timeline.words import count_words, short_days_words

SUN_HEIGHT = {"day": 1.0, "civil": 0.78, "nautical": 0.56, "astronomical": 0.34, "night": 0.0}
"""How high each kind of sky stands on the ribbon, so that the steps are seen without their tones."""
PROGRESS_PX = 3.0
UNKNOWN_SUN_TEXT = "Sun unknown: give a place"


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
        field = QRectF(axis.left, names.bottom(), axis.width, round(line * 4.6))
        moon = QRectF(axis.left, field.top(), axis.width, round(line * 0.6))
        feet = field.bottom() + round(line * 0.48)
        labels = feet + round(line * 0.4) + look.metrics.ascent()
        return cls(names, moon, field, feet, labels, labels + look.metrics.descent() + 4 + PROGRESS_PX)


class RibbonLayer:
    """Paints the ribbon's kept layer; made for one painting."""

    def __init__(self, painter: QPainter, look: Look, axis: TimeAxis) -> None:
        self._painter = painter
        self._look = look
        self._axis = axis
        self._bands = Bands.of(look, axis)

    def paint(self, scene: Scene, marks: Sequence[EventMark], verdicts: Mapping[int, Verdict]) -> None:
        """Paint everything, from the back to the front."""
        whole = self._bands.names.united(self._bands.field)
        self._painter.fillRect(whole, sky_tone("night"))
        self._painter.save()
        self._painter.setClipRect(whole)
        self._paint_sky(scene.night)
        self._paint_setup(scene.night)
        self._painter.restore()
        self._paint_ticks(ticks(self._axis, self._look.width, gap=self._look.line))
        self._paint_ground()
        for mark in marks:
            self._paint_mark(mark, verdicts)
        self._paint_gutter(scene)

    def _x(self, seconds: float) -> float:
        return min(max(self._axis.x_of(seconds), self._axis.left - 2), self._axis.right + 2)

    def _names_base(self) -> float:
        return self._bands.names.bottom() - self._look.metrics.descent()

    def _paint_sky(self, night: Night) -> None:
        if night.sky is None:
            at = QPointF(self._axis.left + self._look.pad, self._names_base())
            draw_text(self._painter, at, UNKNOWN_SUN_TEXT, theme.QUIET)
            return
        for span in night.sky.spans:
            self._paint_sky_span(span)
        for window in night.sky.moon_up:
            self._paint_moon(to_seconds(window.start), to_seconds(window.end), night.sky.moon_lit)

    def _paint_sky_span(self, span: SkySpan) -> None:
        x0, x1 = round(self._x(to_seconds(span.start))), round(self._x(to_seconds(span.end)))
        if x1 <= x0:
            return
        field = self._bands.field
        top = round(field.bottom() - field.height() * SUN_HEIGHT.get(span.kind, 0.0))
        step = QRectF(x0, top, x1 - x0, field.bottom() - top)
        self._painter.fillRect(step, sky_tone(span.kind))
        if step.height() > 0:
            self._painter.fillRect(QRectF(x0, top, x1 - x0, 1), theme.colour(theme.SKY[span.kind]))
        room = x1 - x0 - 2 * self._look.pad
        if self._look.width(span.kind) <= room:
            middle = x0 + (x1 - x0 - self._look.width(span.kind)) / 2
            draw_text(self._painter, QPointF(middle, self._names_base()), span.kind, theme.QUIET)

    def _paint_moon(self, start: float, end: float, lit: float) -> None:
        x0, x1 = self._axis.x_of(start), self._axis.x_of(end)
        if x1 <= self._axis.left or x0 >= self._axis.right or x1 - x0 < 4:
            return
        row = self._bands.moon
        low, high = row.bottom(), row.center().y()
        arc = QPainterPath(QPointF(x0, low))
        arc.quadTo(QPointF((x0 + x1) / 2, 2 * high - low), QPointF(x1, low))
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._painter.strokePath(arc, pen(theme.MOON, 1.2))
        self._paint_moon_disc(QPointF((max(x0, self._axis.left) + min(x1, self._axis.right)) / 2, high), lit)

    def _paint_moon_disc(self, at: QPointF, lit: float) -> None:
        radius = self._look.line * 0.32
        painter = self._painter
        painter.setPen(pen(theme.MOON))
        painter.setBrush(theme.colour(theme.SUNK))
        painter.drawEllipse(at, radius, radius)
        # The lit side is drawn above: which it is depends on the hemisphere, which the card may not tell.
        part = QPainterPath()
        part.arcMoveTo(QRectF(at.x() - radius, at.y() - radius, 2 * radius, 2 * radius), 0)
        part.arcTo(QRectF(at.x() - radius, at.y() - radius, 2 * radius, 2 * radius), 0, 180)
        bulge = radius * abs(2 * lit - 1)
        edge = QRectF(at.x() - radius, at.y() - bulge, 2 * radius, 2 * bulge)
        part.arcTo(edge, 180, 180 if lit > 0.5 else -180)
        painter.fillPath(part, theme.colour(theme.MOON))

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

    def _paint_mark(self, mark: EventMark, verdicts: Mapping[int, Verdict]) -> None:
        painter, radius = self._painter, self._look.radius
        head, foot = mark_head(mark, self._bands, radius), self._bands.field.bottom()
        meaning = theme.EVENT_MARKS[mark.kind]
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(theme.colour(theme.SUNK, 0.8), 3.5))
        painter.drawLine(QPointF(head.x(), head.y()), QPointF(head.x(), foot))
        painter.setPen(pen(meaning.colour, 1.5))
        painter.drawLine(QPointF(head.x(), head.y()), QPointF(head.x(), foot))
        if len(mark.events) > 1:
            painter.fillRect(
                QRectF(mark.first_x, foot - 2, mark.last_x - mark.first_x, 3), theme.colour(theme.INK)
            )
        draw_mark(painter, meaning, head, radius)
        if len(mark.events) > 1:
            count = f"{len(mark.events):,}"
            at = QPointF(head.x() - self._look.width(count) / 2, head.y() - radius - 4)
            draw_text_on_ground(painter, self._look, at, count)
        together = standing_together([standing(event, verdicts) for event in mark.events])
        self._paint_standing(QPointF(head.x(), self._bands.feet), together)

    def _paint_standing(self, at: QPointF, decided: Standing) -> None:
        radius = self._look.radius * 0.8
        if decided is Standing.KEPT:
            draw_mark(self._painter, theme.VERDICT_MARKS[Verdict.KEEP], at, radius)
        elif decided is Standing.REJECTED:
            draw_mark(self._painter, theme.VERDICT_MARKS[Verdict.REJECT], at, radius)
        elif decided is Standing.BEGUN:
            self._painter.setPen(pen(theme.INK, 1.5))
            self._painter.drawLine(QPointF(at.x() - radius, at.y()), QPointF(at.x() + radius, at.y()))

    def _paint_gutter(self, scene: Scene) -> None:
        look = self._look
        night = scene.night
        first, last = night.start.date(), night.end.date()
        rows = [
            (short_days_words(first, last), theme.INK),
            (count_words(len(scene.frames), "frame"), theme.QUIET),
            (count_words(len(scene.events), "event"), theme.QUIET),
        ]
        y = self._names_base()
        for text, shade in rows:
            draw_text(self._painter, QPointF(look.pad, y), text, shade)
            y += look.line * 1.2
        if night.sky is not None:
            middle = y - look.metrics.ascent() * 0.38
            self._paint_moon_disc(QPointF(look.pad + look.line * 0.34, middle), night.sky.moon_lit)
            at = QPointF(look.pad + look.line * 0.68 + 5, y)
            draw_text(self._painter, at, lit_words(night.sky.moon_lit), theme.QUIET)


def mark_head(mark: EventMark, bands: Bands, radius: float) -> QPointF:
    """Return where a mark's head is drawn."""
    low, high = bands.field.bottom() - radius, bands.field.top() + 3 * radius + 4
    return QPointF(mark.x, low - (low - high) * mark.height)
