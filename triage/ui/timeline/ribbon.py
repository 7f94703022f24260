"""The night from leaving to collecting, its sky and its events."""

from collections.abc import Collection, Mapping

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from triage.records.decision import Verdict
from triage.records.event import Event
from triage.ui import theme
from triage.ui.timeline.axis import to_seconds
from triage.ui.timeline.canvas import SharedTime, TimeCanvas
from triage.ui.timeline.event_marks import EventMark, event_marks
from triage.ui.timeline.look import GROUND_PX, draw_text, draw_text_on_ground, pen
from triage.ui.timeline.ribbon_bands import PROGRESS_PX, Bands
from triage.ui.timeline.ribbon_layer import RibbonLayer, mark_head, paint_standing
from triage.ui.timeline.scene import Scene, Standing, standing, standing_together
from triage.ui.timeline.tips import cluster_words, event_words, night_words, sky_words
from triage.ui.tongue import tr

EMPTY_TEXT = "The night appears here when a card is open."
CLUSTER_MARGIN_S = 30.0
"""Kept free around a cluster that is zoomed to."""


class NightRibbon(TimeCanvas):
    """The night as a ribbon.

    Signals
    -------
    event_chosen(int)
        The id of the event that was clicked, or stepped to.
    """

    event_chosen = Signal(int)

    def __init__(self, time: SharedTime, parent: QWidget | None = None) -> None:
        super().__init__(time, parent)
        self._scene: Scene | None = None
        self._verdicts: Mapping[int, Verdict] = {}
        self._marks: tuple[EventMark, ...] | None = None
        self._standings: tuple[Standing, ...] | None = None
        self._standing_of: dict[int, Standing] = {}
        self._night_words = tr(EMPTY_TEXT)
        self._current: int | None = None
        self._under: EventMark | None = None
        self._progress = (0, 0)
        self._watched: frozenset[int] = frozenset()
        self.setObjectName("night-ribbon")
        self.setAccessibleName(tr("The night"))
        self._describe()

    def show_scene(self, scene: Scene | None) -> None:
        """Show another night, or the same one better known."""
        self._scene = scene
        self._under = None
        self._standing_of.clear()
        self._night_words = night_words(scene) if scene else tr(EMPTY_TEXT)
        self._describe()
        self.stale()

    def show_verdicts(self, verdicts: Mapping[int, Verdict], changed: Collection[int] | None = None) -> None:
        """Show what is decided; only on the frames `changed`, where those are told."""
        self._verdicts = verdicts
        self._standings = None
        if changed is None or self._scene is None:
            self._standing_of.clear()
        else:
            for index in changed:
                self._standing_of.pop(self._scene.event_of.get(index, -1), None)
        self._describe()
        self.update()

    def show_current(self, event_id: int | None) -> None:
        """Mark the current event, and bring it into view."""
        self._current = event_id
        event = self._event()
        if event is not None:
            self.time.set_axis(self.axis.showing(to_seconds(event.start)))
        self._describe()
        self.update()

    def show_watched(self, frames: Collection[int]) -> None:
        """Mark the events of frames that are looked at together."""
        self._watched = frozenset(frames)
        self.update()

    def show_progress(self, done: int, total: int) -> None:
        """Show how much of the card is read; nothing once all is."""
        self._progress = (done, total)
        self.update()

    def stale(self) -> None:
        """Have everything painted anew."""
        self._marks = None
        self._standings = None
        self._under = None
        super().stale()

    def marks(self) -> tuple[EventMark, ...]:
        """Return the marks in view, from left to right."""
        if self._marks is None:
            self._marks = ()
            if self._scene is not None:
                self._marks = event_marks(
                    self._scene.events,
                    self._scene.starts_s,
                    self.axis,
                    single=2 * self.look.radius + 2,
                    crowd=self.look.width("000") + 8,
                )
        return self._marks

    def standings(self) -> tuple[Standing, ...]:
        """Return what is decided on the events of each mark in view."""
        if self._standings is None:
            self._standings = tuple(
                standing_together([self._standing(event) for event in mark.events]) for mark in self.marks()
            )
        return self._standings

    def _standing(self, event: Event) -> Standing:
        """Return how far an event is; kept, because a night of weeks has thousands and a key decides one."""
        known = self._standing_of.get(event.id)
        if known is None:
            known = self._standing_of[event.id] = standing(event, self._verdicts)
        return known

    def mark_at(self, at: QPointF) -> EventMark | None:
        """Return the mark at or nearest a point, within reach of a finger's width."""
        reach = self.look.line * 0.7
        near = min(self.marks(), key=lambda mark: abs(mark.x - at.x()), default=None)
        return near if near is not None and abs(near.x - at.x()) <= reach else None

    def current_x(self) -> float | None:
        """Return where the current event stands; None if there is none in view."""
        mark = next((mark for mark in self.marks() if mark.holds(self._current)), None)
        return mark.x if mark else None

    def zoom_centre(self) -> float:
        """Zoom around the current event where there is one in view."""
        x = self.current_x()
        return super().zoom_centre() if x is None else x

    def tip_at(self, at: QPointF) -> str:
        """Return what to say of a point."""
        if self._scene is None or not self.axis.left <= at.x() <= self.axis.right:
            return ""
        mark = self.mark_at(at)
        if mark is not None:
            return cluster_words(mark.events, self._verdicts, settled=self._scene.is_final)
        return sky_words(self._scene.night, self.axis.seconds_at(at.x()))

    def clicked(self, at: QPointF) -> None:
        """Choose the event that was clicked; again on a crowd, the next one in it."""
        mark = self.mark_at(at)
        if mark is None:
            return
        ids = [event.id for event in mark.events]
        place = ids.index(self._current) + 1 if self._current in ids else 0
        self.event_chosen.emit(ids[place % len(ids)])

    def hovered(self, at: QPointF | None) -> None:
        """Light up the mark under the pointer."""
        under = self.mark_at(at) if at is not None else None
        if under is not self._under:
            self._under = under
            self.update()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Zoom to the events of a crowd; elsewhere show the whole night."""
        mark = self.mark_at(event.position())
        if mark is None or len(mark.events) == 1:
            self.time.set_axis(self.axis.whole())
            return
        moments = [self.axis.held(to_seconds(each.start)) for each in mark.events]
        margin = max(CLUSTER_MARGIN_S, (max(moments) - min(moments)) * 0.15)
        self.time.set_axis(self.axis.over_window(min(moments) - margin, max(moments) + margin))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step through the events."""
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
        if event.key() in steps and not event.modifiers() & Qt.KeyboardModifier.AltModifier:
            self._step(steps[Qt.Key(event.key())])
        elif event.key() == Qt.Key.Key_Home:
            self._choose(0)
        elif event.key() == Qt.Key.Key_End:
            self._choose(-1)
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        """Return the height the rows need."""
        return QSize(round(self.look.gutter * 5), round(Bands.of(self.look, self.axis).height))

    def minimumSizeHint(self) -> QSize:
        """Return the least there is: narrower than wanted, never lower."""
        return QSize(round(self.look.gutter * 2), self.sizeHint().height())

    def _event(self) -> Event | None:
        if self._scene is None or self._current is None:
            return None
        return self._scene.event_at.get(self._current)

    def _in_time(self) -> list[int]:
        events = self._scene.events if self._scene else ()
        return [event.id for event in sorted(events, key=lambda event: (event.start, event.id))]

    def _choose(self, place: int) -> None:
        ids = self._in_time()
        if ids:
            self.event_chosen.emit(ids[place])

    def _step(self, step: int) -> None:
        ids = self._in_time()
        if self._current not in ids:
            self._choose(0 if step > 0 else -1)
            return
        place = ids.index(self._current) + step
        if 0 <= place < len(ids):
            self.event_chosen.emit(ids[place])

    def _describe(self) -> None:
        event = self._event()
        said = [self._night_words]
        if event is not None and self._scene is not None:
            words = event_words(event, self._verdicts, settled=self._scene.is_final)
            said.insert(0, tr("Current: {event}", event=words))
        self.setAccessibleDescription(" ".join(said))

    def _paint_kept(self, painter: QPainter) -> None:
        if self._scene is None:
            text = tr(EMPTY_TEXT)
            at = QPointF((self.width() - self.look.width(text)) / 2, self.height() / 2 + self.look.line * 0.3)
            draw_text(painter, at, text, theme.QUIET)
            return
        RibbonLayer(painter, self.look, self.axis).paint(self._scene, self.marks())

    def _paint_live(self, painter: QPainter) -> None:
        bands = Bands.of(self.look, self.axis)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for mark, decided in zip(self.marks(), self.standings(), strict=True):
            paint_standing(painter, self.look, QPointF(mark.x, bands.feet), decided)
        self._paint_watched(painter, bands)
        if self._under is not None:
            self._paint_ring(painter, self._under, theme.INK, bands)
        self._paint_current(painter, bands)
        self._paint_progress(painter)

    def _paint_watched(self, painter: QPainter, bands: Bands) -> None:
        if not self._watched or self._scene is None:
            return
        events = {self._scene.event_of.get(index) for index in self._watched}
        for mark in self.marks():
            if any(event.id in events for event in mark.events):
                self._paint_ring(painter, mark, theme.INK, bands)

    def _paint_ring(self, painter: QPainter, mark: EventMark, shade: str, bands: Bands) -> None:
        reach = self.look.radius + 3.5
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen(shade, 1.5))
        painter.drawEllipse(mark_head(mark, bands, self.look.radius), reach, reach)

    def _paint_current(self, painter: QPainter, bands: Bands) -> None:
        mark = next((mark for mark in self.marks() if mark.holds(self._current)), None)
        if mark is None:
            return
        self._paint_ring(painter, mark, theme.ACCENT, bands)
        head = mark_head(mark, bands, self.look.radius)
        painter.setPen(pen(theme.ACCENT, 2))
        painter.drawLine(QLineF(head.x(), head.y() + self.look.radius + 3.5, head.x(), self.height()))
        painter.drawLine(QLineF(head.x(), bands.names.top(), head.x(), head.y() - self.look.radius - 3.5))
        text = str(self._current)
        x = self._number_x(head.x(), self.look.width(text))
        draw_text_on_ground(
            painter, self.look, QPointF(x, head.y() + self.look.line * 0.3), text, theme.ACCENT
        )

    def _number_x(self, head: float, width: float) -> float:
        """Return where the current event's number hides no mark: right of its head, or else left of it."""
        reach = self.look.radius + 8

        def is_free(x: float) -> bool:
            ends = x - GROUND_PX - self.look.radius, x + width + GROUND_PX + self.look.radius
            return ends[1] < self.axis.right and not any(ends[0] < mark.x < ends[1] for mark in self.marks())

        right, left = head + reach, head - reach - width
        return right if is_free(right) or not is_free(left) else left

    def _paint_progress(self, painter: QPainter) -> None:
        done, total = self._progress
        if total <= 0 or done >= total:
            return
        edge = QRectF(self.axis.left, self.height() - PROGRESS_PX - 2, self.axis.width, PROGRESS_PX - 1)
        painter.fillRect(edge, theme.colour(theme.RULE))
        edge.setWidth(edge.width() * min(max(done / total, 0.0), 1.0))
        painter.fillRect(edge, theme.colour(theme.ACCENT))
