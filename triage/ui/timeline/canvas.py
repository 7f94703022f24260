"""What the three views share: a painted layer that is kept, tips, focus, and the stretch of night in view."""

from textwrap import fill

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QSizePolicy, QToolTip, QWidget

from triage.ui import theme
from triage.ui.timeline.axis import TimeAxis
from triage.ui.timeline.look import Look, pen

ZOOM_STEP = 1.35
"""One notch of the wheel, or one key."""
NOTCH = 120
"""What Qt reports for one notch of a wheel, in eighths of a degree."""
PAN_STEP_PX = 90
TIP_CHARACTERS = 72


class SharedTime(QObject):
    """The stretch of the night in view; the ribbon and the lanes look through the same one."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._axis = TimeAxis.over(0.0, 1.0)

    @property
    def axis(self) -> TimeAxis:
        """What is in view now."""
        return self._axis

    def set_axis(self, axis: TimeAxis) -> None:
        """Look at another stretch."""
        if axis != self._axis:
            self._axis = axis
            self.changed.emit()

    def place(self, left: float, width: float) -> None:
        """Lay the same stretch across other pixels."""
        self.set_axis(self._axis.placed(left, width))


class Canvas(QWidget):
    """A widget that paints itself in two layers: one kept until something in it changes, one live."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = Look.of(self.font())
        self._kept: QPixmap | None = None
        self._kept_for: tuple[QSize, float] | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def stale(self) -> None:
        """Have both layers painted anew."""
        self._kept = None
        self.update()

    def tip_at(self, at: QPointF) -> str:
        """Return what to say of a point; empty for nothing."""
        raise NotImplementedError

    def _paint_kept(self, painter: QPainter) -> None:
        raise NotImplementedError

    def _paint_live(self, painter: QPainter) -> None:
        raise NotImplementedError

    def _look_changed(self) -> None:
        """Follow a change of the font."""

    def paintEvent(self, event: QPaintEvent) -> None:
        """Put the kept layer down, made anew where it no longer fits, and paint the live one over it."""
        painter = QPainter(self)
        painter.drawPixmap(QPoint(0, 0), self._layer())
        painter.setFont(self.look.font)
        self._paint_live(painter)
        if self.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(pen(theme.ACCENT, 2))
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))
        painter.end()

    def _layer(self) -> QPixmap:
        ratio = self.devicePixelRatioF()
        if self._kept is None or self._kept_for != (self.size(), ratio):
            layer = QPixmap(self.size() * ratio)
            layer.setDevicePixelRatio(ratio)
            layer.fill(theme.colour(theme.GROUND))
            painter = QPainter(layer)
            painter.setFont(self.look.font)
            self._paint_kept(painter)
            painter.end()
            self._kept, self._kept_for = layer, (self.size(), ratio)
        return self._kept

    def changeEvent(self, event: QEvent) -> None:
        """Follow the application's font and colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.stale()
        if event.type() == QEvent.Type.FontChange:
            self.look = Look.of(self.font())
            self._look_changed()
            self.updateGeometry()
            self.stale()

    def event(self, event: QEvent) -> bool:
        """Show tips; keep the keys that mean something here from the window's commands."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride:
            if self.needs_key(event):
                event.accept()
            return event.isAccepted()
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            self.show_tip(self.tip_at(QPointF(event.pos())), event.globalPos())
            return True
        return super().event(event)

    def needs_key(self, _event: QKeyEvent) -> bool:
        """Whether a key that may also be a command of the window is meant for this view."""
        return False

    def show_tip(self, words: str, at: QPoint) -> None:
        """Show words over the window; in lines, since Qt would lay plain words out in a single one."""
        QToolTip.showText(at, fill(words, TIP_CHARACTERS), self)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the ring."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Hide the ring."""
        super().focusOutEvent(event)
        self.update()


class TimeCanvas(Canvas):
    """A canvas that looks at the night through `SharedTime`: wheel and keys zoom, a drag moves along."""

    def __init__(self, time: SharedTime, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.time = time
        self._pressed_at: QPointF | None = None
        self._dragged_from: float | None = None
        time.changed.connect(self.stale)

    @property
    def axis(self) -> TimeAxis:
        """What is in view now."""
        return self.time.axis

    def clicked(self, at: QPointF) -> None:
        """React to a click that was not a drag."""
        raise NotImplementedError

    def zoom_centre(self) -> float:
        """Return the pixel around which keys zoom."""
        return self.axis.left + self.axis.width / 2

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay the view across the new width."""
        super().resizeEvent(event)
        self._place()

    def _look_changed(self) -> None:
        self._place()

    def _place(self) -> None:
        look = self.look
        self.time.place(look.gutter, self.width() - look.gutter - look.pad - look.radius)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom around the pointer; with shift, or sideways, move along."""
        turned = event.angleDelta()
        sideways = turned.x() if abs(turned.x()) > abs(turned.y()) else 0
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            sideways = turned.y() or turned.x()
        if sideways:
            self.time.set_axis(self.axis.panned(-sideways / NOTCH * PAN_STEP_PX))
        else:
            self.zoom(ZOOM_STEP ** (turned.y() / NOTCH), event.position().x())
        event.accept()

    def zoom(self, factor: float, x: float) -> None:
        """Look closer, or from farther, around a pixel."""
        self.time.set_axis(self.axis.zoomed(factor, min(max(x, self.axis.left), self.axis.right)))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Zoom with plus and minus, show the whole night with zero, move along with Alt and the arrows."""
        pans = {Qt.Key.Key_Left: -PAN_STEP_PX, Qt.Key.Key_Right: PAN_STEP_PX}
        if event.key() in pans and event.modifiers() & Qt.KeyboardModifier.AltModifier:
            self.time.set_axis(self.axis.panned(pans[Qt.Key(event.key())]))
        elif event.key() in {Qt.Key.Key_Plus, Qt.Key.Key_Equal}:
            self.zoom(ZOOM_STEP, self.zoom_centre())
        elif event.key() in {Qt.Key.Key_Minus, Qt.Key.Key_Underscore}:
            self.zoom(1 / ZOOM_STEP, self.zoom_centre())
        elif event.key() == Qt.Key.Key_0:
            self.time.set_axis(self.axis.whole())
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a click or a drag."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed_at = event.position()
            self._dragged_from = None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move along once the pointer has gone far enough to be no click."""
        if self._pressed_at is None:
            self.hovered(event.position())
            return
        x = event.position().x()
        if self._dragged_from is None:
            if abs(x - self._pressed_at.x()) < QApplication.startDragDistance():
                return
            self._dragged_from = self._pressed_at.x()
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.time.set_axis(self.axis.panned(self._dragged_from - x))
        self._dragged_from = x

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End a drag, or take a click."""
        if event.button() != Qt.MouseButton.LeftButton or self._pressed_at is None:
            return
        was_drag = self._dragged_from is not None
        self._pressed_at = self._dragged_from = None
        self.unsetCursor()
        if not was_drag:
            self.clicked(event.position())

    def leaveEvent(self, event: QEvent) -> None:
        """Forget the pointer."""
        super().leaveEvent(event)
        self.hovered(None)

    def hovered(self, at: QPointF | None) -> None:
        """React to the pointer passing over; None when it is gone."""
