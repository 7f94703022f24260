"""How the frames of the chosen event are painted on their time scale."""

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPolygonF

from triage.records.decision import Verdict
from triage.ui import theme
from triage.ui.timeline.breaks import Pause
from triage.ui.timeline.look import Look, draw_text, draw_text_on_ground, pen
from triage.ui.timeline.scale_bands import ScaleBands, ScaleState
from triage.ui.timeline.shapes import draw_mark
from triage.ui.timeline.tips import kind_words
from triage.ui.timeline.words import clock_words, day_words, duration_words, frames_words, sayable
from triage.ui.tongue import tr

REJECTED_DIMNESS = 0.62
JOINT_LINES = 1.3
"""How far above the line of time a stem bends to its thumbnail; the length of a pause is written below."""
RULER_PX = (36.0, 120.0)
"""How long the scale's ruler may be."""
RULER_S = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1800, 3600, 7200, 21600, 43200, 86400)


class ScaleLayer:
    """Paints the frames of an event, or the one that is current; made for one painting."""

    def __init__(self, painter: QPainter, look: Look, bands: ScaleBands, state: ScaleState) -> None:
        self._painter = painter
        self._look = look
        self._bands = bands
        self._state = state

    def paint(self) -> None:
        """Paint everything but what is current."""
        bands, state = self._bands, self._state
        seen = self._seen()
        self._painter.save()
        self._painter.setClipRect(self._track())
        self._paint_axis()
        for position in seen:
            self._paint_stem(position, theme.OUTLINE, 1.0)
        for pause in state.layout.scale.pauses:
            self._paint_pause(pause)
        for position in seen:
            self._paint_thumbnail(position)
        self._painter.restore()
        if state.layout.width > bands.room:
            self._paint_overview()
        self._paint_gutter()

    def paint_live(self, current: int | None) -> None:
        """Paint over the rest: what marks the current frame, and the offsets, which give way to its own."""
        self._painter.save()
        self._painter.setClipRect(self._track())
        if current is not None:
            self._paint_stem(current, theme.ACCENT, 2.0)
            self._painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._painter.setBrush(Qt.BrushStyle.NoBrush)
            self._painter.setPen(pen(theme.ACCENT, 2.5))
            self._painter.drawRect(self.thumbnail_box(current).adjusted(-1.5, -1.5, 1.5, 1.5))
        self._paint_offsets(current)
        self._painter.restore()
        bands, layout = self._bands, self._state.layout
        if current is not None and layout.width > bands.room:
            x = bands.left + layout.stems[current] / layout.width * bands.room
            self._painter.fillRect(QRectF(x - 1, bands.overview.top() - 2, 3, 9), theme.colour(theme.ACCENT))

    def _seen(self) -> range:
        return self._state.layout.visible(self._state.scroll, self._bands.room, self._bands.slot)

    def _track(self) -> QRectF:
        return QRectF(self._bands.left, 0, self._bands.room, self._bands.overview.bottom() + 1)

    def thumbnail_box(self, position: int) -> QRectF:
        """Return where a thumbnail lies."""
        bands, state = self._bands, self._state
        centre = bands.left + state.layout.centres[position] - state.scroll
        return QRectF(round(centre - bands.thumb_w / 2), bands.funnel, bands.thumb_w, bands.thumb_h)

    def _stem_x(self, position: int) -> float:
        return self._bands.left + self._state.layout.stems[position] - self._state.scroll

    def _paint_axis(self) -> None:
        bands, state = self._bands, self._state
        left = bands.left - state.scroll
        y = bands.axis_y + 0.5
        x0 = left + state.layout.stems[0] - bands.slot / 4
        x1 = left + state.layout.stems[-1] + bands.slot / 4
        self._painter.setPen(pen(theme.OUTLINE))
        self._painter.drawLine(QLineF(x0, y, x1, y))

    def _paint_pause(self, pause: Pause) -> None:
        bands, look = self._bands, self._look
        left = bands.left - self._state.scroll + self._state.layout.stems[0]
        x = left + (pause.x0 + pause.x1) / 2
        if not bands.left - bands.slot < x < bands.left + bands.room + bands.slot:
            return
        painter, y = self._painter, bands.axis_y
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(QRectF(x - 4, y - 1, 8, 3), theme.colour(theme.GROUND))
        painter.setPen(pen(theme.INK, 1.4))
        painter.drawLines([QLineF(x + side - 2, y + 6, x + side + 2, y - 5) for side in (-4, 4)])
        text = duration_words(pause.seconds)
        at = QPointF(x - look.width(text) / 2, y - look.metrics.descent() - 6)
        draw_text_on_ground(painter, look, at, text, theme.QUIET)

    def _paint_stem(self, position: int, shade: str, width: float) -> None:
        bands = self._bands
        x, box = self._stem_x(position), self.thumbnail_box(position)
        reach = min(max(x, box.left() + 3), box.right() - 3)
        joint = bands.axis_y - self._look.line * JOINT_LINES
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._painter.setPen(pen(shade, width))
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        self._painter.drawPolyline(
            [
                QPointF(x, bands.axis_y + 4),
                QPointF(x, joint),
                QPointF(reach, box.bottom() + 4),
                QPointF(reach, box.bottom()),
            ]
        )

    def _paint_thumbnail(self, position: int) -> None:
        painter, state = self._painter, self._state
        index = state.event.frames[position]
        box, picture = self.thumbnail_box(position), state.thumbnails.get(index)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.fillRect(box, theme.colour(theme.SUNK))
        if picture is not None:
            size = picture.deviceIndependentSize()
            corner = box.center() - QPointF(size.width() / 2, size.height() / 2)
            painter.drawPixmap(QPointF(round(corner.x()), round(corner.y())), picture)
        else:
            self._paint_missing(position, box)
        verdict = state.verdicts.get(index)
        if verdict is Verdict.REJECT and picture is not None:
            painter.fillRect(box, theme.colour(theme.SUNK, REJECTED_DIMNESS))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen(theme.RULE))
        painter.drawRect(box.adjusted(0, 0, -1, -1))
        self._paint_verdict(box, verdict)
        self._paint_findings(index, box)
        if index == state.event.lead:
            self._paint_lead(box)

    def _paint_missing(self, position: int, box: QRectF) -> None:
        """Stand in for a picture that is not read yet, or cannot be."""
        frame, look = self._state.frame(position), self._look
        if frame.problem is not None:
            draw_mark(
                self._painter, theme.Mark(theme.VERMILLION, theme.Shape.ZIGZAG), box.center(), look.line * 0.6
            )
            return
        name = sayable(frame.name.rpartition(".")[0] or frame.name)
        text = look.metrics.elidedText(name, Qt.TextElideMode.ElideLeft, box.width() - 8)
        at = QPointF(box.center().x() - look.width(text) / 2, box.center().y() + look.metrics.ascent() / 2)
        draw_text(self._painter, at, text, theme.QUIET)

    def _paint_verdict(self, box: QRectF, verdict: Verdict | None) -> None:
        if verdict is None:
            return
        painter, mark = self._painter, theme.VERDICT_MARKS[verdict]
        radius = self._look.radius * 1.25
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if verdict is Verdict.REJECT:
            painter.setPen(pen(mark.colour, 2))
            painter.drawLine(box.bottomLeft() + QPointF(3, -3), box.topRight() + QPointF(-3, 3))
        else:
            painter.fillRect(QRectF(box.left(), box.bottom() - 3, box.width(), 3), theme.colour(mark.colour))
            draw_mark(painter, mark, box.topRight() + QPointF(-radius - 4, radius + 4), radius)

    def _paint_findings(self, index: int, box: QRectF) -> None:
        judgement = self._state.scene.judgement(index)
        if judgement is None:
            return
        marks = [theme.FINDING_MARKS[finding.kind] for finding in judgement.findings]
        if judgement.unsure:
            marks.append(theme.UNSURE_MARK)
        if not marks:
            return
        look, radius = self._look, self._look.radius * 0.95
        y = box.bottom() - radius - 7
        x = box.left() + radius + 4
        room = max(1, int((box.width() - 8) // (2 * radius + 4)))
        for mark in marks[:room]:
            draw_mark(self._painter, mark, QPointF(x, y), radius)
            x += 2 * radius + 4
        word = tr(judgement.findings[0].kind.value if judgement.findings else "unsure")
        if len(marks) == 1 and x + look.width(word) < box.right() - 4:
            draw_text_on_ground(self._painter, look, QPointF(x, y + look.metrics.ascent() * 0.38), word)

    def _paint_lead(self, box: QRectF) -> None:
        """Fold the corner of the frame that shows the event best."""
        side = self._look.line * 0.75
        corner = box.topLeft()
        fold = QPolygonF([corner, corner + QPointF(side, 0), corner + QPointF(0, side)])
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._painter.setPen(pen(theme.SUNK, 1.5))
        self._painter.setBrush(theme.colour(theme.INK))
        self._painter.drawPolygon(fold)

    def _paint_offsets(self, current: int | None) -> None:
        gap = self._look.line * 0.6
        taken = [self._paint_offset(current, theme.ACCENT)] if current is not None else []
        for position in self._seen():
            spot = self._offset_spot(position)
            free = all(spot[1] + gap <= other[0] or other[1] + gap <= spot[0] for other in taken)
            if free and self._bands.left <= self._stem_x(position) <= self._bands.left + self._bands.room:
                taken.append(self._paint_offset(position, theme.QUIET))

    def _offset_spot(self, position: int) -> tuple[float, float]:
        bands, width = self._bands, self._look.width(self._state.offset_words(position))
        x = self._stem_x(position) - width / 2
        x = min(max(x, bands.left + 2), bands.left + bands.room - width - 2)
        return x, x + width

    def _paint_offset(self, position: int, shade: str) -> tuple[float, float]:
        spot = self._offset_spot(position)
        text = self._state.offset_words(position)
        draw_text(self._painter, QPointF(spot[0], self._bands.labels), text, shade)
        return spot

    def _paint_overview(self) -> None:
        """Show all frames on a strip, and which of them are in view."""
        bands, layout = self._bands, self._state.layout
        strip, share = bands.overview, bands.room / layout.width
        self._painter.fillRect(strip, theme.colour(theme.SUNK))
        view = QRectF(
            strip.left() + self._state.scroll * share, strip.top(), bands.room * share, strip.height()
        )
        self._painter.fillRect(view, theme.colour(theme.HOVER))
        self._painter.setPen(pen(theme.OUTLINE))
        self._painter.drawLines(
            [
                QLineF(strip.left() + x * share, strip.top() + 1, strip.left() + x * share, strip.bottom())
                for x in layout.stems
            ]
        )
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        self._painter.setPen(pen(theme.INK))
        self._painter.drawRect(view.adjusted(0.5, -0.5, -0.5, 0.5))

    def _paint_gutter(self) -> None:
        painter, look, event = self._painter, self._look, self._state.event
        y = self._bands.funnel + look.strong_metrics.ascent()
        painter.setFont(look.strong)
        draw_text(painter, QPointF(look.edge, y), tr("Event {event}", event=event.id))
        painter.setFont(look.font)
        y += look.line * 1.2
        draw_mark(
            painter,
            theme.EVENT_MARKS[event.kind],
            QPointF(look.edge + look.radius, y - look.line * 0.28),
            look.radius,
        )
        draw_text(
            painter,
            QPointF(look.edge + 2 * look.radius + 6, y),
            kind_words(event.kind, settled=self._state.scene.is_final),
        )
        rows = [clock_words(event.start, seconds=True), frames_words(len(event.frames))]
        if self._state.scene.days > 1.5:
            rows.insert(0, day_words(event.start.date()))
        for row in rows:
            y += look.line * 1.05
            if y < self._bands.axis_y - look.line:
                draw_text(painter, QPointF(look.edge, y), row, theme.QUIET)
        self._paint_ruler()

    def _paint_ruler(self) -> None:
        """Show how long a stretch of the scale is."""
        px_per_s = self._state.layout.scale.px_per_s
        fitting = [
            each
            for each in RULER_S
            if RULER_PX[0] <= each * px_per_s <= min(RULER_PX[1], self._look.gutter * 0.6)
        ]
        if len(self._state.event.frames) < 2 or not fitting:
            return
        look, y = self._look, self._bands.axis_y + 0.5
        text = duration_words(fitting[0])
        length = fitting[0] * px_per_s
        self._painter.setPen(pen(theme.QUIET))
        self._painter.drawPolyline(
            [
                QPointF(look.edge + 0.5, y - 4),
                QPointF(look.edge + 0.5, y),
                QPointF(look.edge + length, y),
                QPointF(look.edge + length, y - 4),
            ]
        )
        draw_text(
            self._painter,
            QPointF(max(look.edge, look.edge + (length - look.width(text)) / 2), self._bands.labels),
            text,
            theme.QUIET,
        )
