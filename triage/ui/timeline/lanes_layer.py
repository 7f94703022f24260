"""How the health of the rig's parts is painted on their lanes."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from PySide6.QtCore import QLineF, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QPainter

from triage.export.fault_words import LIKELY
from triage.records.diagnosis import Fault
from triage.ui import theme
from triage.ui.timeline.axis import TimeAxis, to_seconds
from triage.ui.timeline.columns import Column, columns
from triage.ui.timeline.look import Look, draw_text, draw_text_on_ground, hatch, pen
from triage.ui.timeline.scene import Lane, Scene
from triage.ui.timeline.ticks import ticks
from triage.ui.timeline.tips import lane_name, stretch_label

FULL_OUTPUT = 1.25
"""Flash output, in healthy units, that fills a lane: over 1, so that healthy is seen to reach its line."""
HELD_S = 3 * 3_600
"""A flash's output is drawn on to its next frame if that comes within so long; beyond it is not known."""
LEAST_STRETCH_PX = 10.0
"""A fault of one moment is still wide enough to see and to click."""
WEAK_OUTPUT = 0.5
"""A stop below healthy: drawn in the colour of faults."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where a fault is drawn.

    Attributes
    ----------
    position : int
        In `Triage.faults`.
    fault : Fault
        Which.
    box : QRectF
        Where.
    """

    position: int
    fault: Fault
    box: QRectF


def lane_height(look: Look) -> float:
    """Return the height of one lane."""
    return round(look.line * 1.3)


def lane_box(look: Look, axis: TimeAxis, row: int) -> QRectF:
    """Return where a lane's track lies."""
    height = lane_height(look)
    return QRectF(axis.left, row * height + 1, axis.width, height - 3)


def stretches(lane: Lane, scene: Scene, axis: TimeAxis, track: QRectF) -> tuple[Stretch, ...]:
    """Return the faults of a lane that are in view, the widest first so that narrow ones lie on top."""
    found = []
    for position, fault in lane.faults:
        start = to_seconds(fault.start or scene.night.start)
        end = to_seconds(fault.end or scene.night.end)
        x0 = axis.x_of(axis.held(min(start, end)))
        x1 = max(axis.x_of(axis.held(end)), x0 + LEAST_STRETCH_PX)
        if x0 <= axis.right < x1:  # a moment at the very end still needs its width
            x0 = min(x0, axis.right - LEAST_STRETCH_PX)
        box = QRectF(x0, track.top(), x1 - x0, track.height()).intersected(track)
        if not box.isEmpty():
            found.append(Stretch(position, fault, box))
    return tuple(sorted(found, key=lambda stretch: -stretch.box.width()))


def label_place(
    box: QRectF, width: float, taken: Sequence[tuple[float, float]], *, room: tuple[float, float]
) -> float | None:
    """Return where a label of a width begins: in its stretch or beside it, never over another label.

    Parameters
    ----------
    box : QRectF
        The stretch.
    width : float
        Of the label.
    taken : sequence of (float, float)
        From where to where other labels stand.
    room : (float, float)
        From where to where labels may stand.

    Returns
    -------
    float or None
        None where there is no place for it.
    """
    low, high = room
    begin = box.left() + 8
    later = sorted(end for _begin, end in taken if begin < end <= box.right())
    for x in (begin, box.left() - width - 2, *later):
        fits = low <= x and x + width <= high
        if fits and all(x >= other_end or x + width <= other for other, other_end in taken):
            return x
    return None


def _no_boxes() -> dict[bool, list[QRect]]:
    """Return room for boxes, by whether the output is weak."""
    return {False: [], True: []}


