"""The page on which a card is sorted: time line above; picture, reasons and list below."""

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QListView, QSplitter, QVBoxLayout, QWidget

from triage.ui.delegates.event_delegate import EventDelegate
from triage.ui.models.event_model import EventModel, EventRole
from triage.ui.timeline.panel import TimelinePanel
from triage.ui.views.pair import Pair
from triage.ui.views.parts import Button
from triage.ui.views.reasons import ReasonsPanel

LIST_CHARACTERS = 32
REASONS_CHARACTERS = 42


class EventList(QListView):
    """The plain list; tells which event a person chose in it."""

    event_chosen = Signal(int)

    def __init__(self, model: EventModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setModel(model)
        self.setItemDelegate(EventDelegate(self))
        self.setUniformItemSizes(True)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setAccessibleName("Events")
        self._events = model
        self.clicked.connect(self._choose)
        self.activated.connect(self._choose)

    def show_current(self, event_id: int | None) -> None:
        """Mark an event as the current one, without choosing it anew."""
        row = None if event_id is None else self._events.row_of(event_id)
        if row is None:
            self.clearSelection()
            return
        self.setCurrentIndex(self._events.index(row))

    def dataChanged(
        self,
        first: QModelIndex | QPersistentModelIndex,
        last: QModelIndex | QPersistentModelIndex,
        _roles: Sequence[int] = (),
    ) -> None:
        """Paint anew; the rows are all alike, and Qt would lay out every one of them for one thumbnail."""
        if first == last:
            self.update(first)
        else:
            self.viewport().update()

    def _choose(self) -> None:
        event_id = self.currentIndex().data(EventRole.EVENT_ID)
        if event_id is not None:
            self.event_chosen.emit(event_id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take Enter for the event under the cursor; typed letters are commands, not a search."""
        if event.text().isprintable() and event.text() and event.key() not in {Qt.Key.Key_Return}:
            event.ignore()
            return
        super().keyPressEvent(event)


class SortingPage(QSplitter):
    """Only widgets and their places; `triage.ui.sorting` brings them to life."""

    filter_wanted = Signal()

    def __init__(self, model: EventModel, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self.setChildrenCollapsible(False)
        self.timeline = TimelinePanel()
        self.pair = Pair()
        self.picture = self.pair.picture
        self.reasons = ReasonsPanel()
        self.events = EventList(model)
        self.filter_button = Button("Every event")
        self.filter_button.setAccessibleDescription("Which events are shown; press to choose")
        self.filter_button.clicked.connect(self.filter_wanted)
        self.list_column = QWidget()
        column = QVBoxLayout(self.list_column)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.filter_button)
        column.addWidget(self.events, 1)
        self.below = QSplitter(Qt.Orientation.Horizontal)
        self.below.setChildrenCollapsible(False)
        for widget, stretch in ((self.pair, 6), (self.reasons, 2), (self.list_column, 1)):
            self.below.addWidget(widget)
            self.below.setStretchFactor(self.below.indexOf(widget), stretch)
        self.below.setSizes([620, 330, 250])
        self.addWidget(self.timeline)
        self.addWidget(self.below)
        self.setStretchFactor(0, 0)
        self.setStretchFactor(1, 1)
        self._has_list, self._has_reasons = True, True
        self._is_double, self._is_alone = False, False
        self.setAccessibleName("Sorting")

    def show_list(self, *, shown: bool) -> None:
        """Show or hide the plain list of events."""
        self._has_list = shown
        self._arrange()

    def make_room(self, *, reasons: bool) -> None:
        """Put the list aside for two pictures, and the reasons too where they are not needed."""
        self._is_double, self._has_reasons = True, reasons
        self._arrange()

    def give_back(self) -> None:
        """Show again what was put aside for two pictures."""
        self._is_double, self._has_reasons = False, True
        self._arrange()

    def toggle_alone(self) -> bool:
        """Show the picture alone, or all of the page again; return which."""
        self._is_alone = not self._is_alone
        self._arrange()
        return self._is_alone

    def _arrange(self) -> None:
        self.list_column.setVisible(self._has_list and not self._is_double and not self._is_alone)
        self.reasons.setVisible(self._has_reasons and not self._is_alone)
        self.timeline.setVisible(not self._is_alone)

    def fit_text(self) -> None:
        """Make the columns as wide as their text needs."""
        width = self.fontMetrics().averageCharWidth()
        self.list_column.setMinimumWidth(width * LIST_CHARACTERS)
        self.list_column.setMaximumWidth(round(width * LIST_CHARACTERS * 1.5))
        self.reasons.setMinimumWidth(width * REASONS_CHARACTERS)
        self.reasons.setMaximumWidth(round(width * REASONS_CHARACTERS * 1.6))
