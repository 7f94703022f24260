"""Tags and notes from the keyboard: a line opens, Enter puts it down."""

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal, Slot

from triage.errors import StoreError
from triage.ui.notebook import Notebook, parse_tags
from triage.ui.session import Session
from triage.ui.sorting import Sorting
from triage.ui.timeline.words import frames_words, sayable
from triage.ui.tongue import tr
from triage.ui.views.strip import WritingStrip

TAG_HINT = "Words with commas between; what you wrote on earlier nights is offered"
NOTE_HINT = "Anything worth remembering"


class Scribing(QObject):
    """The line to write in, and what becomes of it."""

    trouble = Signal(str)
    ended = Signal()
    """The line is closed; the frames may have the focus again."""

    def __init__(
        self, session: Session, sorting: Sorting, notebook: Notebook, strip: WritingStrip, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._sorting = sorting
        self._notebook = notebook
        self._strip = strip
        self._put: Callable[[str], str] | None = None
        strip.written.connect(self._take)
        strip.left.connect(self.leave)

    @Slot()
    def tag_event(self) -> None:
        """Write tags of the whole event."""
        event = self._session.event
        if event is not None:
            frames = frames_words(len(event.frames))
            self._tag(event.frames, tr("Tags of event {event} ({frames})", event=event.id, frames=frames))

    @Slot()
    def tag_frame(self) -> None:
        """Write tags of the current frame, or of those chosen together."""
        meant = self._session.meant
        if meant:
            name = sayable(self._session.frames[meant[0]].name)
            what = name if len(meant) == 1 else frames_words(len(meant))
            self._tag(meant, tr("Tags of {what}", what=what))

    def _tag(self, frames: tuple[int, ...], title: str) -> None:
        try:
            known = self._notebook.known_tags()
        except StoreError as error:
            self.trouble.emit(str(error))
            return
        self._put = lambda text: self._notebook.tag(frames, parse_tags(text))
        # A blank tag keeps the completer on where no word is known yet: its list is simply empty.
        self._strip.ask(
            title, ", ".join(self._notebook.tags(frames)), hint=tr(TAG_HINT), words=known or ("",)
        )

    @Slot()
    def note_event(self) -> None:
        """Write a note on the event."""
        event = self._session.event
        if event is not None:
            self._put = lambda text: self._notebook.note_event(event, text)
            note = self._notebook.event_note(event)
            self._strip.ask(tr("Note on event {event}", event=event.id), note, hint=tr(NOTE_HINT))

    @Slot()
    def note_night(self) -> None:
        """Write a note on the night."""
        self._put = self._notebook.note_night
        self._strip.ask(tr("Note on the night"), self._notebook.night_note, hint=tr(NOTE_HINT))

    @Slot(str)
    def _take(self, text: str) -> None:
        put = self._put
        if put is not None:
            self._sorting.write(lambda: put(text))
        self.leave()

    @Slot()
    def leave(self) -> None:
        """Close the line."""
        was_open = self._put is not None
        self._put = None
        self._strip.hide()
        if was_open:
            self.ended.emit()
