"""Night, rig and chosen event, one under the other."""

from collections.abc import Callable, Collection, Mapping
from functools import partial

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QVBoxLayout, QWidget

from triage.records.decision import Verdict
from triage.ui.timeline.canvas import SharedTime
from triage.ui.timeline.event_scale import EventScale
from triage.ui.timeline.lanes import RigLanes
from triage.ui.timeline.ribbon import NightRibbon
from triage.ui.timeline.scene import Scene


class TimelinePanel(QWidget):
    """The time line: it shows what it is told to, and only tells what was chosen.

    Choosing changes nothing by itself: whoever owns the session answers a signal with `set_current`.

    Signals
    -------
    event_chosen(int)
        `Event.id`.
    frame_chosen(int)
        `Frame.index`.
    fault_chosen(int)
        Position in `Triage.faults`.
    """

    event_chosen = Signal(int)
    frame_chosen = Signal(int)
    fault_chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._time = SharedTime(self)
        self.ribbon = NightRibbon(self._time, self)
        self.lanes = RigLanes(self._time, self)
        self.scale = EventScale(self)
        self._views = (self.ribbon, self.lanes, self.scale)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        for row, stretch in ((self.ribbon, 0), (self.lanes, 0), (self.scale, 1)):
            rows.addWidget(row, stretch)
        self._time.changed.connect(self._follow_event)
        self.ribbon.event_chosen.connect(self.event_chosen)
        self.lanes.fault_chosen.connect(self.fault_chosen)
        self.scale.frame_chosen.connect(self.frame_chosen)

    def fold_lanes(self, *, are_folded: bool) -> None:
        """Show the rig on one lane, where there is little room, or each part on its own."""
        self.lanes.fold(is_folded=are_folded)

    def heights(self) -> tuple[int, int]:
        """Return the least height, and the one beyond which nothing is gained."""
        if self.scale.isHidden():
            return self.ribbon.sizeHint().height(), self.ribbon.sizeHint().height()
        above = self.ribbon.sizeHint().height() + self.lanes.sizeHint().height()
        least, most = self.scale.heights()
        return above + least, above + most

    def pieces(self, make: Callable[[], Scene]) -> tuple[Callable[[], None], ...]:
        """Return in short pieces what shows a scene, for whoever must do other things in between."""
        made: list[Scene] = []

        def show(view: NightRibbon | RigLanes | EventScale) -> None:
            view.show_scene(made[0])

        pieces: list[Callable[[], None]] = []
        for view in self._views:  # painted in a turn of its own: what it shows may need room first
            pieces += [partial(show, view), view.repaint]
        return (
            lambda: made.append(make()),
            lambda: self._lay_out(made[0]),
            *pieces,
            self._follow_event,
        )

    def set_verdicts(self, verdicts: Mapping[int, Verdict], changed: Collection[int] | None = None) -> None:
        """Show what is decided, by `Frame.index`; only on the frames `changed`, where those are told."""
        shown = dict(verdicts)
        self.ribbon.show_verdicts(shown, changed)
        self.scale.show_verdicts(shown)

    def show_night_alone(self, *, alone: bool) -> None:
        """Show the night without the rig and the event, or with them again."""
        self.lanes.setVisible(not alone)
        self.scale.setVisible(not alone)

    def set_watched(self, frames: Collection[int]) -> None:
        """Mark where on the night some frames stand that are looked at together."""
        self.ribbon.show_watched(frames)

    @Slot(int, QImage)
    def set_thumbnail(self, index: int, image: QImage) -> None:
        """Show a frame's picture, small."""
        self.scale.show_thumbnail(index, image)

    def set_current(self, event_id: int | None, frame_index: int | None) -> None:
        """Mark the current event and frame, and bring them into view."""
        self.ribbon.show_current(event_id)
        self.scale.show_current(event_id, frame_index)
        self._follow_event()

    def set_chosen(self, frames: frozenset[int]) -> None:
        """Mark the frames that are chosen together, by `Frame.index`."""
        self.scale.show_chosen(frames)

    @Slot(int, int)
    def set_progress(self, done: int, total: int) -> None:
        """Show how much of the card is read; nothing once all is."""
        self.ribbon.show_progress(done, total)

    @Slot()
    def clear(self) -> None:
        """Forget the card."""
        self.set_current(None, None)
        for view in self._views:
            view.show_scene(None)
        self._follow_event()
        self.set_verdicts({})
        self.set_progress(0, 0)

    def _lay_out(self, scene: Scene) -> None:
        axis = scene.axis()
        now = self._time.axis
        if (axis.first, axis.last) != (now.first, now.last):
            self._time.set_axis(axis.placed(now.left, now.width))

    @Slot()
    def _follow_event(self) -> None:
        x = self.ribbon.current_x()
        self.lanes.show_event_at(x)
        self.scale.show_event_at(x)
