"""The forms of marks, as paths around the origin; what each means is said in `triage.ui.theme`."""

from collections.abc import Callable
from functools import lru_cache
from math import ceil, sqrt

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPixmap

from triage.ui import theme
from triage.ui.theme import Mark, Shape


def draw_mark(painter: QPainter, mark: Mark, at: QPointF, radius: float) -> None:
    """Draw a mark in its colour around a point, with a dark rim that parts it from whatever lies below.

    Its middle comes to lie between pixels of the screen, so that all marks of a kind look alike.
    """
    ratio = painter.device().devicePixelRatio()
    stamp = _stamp(mark, (theme.BADGE, theme.colour(mark.colour).name()), radius, ratio)
    half = stamp.width() / 2
    corner = QPointF(round(at.x() * ratio) - half, round(at.y() * ratio) - half)
    painter.drawPixmap(corner / ratio, stamp)


@lru_cache(maxsize=256)
def _stamp(mark: Mark, _colours: tuple[str, str], radius: float, ratio: float) -> QPixmap:
    """Return a mark as it goes to the screen; kept, since a row of the list or a crowded night has many."""
    reach = ceil((radius * 1.5 + 1) * ratio)
    stamp = QPixmap(2 * reach, 2 * reach)
    stamp.setDevicePixelRatio(ratio)
    stamp.fill(Qt.GlobalColor.transparent)
    with QPainter(stamp) as painter:
        painter.translate(reach / ratio, reach / ratio)
        _draw(painter, mark, radius)
    return stamp


def _draw(painter: QPainter, mark: Mark, radius: float) -> None:
    """Draw a mark around the origin."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(theme.colour(theme.BADGE), radius * 0.7))
    painter.setBrush(theme.colour(theme.BADGE))
    painter.drawPath(_circle(radius * 0.95))
    ink = QPen(theme.colour(mark.colour), max(1.4, radius * 0.34))
    painter.setPen(ink)
    painter.setBrush(theme.colour(theme.BADGE))
    OUTLINES[mark.shape](painter, radius)


def _circle(radius: float) -> QPainterPath:
    path = QPainterPath()
    path.addEllipse(QPointF(0, 0), radius, radius)
    return path


def _fill(painter: QPainter, path: QPainterPath) -> None:
    painter.fillPath(path, painter.pen().color())


def _disc(painter: QPainter, radius: float) -> None:
    _fill(painter, _circle(radius))


def _black_disc(painter: QPainter, radius: float) -> None:
    painter.drawPath(_circle(radius * 0.84))


def _half_disc(painter: QPainter, radius: float) -> None:
    painter.drawPath(_circle(radius * 0.84))
    half = QPainterPath(QPointF(0, -radius))
    half.arcTo(QRectF(-radius, -radius, 2 * radius, 2 * radius), 90, 180)
    half.closeSubpath()
    _fill(painter, half)


def _core(painter: QPainter, radius: float) -> None:
    painter.drawPath(_circle(radius * 0.84))
    _fill(painter, _circle(radius * 0.38))


def _square(radius: float) -> QRectF:
    half = radius * 0.74
    return QRectF(-half, -half, 2 * half, 2 * half)


def _hollow_square(painter: QPainter, radius: float) -> None:
    painter.drawRect(_square(radius))


def _cut_square(painter: QPainter, radius: float) -> None:
    half = radius * 0.74
    painter.drawPolyline(
        [QPointF(half, -half), QPointF(-half, -half), QPointF(-half, half), QPointF(half, half)]
    )


def _rings(painter: QPainter, radius: float) -> None:
    painter.drawPath(_circle(radius * 0.86))
    painter.drawPath(_circle(radius * 0.36))


def _waves(painter: QPainter, radius: float) -> None:
    for height in (-0.55, 0.0, 0.55):
        path = QPainterPath(QPointF(-radius, height * radius))
        path.cubicTo(
            QPointF(-radius / 3, (height - 0.6) * radius),
            QPointF(radius / 3, (height + 0.6) * radius),
            QPointF(radius, height * radius),
        )
        painter.strokePath(path, painter.pen())


def _diamond(painter: QPainter, radius: float) -> None:
    path = QPainterPath(QPointF(0, -radius))
    for x, y in ((radius, 0.0), (0.0, radius), (-radius, 0.0)):
        path.lineTo(x, y)
    path.closeSubpath()
    _fill(painter, path)


def _zigzag(painter: QPainter, radius: float) -> None:
    steps = ((-0.9, 0.6), (-0.45, -0.7), (0.0, 0.6), (0.45, -0.7), (0.9, 0.6))
    painter.drawPolyline([QPointF(x * radius, y * radius) for x, y in steps])


def _trestle(painter: QPainter, radius: float) -> None:
    reach = radius * 0.85
    painter.drawLine(QPointF(-reach, -reach * 0.7), QPointF(reach, -reach * 0.7))
    painter.drawLine(QPointF(-reach * 0.35, -reach * 0.7), QPointF(-reach * 0.8, reach))
    painter.drawLine(QPointF(reach * 0.35, -reach * 0.7), QPointF(reach * 0.8, reach))


def _question(painter: QPainter, radius: float) -> None:
    path = QPainterPath(QPointF(-radius * 0.5, -radius * 0.45))
    path.cubicTo(
        QPointF(-radius * 0.4, -radius * 1.3), QPointF(radius * 1.1, -radius * 1.0), QPointF(0, radius * 0.25)
    )
    painter.strokePath(path, painter.pen())
    dot = QPainterPath()
    dot.addEllipse(QPointF(0, radius * 0.8), radius * 0.2, radius * 0.2)
    _fill(painter, dot)


def _tick(painter: QPainter, radius: float) -> None:
    painter.drawPolyline(
        [
            QPointF(-radius * 0.8, 0),
            QPointF(-radius * 0.2, radius * 0.65),
            QPointF(radius * 0.85, -radius * 0.65),
        ]
    )


def _stroke(painter: QPainter, radius: float) -> None:
    reach = radius * sqrt(0.5)
    painter.drawLine(QPointF(-reach, reach), QPointF(reach, -reach))


def _dots(painter: QPainter, radius: float) -> None:
    for x, y in ((0.0, -0.55), (-0.55, 0.4), (0.55, 0.4)):
        dot = QPainterPath()
        dot.addEllipse(QPointF(x * radius, y * radius), radius * 0.33, radius * 0.33)
        _fill(painter, dot)


OUTLINES: dict[Shape, Callable[[QPainter, float], None]] = {
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
"""How each form is drawn, with the painter's pen and brush set and the origin at its middle."""
