"""Paint a row of the list of events, from its roles only.

Qt calls `sizeHint` for one row (all are alike) and `paint` for each row in view, with a painter that has to
be left as it was found.
"""

from PySide6.QtCore import QModelIndex, QObject, QPersistentModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.ui import theme
from triage.ui.marks import paint_mark
from triage.ui.models.event_model import EventRole
from triage.ui.timeline.tips import VERDICT_COUNTS
from triage.ui.tongue import counted

PAD = 6


class EventDelegate(QStyledItemDelegate):
    """A thumbnail, the time with the mark of what it holds, and what is decided."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        QStyleOptionViewItem()  # Qt's types are made when first used; this one takes 20 ms, not to be lost in painting

    def sizeHint(self, option: QStyleOptionViewItem, _index: QModelIndex | QPersistentModelIndex) -> QSize:
        """Return room for three lines of text."""
        line = option.fontMetrics.height()
        return QSize(line * 12, line * 3 + 2 * PAD)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Paint one row."""
        if not index.isValid():
            return
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        chosen = bool(state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.setClipRect(rect)
        painter.fillRect(rect, QColor(theme.HOVER if chosen else theme.GROUND))
        if chosen:
            painter.fillRect(QRect(rect.left(), rect.top(), 3, rect.height()), QColor(theme.ACCENT))
        painter.setPen(QPen(QColor(theme.RULE), 1))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        inner = rect.adjusted(PAD + 3, PAD, -PAD, -PAD)
        well = QRect(inner.left(), inner.top(), round(inner.height() * 1.3), inner.height())
        self._paint_thumbnail(painter, well, index.data(EventRole.THUMBNAIL))
        self._paint_words(painter, inner.adjusted(well.width() + PAD + 2, 0, 0, 0), index)
        painter.restore()

    @staticmethod
    def _paint_thumbnail(painter: QPainter, well: QRect, image: QImage | None) -> None:
        painter.fillRect(well, QColor(theme.SUNK))
        if image is None or image.isNull():
            return
        size = image.size().scaled(well.size(), Qt.AspectRatioMode.KeepAspectRatio)
        place = QRect(0, 0, size.width(), size.height())
        place.moveCenter(well.center())
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(place, image)

    def _paint_words(
        self, painter: QPainter, room: QRect, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        metrics = painter.fontMetrics()
        line = metrics.height()
        left, top, width = room.left(), room.top(), room.width()
        kind: EventKind = index.data(EventRole.KIND)
        mark = theme.UNSURE_MARK if index.data(EventRole.UNSURE) else theme.EVENT_MARKS[kind]
        paint_mark(painter, QRectF(left, top, line, line), mark)
        painter.setPen(QColor(theme.INK))
        painter.drawText(QRect(left + line + 4, top, width, line), 0, index.data(EventRole.TIME))
        painter.setPen(QColor(theme.QUIET))
        holds = metrics.elidedText(index.data(EventRole.HOLDS), Qt.TextElideMode.ElideRight, width)
        painter.drawText(QRect(left, top + line, width, line), 0, holds)
        self._paint_decided(painter, QRect(left, top + 2 * line, width, line), index)

    @staticmethod
    def _paint_decided(painter: QPainter, room: QRect, index: QModelIndex | QPersistentModelIndex) -> None:
        """Paint a mark per verdict with its number, so that a half-sorted event is told at a glance."""
        verdicts: tuple[Verdict | None, ...] = index.data(EventRole.VERDICTS)
        left, line = room.left(), room.height()
        for verdict in (Verdict.KEEP, Verdict.REJECT):
            number = verdicts.count(verdict)
            if number:
                paint_mark(painter, QRectF(left, room.top(), line, line), theme.VERDICT_MARKS[verdict])
                left += line + 2
                painter.drawText(QRect(left, room.top(), room.width(), line), 0, str(number))
                left += painter.fontMetrics().horizontalAdvance(str(number)) + 8
        rest = verdicts.count(None)
        if rest:
            words = counted(rest, VERDICT_COUNTS[None], VERDICT_COUNTS[None])
            painter.drawText(QRect(left, room.top(), room.right() - left, line), 0, words)
