"""One thin lane for each part of the rig: its health through the night."""

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter
from PySide6.QtWidgets import QWidget

from triage.ui import theme
from triage.ui.timeline.axis import to_seconds
from triage.ui.timeline.canvas import SharedTime, TimeCanvas
from triage.ui.timeline.lanes_layer import LanesLayer, Stretch, lane_box, lane_height, stretches
from triage.ui.timeline.look import draw_text, pen
from triage.ui.timeline.scene import Lane, Scene, folded
from triage.ui.timeline.tips import fault_words, lane_name, lane_words
from triage.ui.timeline.words import clock_words, sayable
from triage.ui.tongue import tr

WAITING_TEXT = "The rig's health appears here once every frame is read."
WELL_TEXT = "No fault found."
ENTER_KEYS = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space})


class RigLanes(TimeCanvas):
    """The rig's health through the night.

    Signals
    -------
    fault_chosen(int)
        The position in `Triage.faults` of the fault that was clicked or entered.
    """

    fault_chosen = Signal(int)

    def __init__(self, time: SharedTime, parent: QWidget | None = None) -> None:
        super().__init__(time, parent)
        self._scene: Scene | None = None
        self._row = 0
        self._fault = 0
        self._is_folded = False
        self._event_x: float | None = None
        self.setObjectName("rig-lanes")
        self.setAccessibleName(tr("The rig's health"))
        self._describe()

    def show_scene(self, scene: Scene | None) -> None:
        """Show another night, or the same one better known."""
        self._scene = scene
        self._row = self._fault = 0
        self._describe()
        self.updateGeometry()
        self.stale()

    def show_event_at(self, x: float | None) -> None:
        """Carry the mark of the current event down through the lanes."""
        if x != self._event_x:
            self._event_x = x
            self.update()

    def lanes(self) -> tuple[Lane, ...]:
        """Return the lanes shown."""
        lanes = self._scene.lanes if self._scene else ()
        return folded(lanes) if self._is_folded else lanes

    def fold(self, *, is_folded: bool) -> None:
        """Show the faults of all parts on one lane, or each part on its own."""
        if is_folded != self._is_folded:
            self._is_folded = is_folded
            self.show_scene(self._scene)

    def stretches_in(self, row: int) -> tuple[Stretch, ...]:
        """Return the faults in view in one lane."""
        if self._scene is None or not 0 <= row < len(self.lanes()):
            return ()
        return stretches(self.lanes()[row], self._scene, self.axis, lane_box(self.look, self.axis, row))

    def stretch_at(self, at: QPointF) -> Stretch | None:
        """Return the fault under a point; of several the narrowest, which lies on top."""
        under = self.stretches_in(self._row_at(at))
        return next(
            (each for each in reversed(under) if each.box.left() - 2 <= at.x() <= each.box.right() + 2), None
        )

    def tip_at(self, at: QPointF) -> str:
        """Return what to say of a point."""
        stretch = self.stretch_at(at)
        if stretch is not None:
            return fault_words(stretch.fault)
        row = self._row_at(at)
        if not 0 <= row < len(self.lanes()):
            return ""
        return self._output_words(self.lanes()[row], at) or lane_words(self.lanes()[row])

    def clicked(self, at: QPointF) -> None:
        """Choose the fault that was clicked."""
        row = self._row_at(at)
        if 0 <= row < len(self.lanes()):
            self._row, self._fault = row, 0
        stretch = self.stretch_at(at)
        if stretch is not None:
            self._fault = [position for position, _ in self.lanes()[row].faults].index(stretch.position)
            self.fault_chosen.emit(stretch.position)
        self._describe()
        self.update()

    def needs_key(self, event: QKeyEvent) -> bool:
        """Keep arrows, Enter and the space bar: they walk the lanes while these have the focus."""
        keys = {*ENTER_KEYS, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right}
        return bool(self.lanes()) and not event.modifiers() and event.key() in keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step through lanes and their faults, and choose one."""
        key = event.key()
        if event.modifiers() & Qt.KeyboardModifier.AltModifier:
            super().keyPressEvent(event)
            return
        if key in {Qt.Key.Key_Up, Qt.Key.Key_Down}:
            self._row = min(
                max(self._row + (1 if key == Qt.Key.Key_Down else -1), 0), max(0, len(self.lanes()) - 1)
            )
            self._fault = 0
        elif key in {Qt.Key.Key_Left, Qt.Key.Key_Right} and self._faults():
            self._fault = (self._fault + (1 if key == Qt.Key.Key_Right else -1)) % len(self._faults())
        elif key in ENTER_KEYS and self._faults():
            self.fault_chosen.emit(self._faults()[self._fault])
        else:
            super().keyPressEvent(event)
            return
        self._describe()
        self.update()
        if key not in ENTER_KEYS:
            self._tell_cause()

    def _tell_cause(self) -> None:
        """Show in words what the pointer would be told over the fault, or else the lane, the keys went to."""
        if not self.lanes():
            return
        stretch = self._chosen_stretch()
        track = lane_box(self.look, self.axis, self._row)
        at = stretch.box.bottomLeft() if stretch else track.bottomLeft()
        lane = self.lanes()[self._row]
        words = fault_words(lane.faults[self._fault][1]) if lane.faults else lane_words(lane)
        self.show_tip(words, self.mapToGlobal(at.toPoint()))

    def sizeHint(self) -> QSize:
        """Return the height of the lanes there are, at least one."""
        rows = max(1, len(self.lanes()))
        return QSize(round(self.look.gutter * 5), round(rows * lane_height(self.look)) + 2)

    def minimumSizeHint(self) -> QSize:
        """Return the least there is: narrower than wanted, never lower."""
        return QSize(round(self.look.gutter * 2), self.sizeHint().height())

    def _faults(self) -> list[int]:
        if not self.lanes():
            return []
        return [position for position, _ in self.lanes()[self._row].faults]

    def _row_at(self, at: QPointF) -> int:
        return int(at.y() // lane_height(self.look))

    def _output_words(self, lane: Lane, at: QPointF) -> str:
        """Say the output measured nearest a point, if any is near."""
        told = [
            sample for sample in lane.samples if sample.output is not None and self.axis.sees(sample.seconds)
        ]
        near = min(told, key=lambda sample: abs(self.axis.x_of(sample.seconds) - at.x()), default=None)
        if near is None or near.output is None or abs(self.axis.x_of(near.seconds) - at.x()) > self.look.line:
            return ""
        return tr(
            "{part}: {percent}\u00a0% of its healthy output at {when}.",
            part=lane_name(lane),
            percent=round(near.output * 100),
            when=self._when(near.seconds),
        )

    def _when(self, seconds: float) -> str:
        scene = self._scene
        frames = scene.frames if scene else ()
        frame = min(frames, key=lambda frame: abs(to_seconds(frame.time) - seconds))
        return tr("{time}, {name}", time=clock_words(frame.time, seconds=True), name=sayable(frame.name))

    def _describe(self) -> None:
        lanes = self.lanes()
        if not lanes:
            self.setAccessibleDescription(self._empty_text())
            return
        faults = lanes[self._row].faults
        places = {"place": self._row + 1, "number": len(lanes), "lane": lane_words(lanes[self._row])}
        if faults:
            fault = fault_words(faults[self._fault][1])
            said = tr("Lane {place} of {number}. {lane} {fault}", fault=fault, **places)
        else:
            said = tr("Lane {place} of {number}. {lane}", **places)
        self.setAccessibleDescription(said)

    def _empty_text(self) -> str:
        return tr(WELL_TEXT if self._scene is not None and self._scene.is_final else WAITING_TEXT)

    def _paint_kept(self, painter: QPainter) -> None:
        if self._scene is None:
            return
        if not self.lanes():
            look = self.look
            base = (self.height() + look.metrics.ascent() - look.metrics.descent()) / 2
            draw_text(painter, QPointF(self.axis.left + look.pad, base), self._empty_text(), theme.QUIET)
            return
        LanesLayer(painter, self.look, self.axis).paint(self.lanes(), self._scene)

    def _paint_live(self, painter: QPainter) -> None:
        words_end = 0.0 if self.lanes() else self.axis.left + self.look.width(self._empty_text()) + 12
        if self._event_x is not None and self._event_x > words_end:
            painter.setPen(pen(theme.colour(theme.ACCENT, 0.75), 2))
            painter.drawLine(QLineF(self._event_x, 0, self._event_x, self.height()))
        if self.hasFocus() and self.lanes():
            self._paint_row_mark(painter)

    def _paint_row_mark(self, painter: QPainter) -> None:
        track = lane_box(self.look, self.axis, self._row)
        painter.fillRect(QRectF(2, track.top(), 4, track.height()), theme.colour(theme.ACCENT))
        stretch = self._chosen_stretch()
        if stretch is not None:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(pen(theme.ACCENT, 2))
            painter.drawRect(stretch.box.adjusted(1, 1, -1, -1))

    def _chosen_stretch(self) -> Stretch | None:
        """Return the fault the keys are on, where it is in view."""
        faults = self._faults()
        chosen = faults[self._fault] if faults else None
        return next((each for each in self.stretches_in(self._row) if each.position == chosen), None)
