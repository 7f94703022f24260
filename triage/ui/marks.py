"""Paint the small marks that stand for findings, kinds of event and verdicts."""

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from triage.ui.theme import SUNK, Mark, Shape


def paint_mark(painter: QPainter, rect: QRectF, mark: Mark) -> None:
    """Paint a mark in the middle of a rectangle, as large as its shorter side."""
    side = min(rect.width(), rect.height())
    square = QRectF(rect.center().x() - side / 2, rect.center().y() - side / 2, side, side)
    square.adjust(side * 0.08, side * 0.08, -side * 0.08, -side * 0.08)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(QColor(mark.colour), max(1.4, side * 0.11))
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    _PAINTERS[mark.shape](painter, square, QColor(mark.colour))
    painter.restore()


def _disc(painter: QPainter, box: QRectF, colour: QColor) -> None:
    painter.setBrush(colour)
    painter.drawEllipse(box.adjusted(1, 1, -1, -1))


def _black_disc(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    painter.setBrush(QColor(SUNK))
    painter.drawEllipse(box.adjusted(1, 1, -1, -1))


def _half_disc(painter: QPainter, box: QRectF, colour: QColor) -> None:
    inner = box.adjusted(1, 1, -1, -1)
    _black_disc(painter, box, colour)
    painter.setBrush(colour)
    painter.drawChord(inner, 90 * 16, 180 * 16)


def _core(painter: QPainter, box: QRectF, colour: QColor) -> None:
    _black_disc(painter, box, colour)
    painter.setBrush(colour)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.drawEllipse(box.center(), box.width() * 0.2, box.height() * 0.2)


def _hollow_square(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    painter.drawRect(box.adjusted(1, 1, -1, -1))


def _cut_square(painter: QPainter, box: QRectF, colour: QColor) -> None:
    inner = box.adjusted(1, 1, -1, -1)
    painter.drawRect(inner)
    painter.setClipRect(inner)
    painter.setBrush(colour)
    painter.drawEllipse(QPointF(inner.left(), inner.center().y()), inner.width() * 0.42, inner.height() * 0.3)


def _rings(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    painter.drawEllipse(box.adjusted(1, 1, -1, -1))
    painter.drawEllipse(box.center(), box.width() * 0.17, box.height() * 0.17)


def _waves(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    for share in (0.2, 0.5, 0.8):
        y = box.top() + box.height() * share
        swing = box.height() * 0.14
        path = QPainterPath(QPointF(box.left(), y))
        path.cubicTo(
            QPointF(box.left() + box.width() * 0.33, y - 2 * swing),
            QPointF(box.left() + box.width() * 0.66, y + 2 * swing),
            QPointF(box.right(), y),
        )
        painter.drawPath(path)


def _diamond(painter: QPainter, box: QRectF, colour: QColor) -> None:
    painter.setBrush(colour)
    middle = box.center()
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(middle.x(), box.top()),
                QPointF(box.right(), middle.y()),
                QPointF(middle.x(), box.bottom()),
                QPointF(box.left(), middle.y()),
            ]
        )
    )


def _zigzag(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    shares = ((0.0, 0.75), (0.28, 0.15), (0.5, 0.85), (0.72, 0.15), (1.0, 0.75))
    painter.drawPolyline(
        QPolygonF([QPointF(box.left() + box.width() * x, box.top() + box.height() * y) for x, y in shares])
    )


def _trestle(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    top = QPointF(box.center().x(), box.top())
    painter.drawLine(top, box.bottomLeft())
    painter.drawLine(top, box.bottomRight())
    y = box.top() + box.height() * 0.62
    painter.drawLine(QPointF(box.left() + box.width() * 0.2, y), QPointF(box.right() - box.width() * 0.2, y))


def _question(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    path = QPainterPath()
    hook = box.adjusted(box.width() * 0.2, 0, -box.width() * 0.2, -box.height() * 0.4)
    path.arcMoveTo(hook, 180)
    path.arcTo(hook, 180, -250)
    path.lineTo(QPointF(box.center().x(), box.top() + box.height() * 0.72))
    painter.drawPath(path)
    painter.drawPoint(QPointF(box.center().x(), box.bottom()))


def _tick(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    shares = ((0.05, 0.55), (0.38, 0.9), (0.95, 0.12))
    painter.drawPolyline(
        QPolygonF([QPointF(box.left() + box.width() * x, box.top() + box.height() * y) for x, y in shares])
    )


def _stroke(painter: QPainter, box: QRectF, _colour: QColor) -> None:
    painter.drawLine(box.bottomLeft(), box.topRight())


def _dots(painter: QPainter, box: QRectF, colour: QColor) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    radius = box.width() * 0.13
    for share in (0.14, 0.5, 0.86):
        painter.drawEllipse(QPointF(box.left() + box.width() * share, box.center().y()), radius, radius)


_PAINTERS: dict[Shape, Callable[[QPainter, QRectF, QColor], None]] = {
    Shape.DISC: _disc,
    Shape.BLACK_DISC: _black_disc,
    Shape.HALF_DISC: _half_disc,
    Shape.CORE: _core,
    Shape.HOLLOW_SQUARE: _hollow_square,
    Shape.CUT_SQUARE: _cut_square,
    Shape.RINGS: _rings,
    Shape.WAVES: _waves,
    Shape.DIAMOND: _diamond,
    Shape.ZIGZAG: _zigzag,
    Shape.TRESTLE: _trestle,
    Shape.QUESTION: _question,
    Shape.TICK: _tick,
    Shape.STROKE: _stroke,
    Shape.DOTS: _dots,
}


class MarkLabel(QWidget):
    """One mark as a widget, as tall as a line of text."""

    def __init__(self, mark: Mark, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._mark = mark

    def sizeHint(self) -> QSize:
        """Return a square of one line's height."""
        side = self.fontMetrics().height()
        return QSize(side, side)

    def minimumSizeHint(self) -> QSize:
        """Return the same square."""
        return self.sizeHint()

    def paintEvent(self, _event: object) -> None:
        """Paint the mark."""
        with QPainter(self) as painter:
            paint_mark(painter, QRectF(self.rect()), self._mark)