class LanesLayer:
    """Paints the lanes' kept layer; made for one painting."""

    def __init__(self, painter: QPainter, look: Look, axis: TimeAxis) -> None:
        self._painter = painter
        self._look = look
        self._axis = axis

    def paint(self, lanes: Sequence[Lane], scene: Scene) -> None:
        """Paint these lanes of a night."""
        marks = [round(tick.x) + 0.5 for tick in ticks(self._axis, self._look.width, gap=self._look.line)]
        for row, lane in enumerate(lanes):
            track = lane_box(self._look, self._axis, row)
            self._painter.fillRect(track, theme.colour(theme.SUNK))
            self._painter.setPen(pen(theme.colour(theme.RULE, 0.8)))
            self._painter.drawLines([QLineF(x, track.top(), x, track.bottom()) for x in marks])
            self._paint_name(lane, row)
            self._painter.save()
            self._painter.setClipRect(track)
            self._paint_output(lane, track)
            self._paint_faults(lane, stretches(lane, scene, self._axis, track))
            self._painter.restore()

    def _paint_name(self, lane: Lane, row: int) -> None:
        look = self._look
        track = lane_box(look, self._axis, row)
        base = track.center().y() + (look.metrics.ascent() - look.metrics.descent()) / 2
        name = lane_name(lane)
        at = QPointF(self._axis.left - 2 * look.pad - look.width(name), base)
        draw_text(self._painter, at, name, theme.INK if lane.faults else theme.QUIET)

    def _paint_output(self, lane: Lane, track: QRectF) -> None:
        if not lane.samples:
            y = round(track.center().y()) + 0.5
            self._painter.setPen(pen(theme.OUTLINE, 1, Qt.PenStyle.DotLine))
            self._painter.drawLine(QLineF(track.left(), y, track.right(), y))
            return
        healthy = round(self._y(1.0, track)) + 0.5
        self._painter.setPen(pen(theme.colour(theme.OUTLINE, 0.7), 1, Qt.PenStyle.DotLine))
        self._painter.drawLine(QLineF(track.left(), healthy, track.right(), healthy))
        measured = columns(lane.samples, self._axis, pixel=2.0)
        self._paint_held(measured, track)
        self._paint_columns(measured, track)

    def _y(self, output: float, track: QRectF) -> float:
        share = min(max(output, 0.0), FULL_OUTPUT) / FULL_OUTPUT
        return track.bottom() - 1 - share * (track.height() - 2)

    def _paint_held(self, measured: Sequence[Column], track: QRectF) -> None:
        longest = HELD_S / self._axis.span * self._axis.width
        bottom = round(track.bottom()) - 1
        fills, lines = _no_boxes(), _no_boxes()
        for before, after in pairwise(measured):
            if before.low is None or after.low is None or after.x - before.x > longest:
                continue
            is_weak, top = before.low < WEAK_OUTPUT, round(self._y(before.low, track))
            x, width = round(before.x), round(after.x) - round(before.x)
            fills[is_weak].append(QRect(x, top, width, bottom - top))
            lines[is_weak].append(QRect(x, top, width, 1))
        self._fill(fills, 0.28)
        self._fill(lines, 0.8)

    def _paint_columns(self, measured: Sequence[Column], track: QRectF) -> None:
        bottom = round(track.bottom()) - 1
        most, least, feet = _no_boxes(), _no_boxes(), _no_boxes()
        for column in measured:
            if column.low is None or column.high is None:
                continue
            x, is_weak = round(column.x), column.low < WEAK_OUTPUT
            inner = round(self._y(column.low, track))
            least[is_weak].append(QRect(x, inner, 2, bottom - inner))
            if column.high != column.low:
                top = round(self._y(column.high, track))
                most[column.high < WEAK_OUTPUT].append(QRect(x, top, 2, inner - top))
            if is_weak:
                # A bar of no height would be seen as no measurement: what is lacking is shown as a foot instead.
                feet[is_weak].append(QRect(x - 1, bottom - 2, 4, 3))
        self._fill(most, 0.5)
        self._fill(least, 1.0)
        self._fill(feet, 1.0)

    def _fill(self, boxes: dict[bool, list[QRect]], alpha: float) -> None:
        """Fill boxes of weak and of other output, all together: one by one, thousands keep the window busy."""
        self._painter.setPen(Qt.PenStyle.NoPen)
        for is_weak, alike in boxes.items():
            self._painter.setBrush(theme.colour(theme.BAD if is_weak else theme.QUIET, alpha))
            self._painter.drawRects(alike)

    def _paint_faults(self, lane: Lane, found: Sequence[Stretch]) -> None:
        for stretch in found:
            self._paint_fault(stretch)
        taken: list[tuple[float, float]] = []
        for stretch in sorted(found, key=lambda stretch: stretch.position):  # the worst is sure to be named
            text = stretch_label(lane, stretch.fault)
            width = self._look.width(text) + 8
            x = label_place(stretch.box, width, taken, room=(self._axis.left, self._axis.right))
            if x is not None:
                self._paint_fault_label(stretch, text, x)
                taken.append((x, x + width))

    def _paint_fault(self, stretch: Stretch) -> None:
        box = stretch.box.adjusted(0.5, 0.5, -0.5, -0.5)
        doubtful = stretch.fault.confidence < LIKELY
        strength = 0.32 if doubtful else 0.6
        hatch(self._painter, box, pen(theme.colour(theme.BAD, strength), 1.2), 6, rising=False)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        style = Qt.PenStyle.DashLine if doubtful else Qt.PenStyle.SolidLine
        self._painter.setPen(pen(theme.colour(theme.BAD, max(0.6, strength)), 1, style))
        self._painter.drawRect(box)
        if not doubtful:
            self._painter.fillRect(QRectF(box.left(), box.top(), 3, box.height()), theme.colour(theme.BAD))

    def _paint_fault_label(self, stretch: Stretch, text: str, x: float) -> None:
        look = self._look
        base = stretch.box.center().y() + (look.metrics.ascent() - look.metrics.descent()) / 2
        draw_text_on_ground(self._painter, look, QPointF(x, base), text)
