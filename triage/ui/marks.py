"""The small marks that stand for findings, kinds of event and verdicts, for widgets and delegates."""

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from triage.ui.theme import Mark
from triage.ui.timeline.shapes import draw_mark


def paint_mark(painter: QPainter, rect: QRectF, mark: Mark) -> None:
    """Paint a mark in the middle of a rectangle, as large as its shorter side allows."""
    draw_mark(painter, mark, rect.center(), min(rect.width(), rect.height()) * 0.38)


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

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the mark."""
        with QPainter(self) as painter:
            paint_mark(painter, QRectF(self.rect()), self._mark)
