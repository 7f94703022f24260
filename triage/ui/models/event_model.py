"""The plain list of events: an adapter from the state of sorting to rows with named roles."""

from collections import OrderedDict
from collections.abc import Callable, Iterable
from enum import IntEnum
from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QByteArray,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    QTimer,
)
from PySide6.QtCore import Signal as QtSignal
from PySide6.QtGui import QImage

from triage.records.event import Event
from triage.ui.session import Session
from triage.ui.words import decided, event_sentence, event_title, moment

KEPT_THUMBNAILS = 400


class EventRole(IntEnum):
    """What a row can be asked for."""

    EVENT_ID = Qt.ItemDataRole.UserRole + 1
    THUMBNAIL = Qt.ItemDataRole.UserRole + 2
    TIME = Qt.ItemDataRole.UserRole + 3
    HOLDS = Qt.ItemDataRole.UserRole + 4
    DECIDED = Qt.ItemDataRole.UserRole + 5
    VERDICTS = Qt.ItemDataRole.UserRole + 6
    KIND = Qt.ItemDataRole.UserRole + 7
    UNSURE = Qt.ItemDataRole.UserRole + 8


SAID_ROLES = [*EventRole, Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole]
FEW_ROWS = 4
"""More rows than these are told of together, and all that are in view painted anew."""


class EventModel(QAbstractListModel):
    """Rows are the events shown, in order of time. Thumbnails come from outside; `data` never decodes."""

    thumbnails_wanted = QtSignal(list)
    """Frame indexes of lead frames whose rows were asked for a thumbnail that is not at hand."""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._events: tuple[Event, ...] = ()
        self._rows: dict[int, int] = {}
        self._thumbnails: OrderedDict[int, QImage] = OrderedDict()
        self._missing: list[int] = []
        self._lacked: set[int] = set()
        self._asking = QTimer(self)
        self._asking.setSingleShot(True)
        self._asking.setInterval(0)
        self._asking.timeout.connect(self._ask)

    def refresh(self) -> None:
        """Show the events that the session shows now."""
        events = self._session.shown_events()
        if events == self._events:
            self.refresh_rows()
            return
        self.beginResetModel()
        self._events = events
        self._rows = {event.id: row for row, event in enumerate(events)}
        self.endResetModel()

    def forget(self) -> None:
        """Forget the thumbnails of a card."""
        self._thumbnails.clear()
        self._lacked.clear()
        self._missing.clear()
        self._asking.stop()

    def refresh_rows(self, frames: Iterable[int] | None = None) -> None:
        """Tell that what is decided or said may have changed; only of `frames`, where those are told."""
        if not self._events:
            return
        if frames is None:
            self._tell_changed(0, len(self._events) - 1)
            return
        events = {event.id for index in frames if (event := self._session.event_of(index)) is not None}
        rows = sorted(self._rows[event_id] for event_id in events & self._rows.keys())
        if len(rows) > FEW_ROWS:
            self._tell_changed(rows[0], rows[-1])
            return
        for row in rows:
            self._tell_changed(row, row)

    def _tell_changed(self, first: int, last: int) -> None:
        self.dataChanged.emit(self.index(first), self.index(last), SAID_ROLES)

    def row_of(self, event_id: int) -> int | None:
        """Return the row of an event, or None where it is not shown."""
        return self._rows.get(event_id)

    def lacks(self, frame: int) -> bool:
        """Whether a thumbnail was asked for and has not come: only those rows need it that were in view."""
        return frame in self._lacked

    def set_thumbnail(self, frame: int, image: QImage) -> None:
        """Take the thumbnail of a lead frame."""
        self._lacked.discard(frame)
        self._thumbnails[frame] = image
        while len(self._thumbnails) > KEPT_THUMBNAILS:
            self._thumbnails.popitem(last=False)
        event = self._session.event_of(frame)
        row = None if event is None else self.row_of(event.id)
        if row is not None:
            self.dataChanged.emit(self.index(row), self.index(row), [EventRole.THUMBNAIL])

    def rowCount(self, parent: QModelIndex | QPersistentModelIndex = QModelIndex()) -> int:
        """Return the number of events shown; rows have no children."""
        return 0 if parent.isValid() else len(self._events)

    def roleNames(self) -> dict[int, QByteArray]:
        """Return the names of the roles."""
        names = super().roleNames()
        names.update({int(role): QByteArray(role.name.lower().encode()) for role in EventRole})
        return names

    def data(
        self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Return what a row shows for a role."""
        if not index.isValid() or not 0 <= index.row() < len(self._events):
            return None
        event = self._events[index.row()]
        if role in {Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole}:
            return event_sentence(
                event,
                self._session.verdicts,
                unsure=self._session.is_unsure(event),
                settled=self._session.settled,
            )
        if role == EventRole.THUMBNAIL:
            return self._thumbnail(event.lead)
        return self._said(event, role)

    def _said(self, event: Event, role: int) -> Any:
        session = self._session
        answers: dict[int, Callable[[], Any]] = {
            EventRole.EVENT_ID: lambda: event.id,
            EventRole.TIME: lambda: moment(event.start),
            EventRole.HOLDS: lambda: event_title(event, settled=session.settled),
            EventRole.DECIDED: lambda: decided(session.verdicts, event.frames),
            EventRole.VERDICTS: lambda: tuple(session.verdicts.get(index) for index in event.frames),
            EventRole.KIND: lambda: event.kind,
            EventRole.UNSURE: lambda: session.is_unsure(event),
        }
        answer = answers.get(role)
        return None if answer is None else answer()

    def _thumbnail(self, frame: int) -> QImage | None:
        found = self._thumbnails.get(frame)
        if found is None:
            self._missing.append(frame)
            self._lacked.add(frame)
            if not self._asking.isActive():
                self._asking.start()
        return found

    def _ask(self) -> None:
        missing, self._missing = list(dict.fromkeys(self._missing)), []
        if missing:
            self.thumbnails_wanted.emit(missing)
