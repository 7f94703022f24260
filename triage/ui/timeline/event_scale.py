"""The chosen event, magnified on a time scale of its own."""

from collections.abc import Mapping

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from triage.records.decision import Verdict
from triage.records.event import Event
from triage.ui import theme
from triage.ui.timeline.axis import to_seconds
from triage.ui.timeline.canvas import NOTCH, Canvas
from triage.ui.timeline.look import draw_text, pen
from triage.ui.timeline.scale_bands import ScaleBands, ScaleState
from triage.ui.timeline.scale_layer import ScaleLayer
from triage.ui.timeline.scale_layout import ScaleLayout, scale_layout
from triage.ui.timeline.scene import Scene
from triage.ui.timeline.tips import event_words, frame_words
from triage.ui.tongue import tr

KEPT_EDGE = 224
"""Thumbnails are kept no larger, in pixels,"""
KEPT_BYTES = 60_000_000
"""and all of an event in so many bytes: those of a very long one are smaller, and those of others go."""
CHOOSE_TEXT = "Choose an event on the night above to see its frames in time."


class EventScale(Canvas):
    """The frames of one event where they were taken.

    Signals
    -------
    frame_chosen(int)
        The `Frame.index` of the frame that was clicked, or stepped to.
    """

    frame_chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._scene: Scene | None = None
        self._verdicts: Mapping[int, Verdict] = {}
        self._event: Event | None = None
        self._frame: int | None = None
        self._chosen: frozenset[int] = frozenset()
        self._members: frozenset[int] = frozenset()
        self._images: dict[int, QImage] = {}
        self._pixmaps: dict[int, QPixmap] = {}
        self._pixmaps_for: tuple[float, float] = (0.0, 0.0)
        self._layout: ScaleLayout | None = None
        self._scroll = 0.0
        self._event_x: float | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setObjectName("event-scale")
        self.setAccessibleName(tr("The chosen event"))
        self._describe()

    def show_scene(self, scene: Scene | None) -> None:
        """Show another night, or the same one better known; the current event stays if there still is one."""
        self._scene = scene
        event_id = self._event.id if self._event else None
        self._event = scene.event_at.get(event_id) if scene and event_id is not None else None
        self._members = frozenset(self._event.frames if self._event else ())
        self._layout = None
        if scene is None:
            self._images.clear()
            self._pixmaps.clear()
            self._frame = None
        self._show_frame()

    def show_verdicts(self, verdicts: Mapping[int, Verdict]) -> None:
        """Show what is decided."""
        self._verdicts = verdicts
        self._describe()
        self.stale()

    def show_thumbnail(self, index: int, image: QImage) -> None:
        """Show a frame's picture, small."""
        edge = self._kept_edge()
        if max(image.width(), image.height()) > edge:
            image = image.scaled(
                edge,
                edge,
                Qt.AspectRatioMode.KeepAspectRatio,
                Qt.TransformationMode.SmoothTransformation,
            )
        if self._shows(index):
            self._images[index] = image.convertToFormat(QImage.Format.Format_RGB888)
            self._pixmaps.pop(index, None)
            self.stale()

    def _kept_edge(self) -> int:
        frames = len(self._event.frames) if self._event else 1
        return min(KEPT_EDGE, max(48, int((KEPT_BYTES / frames / 2) ** 0.5)))

    def _shows(self, index: int) -> bool:
        """Whether a frame is one of the event's."""
        return index in self._members

    def show_current(self, event_id: int | None, frame_index: int | None) -> None:
        """Show an event, mark a frame of it and bring that into view."""
        event = self._scene.event_at.get(event_id) if self._scene and event_id is not None else None
        if event is not self._event:
            self._event, self._layout, self._scroll = event, None, 0.0
            self._members = frozenset(event.frames if event else ())
            self._images = {index: image for index, image in self._images.items() if self._shows(index)}
            self.stale()
        self._frame = frame_index
        self._show_frame()

    def show_chosen(self, frames: frozenset[int]) -> None:
        """Mark the frames that are chosen together."""
        if frames != self._chosen:
            self._chosen = frames
            self.update()

    def show_event_at(self, x: float | None) -> None:
        """Lead down from where the event stands in the night."""
        if x != self._event_x:
            self._event_x = x
            self.update()

    def layout_now(self) -> ScaleLayout | None:
        """Return where the frames stand; None without an event."""
        if self._layout is None and self._scene is not None and self._event is not None:
            bands = self._bands()
            times = [to_seconds(self._scene.frames[index].time) for index in self._event.frames]
            self._layout = scale_layout(times, room=bands.room, thumb=bands.slot)
        return self._layout

    def frame_at(self, at: QPointF) -> int | None:
        """Return the index of the frame whose thumbnail or stem is at a point."""
        layer, state = self._layer_for(None), self._state()
        if layer is None or state is None:
            return None
        bands = self._bands()
        if at.x() < bands.left:
            return None
        seen = state.layout.visible(state.scroll, bands.room, bands.slot)
        for position in seen:
            if layer.thumbnail_box(position).contains(at):
                return state.event.frames[position]
        if at.y() < bands.funnel + bands.thumb_h:
            return None
        near = min(seen, key=lambda place: abs(self._stem_x(state, place) - at.x()), default=None)
        if near is None or abs(self._stem_x(state, near) - at.x()) > self.look.line:
            return None
        return state.event.frames[near]

    def tip_at(self, at: QPointF) -> str:
        """Return what to say of a point."""
        if self._scene is None or self._event is None:
            return ""
        index = self.frame_at(at)
        if index is None:
            return self._event_words() if at.x() < self.look.gutter else ""
        return frame_words(self._scene, self._event, index, self._verdicts.get(index))

    def _event_words(self) -> str:
        if self._scene is None or self._event is None:
            return ""
        return event_words(self._event, self._verdicts, settled=self._scene.is_final)

    def heights(self) -> tuple[int, int]:
        """Return the least height, and the one beyond which nothing is gained."""
        return ScaleBands.heights(self.look)

    def sizeHint(self) -> QSize:
        """Return a height at which the thumbnails can be told apart."""
        least, most = self.heights()
        return QSize(round(self.look.gutter * 5), (2 * least + most) // 3)

    def minimumSizeHint(self) -> QSize:
        """Return the least height."""
        return QSize(round(self.look.gutter * 2), self.heights()[0])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step through the frames."""
        frames = self._event.frames if self._event else ()
        key = event.key()
        if frames and key in {Qt.Key.Key_Left, Qt.Key.Key_Right}:
            step = 1 if key == Qt.Key.Key_Right else -1
            here = frames.index(self._frame) + step if self._frame in frames else 0
            if 0 <= here < len(frames):
                self.frame_chosen.emit(frames[here])
        elif frames and key in {Qt.Key.Key_Home, Qt.Key.Key_End}:
            self.frame_chosen.emit(frames[0 if key == Qt.Key.Key_Home else -1])
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose a frame, or jump along the overview."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if not self._jump(event.position()):
            index = self.frame_at(event.position())
            if index is not None:
                self.frame_chosen.emit(index)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag along the overview."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._jump(event.position())

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Scroll along the frames."""
        turned = event.angleDelta()
        amount = turned.x() if abs(turned.x()) > abs(turned.y()) else turned.y()
        self._scroll_to(self._scroll - amount / NOTCH * self._bands().slot)
        event.accept()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay the frames out for the new size."""
        super().resizeEvent(event)
        self._look_changed()

    def _look_changed(self) -> None:
        self._layout = None
        self._show_frame()

    def _bands(self) -> ScaleBands:
        frames = len(self._event.frames) if self._event else 1
        return ScaleBands.of(self.look, self.width(), self.height(), frames)

    def _position(self) -> int | None:
        if self._event is None or self._frame not in self._event.frames:
            return None
        return self._event.frames.index(self._frame)

    def _stem_x(self, state: ScaleState, position: int) -> float:
        return self._bands().left + state.layout.stems[position] - state.scroll

    def _show_frame(self) -> None:
        """Bring the current frame into view; the kept layer is only stale if that meant scrolling."""
        layout, position, bands = self.layout_now(), self._position(), self._bands()
        self._describe()
        if layout is None:
            self.stale()
            return
        scroll = layout.held(self._scroll, bands.room)
        if position is not None:
            scroll = layout.scroll_to_show(position, scroll=scroll, room=bands.room, thumb=bands.slot)
        self._scroll_to(scroll)
        self.update()

    def _scroll_to(self, scroll: float) -> None:
        layout = self.layout_now()
        held = layout.held(round(scroll), self._bands().room) if layout else 0.0
        if held != self._scroll:
            self._scroll = held
            self.stale()

    def _jump(self, at: QPointF) -> bool:
        layout, bands = self.layout_now(), self._bands()
        if layout is None or layout.width <= bands.room or at.y() < bands.overview.top() - 2:
            return False
        self._scroll_to((at.x() - bands.left) / bands.room * layout.width - bands.room / 2)
        return True

    def _state(self) -> ScaleState | None:
        layout = self.layout_now()
        if self._scene is None or self._event is None or layout is None:
            return None
        return ScaleState(self._scene, self._event, layout, self._scroll, self._verdicts, self._pixmaps)

    def _layer_for(self, painter: QPainter | None) -> ScaleLayer | None:
        state = self._state()
        return ScaleLayer(painter or QPainter(), self.look, self._bands(), state) if state else None

    def _fill_pixmaps(self, bands: ScaleBands) -> None:
        """Have ready, in the right size, the thumbnails that are in view; only those, and each once."""
        ratio = self.devicePixelRatioF()
        if self._pixmaps_for != (bands.thumb_w, ratio):
            self._pixmaps.clear()
            self._pixmaps_for = (bands.thumb_w, ratio)
        state = self._state()
        if state is None:
            return
        shown = [state.event.frames[at] for at in state.layout.visible(state.scroll, bands.room, bands.slot)]
        for index in set(self._pixmaps) - set(shown):
            del self._pixmaps[index]
        size = QSize(round(bands.thumb_w * ratio), round(bands.thumb_h * ratio))
        for index in shown:
            if index in self._images and index not in self._pixmaps:
                scaled = self._images[index].scaled(
                    size, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
                )
                pixmap = QPixmap.fromImage(scaled)
                pixmap.setDevicePixelRatio(ratio)
                self._pixmaps[index] = pixmap

    def _describe(self) -> None:
        if self._scene is None or self._event is None:
            self.setAccessibleDescription(tr(CHOOSE_TEXT))
            return
        said = [self._event_words()]
        if self._position() is not None and self._frame is not None:
            said.insert(
                0, frame_words(self._scene, self._event, self._frame, self._verdicts.get(self._frame))
            )
        self.setAccessibleDescription(" ".join(said))

    def _paint_kept(self, painter: QPainter) -> None:
        if self._event is None:
            if self._scene is not None:
                text = tr(CHOOSE_TEXT)
                x = (self.width() - self.look.width(text)) / 2
                draw_text(painter, QPointF(x, self.height() / 2 + self.look.line * 0.3), text, theme.QUIET)
            return
        self._fill_pixmaps(self._bands())
        layer = self._layer_for(painter)
        if layer is not None:
            layer.paint()

    def _paint_live(self, painter: QPainter) -> None:
        position, layer = self._position(), self._layer_for(painter)
        if layer is None:
            return
        self._paint_funnel(painter)
        layer.paint_live(position)
        self._paint_chosen(painter, layer)

    def _paint_chosen(self, painter: QPainter, layer: ScaleLayer) -> None:
        """Put a bar under each frame chosen together with others; one bar where they stand side by side."""
        frames = self._event.frames if self._event else ()
        boxes = [layer.thumbnail_box(at) for at, index in enumerate(frames) if index in self._chosen]
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.colour(theme.ACCENT))
        for box in boxes:
            painter.drawRect(QRectF(box.left(), box.bottom() + 2, box.width(), 4))

    def _paint_funnel(self, painter: QPainter) -> None:
        """Open up from the event's moment in the night to the width of its frames."""
        layout, bands = self.layout_now(), self._bands()
        if self._event_x is None or layout is None:
            return
        low = bands.funnel - 3.0
        left = bands.left
        right = left + min(bands.room, layout.width)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        funnel = QPainterPath(QPointF(self._event_x, 0))
        funnel.cubicTo(QPointF(self._event_x, low), QPointF(left, 0), QPointF(left, low))
        funnel.lineTo(right, low)
        funnel.cubicTo(QPointF(right, 0), QPointF(self._event_x, low), QPointF(self._event_x, 0))
        painter.fillPath(funnel, theme.colour(theme.ACCENT, 0.13))
        painter.strokePath(funnel, pen(theme.colour(theme.ACCENT, 0.55)))
