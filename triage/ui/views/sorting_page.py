"""The page on which a card is sorted: time line above; picture, reasons and list below."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListView,
    QSizePolicy,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from triage.ui.delegates.event_delegate import EventDelegate
from triage.ui.models.event_model import EventModel, EventRole
from triage.ui.timeline.panel import TimelinePanel
from triage.ui.tongue import tr
from triage.ui.views.pair import Pair
from triage.ui.views.parts import MenuButton
from triage.ui.views.reasons import ReasonsPanel
from triage.ui.views.sheet import CheckSheet

LIST_CHARACTERS = 32
REASONS_CHARACTERS, FEW_REASONS_CHARACTERS = 42, 30
"""Least width of the reasons, and where the page is narrow for its text."""
NARROW_CHARACTERS, LOW_LINES = 130, 32
"""A page of less is narrow or low for its text: the picture then needs the room more than words and lanes do."""
TIMELINE_SHARE = 0.36
"""Of the page's height, as long as nobody moved the border; the picture gets the rest."""


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
        self.setAccessibleName(tr("Events"))
        self._events = model
        self.clicked.connect(self._choose)
        self.activated.connect(self._choose)

    def show_current(self, event_id: int | None) -> None:
        """Mark an event as the current one, without choosing it anew."""
        row = None if event_id is None else self._events.row_of(event_id)
        if row is None:
            self.clearSelection()
            return
        for shown in (row - 1, row + 1, row):  # the one before and the one after are to be seen too
            if 0 <= shown < self._events.rowCount():
                self.scrollTo(self._events.index(shown))
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
    """Only widgets and their places; `triage.ui.sorting` brings them to life.

    Attributes
    ----------
    is_shared_by_hand : bool
        Whether a person said how high the time line is; else it follows the page's height.
    """

    filter_wanted = Signal()

    def __init__(self, model: EventModel, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self.setChildrenCollapsible(False)
        self.timeline = TimelinePanel()
        self.pair = Pair()
        self.picture = self.pair.picture
        self.reasons = ReasonsPanel()
        self.events = EventList(model)
        self.filter_button = MenuButton(tr("Every event"))
        self.filter_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.filter_button.setAccessibleDescription(tr("Which events are shown; press to choose"))
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
        self.sheet = CheckSheet()
        self._lower = QStackedWidget()
        self._lower.addWidget(self.below)
        self._lower.addWidget(self.sheet)
        self.addWidget(self.timeline)
        self.addWidget(self._lower)
        self.setStretchFactor(0, 0)
        self.setStretchFactor(1, 1)
        self.is_shared_by_hand = False
        self.splitterMoved.connect(self._keep_shares)
        self._has_list, self._has_reasons = True, True
        self._is_double, self._is_alone = False, False
        self._shares: list[int] | None = None
        self.setAccessibleName(tr("Sorting"))

    def event(self, event: QEvent) -> bool:
        """Give the time line its share whenever the page, or what the time line needs, changes."""
        done = super().event(event)
        if event.type() == QEvent.Type.Resize:
            self.fit_text()
        if event.type() in {QEvent.Type.Resize, QEvent.Type.LayoutRequest}:
            self._share()
        return done

    def _share(self) -> None:
        line = self.fontMetrics().height()
        self.timeline.fold_lanes(are_folded=self.height() < LOW_LINES * line)
        if self._shares is not None:  # a spot check: the night only, as high as it is
            high = self.timeline.heights()[0]
            self.setSizes([high, max(0, self.height() - high)])
            return
        if self.is_shared_by_hand or self.timeline.isHidden():
            return
        least, most = self.timeline.heights()
        high = min(max(round(self.height() * TIMELINE_SHARE), least), most)
        if high != self.sizes()[0]:
            self.setSizes([high, max(0, self.height() - high)])

    @Slot()
    def _keep_shares(self) -> None:
        self.is_shared_by_hand = True

    def show_list(self, *, shown: bool) -> None:
        """Show or hide the plain list of events."""
        self._has_list = shown
        self._arrange()

    def show_sheet(self, *, shown: bool, large: bool = False) -> None:
        """Show the sheet of a spot check below the night, or one of its frames `large`; or all as before."""
        self._lower.setCurrentWidget(self.sheet if shown and not large else self.below)
        if shown != (self._shares is not None):
            self.timeline.show_night_alone(alone=shown)
            if shown:
                self._shares = self.sizes()
                self._share()
            else:
                self.setSizes(self._shares or [])
                self._shares = None
                self._share()

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
        """Make the columns as wide as their text needs, and the reasons no wider where the page is narrow."""
        width = self.fontMetrics().averageCharWidth()
        is_narrow = self.width() < width * NARROW_CHARACTERS
        least = FEW_REASONS_CHARACTERS if is_narrow else REASONS_CHARACTERS
        self.list_column.setMinimumWidth(width * LIST_CHARACTERS)
        self.list_column.setMaximumWidth(round(width * LIST_CHARACTERS * 1.5))
        self.reasons.setMinimumWidth(width * least)
        self.reasons.setMaximumWidth(round(width * least * (1.1 if is_narrow else 1.6)))
