"""Bring the sorting page to life: the state of sorting on one side, its widgets on the other."""

from collections.abc import Callable, Collection
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QGuiApplication, QImage

from triage.errors import StoreError
from triage.pipeline.steps import PictureRead, TimeLineReady
from triage.records.decision import Verdict
from triage.records.finding import Judgement
from triage.records.result import Triage
from triage.store.cards import card_digest
from triage.ui.filters import Filter, Only
from triage.ui.history import Deed, History
from triage.ui.models.ahead import coming
from triage.ui.models.event_model import EventModel
from triage.ui.notebook import Notebook
from triage.ui.promise import PROMISE_WORDS, Promise
from triage.ui.session import Outcome, Session
from triage.ui.timeline.words import sayable
from triage.ui.views.filter_menu import filter_words
from triage.ui.views.overlay import lamps_of
from triage.ui.views.picture_view import NOTHING, Shown
from triage.ui.views.reasons import Case
from triage.ui.views.sorting_page import SortingPage
from triage.ui.words import clock, subject_words
from triage.ui.workers.images import FirstLook
from triage.ui.workers.pictures import Arrival, Detail, Pictures
from triage.ui.workers.thumbnails import Thumbnails, embedded

REFRESH_MS = 120
"""While a card is read, what it brings is shown in batches at most this often."""


class Sorting(QObject):
    """One card being sorted.

    Attributes
    ----------
    root : Path
        Its folder.
    undo_key : str
        What is named where something can be taken back.
    """

    said = Signal(str)
    """What the last key did."""
    trouble = Signal(str)
    """A decision that could not be stored, in words."""
    moved = Signal()
    """Another frame is shown, or what is decided changed."""
    led = Signal()
    """A decision, or the key for it, led on to another frame."""
    unreadable = Signal()
    """A picture that was asked for cannot be read."""

    def __init__(
        self,
        session: Session,
        model: EventModel,
        page: SortingPage,
        pictures: Pictures,
        notebook: Notebook,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._notebook = notebook
        self._history = History()
        self.undo_key = ""
        self.root = Path()
        self._model = model
        self._page = page
        self._pictures = pictures
        self._looks: dict[int, FirstLook] = {}
        self._shown: int | None = None
        self._refreshing = QTimer(self)
        self._refreshing.setSingleShot(True)
        self._refreshing.setInterval(REFRESH_MS)
        self._refreshing.timeout.connect(self._refresh_batch)
        self._thumbed: tuple[int, ...] = ()
        self._thumbnails = Thumbnails(self)
        self._thumbnails.arrived.connect(self._show_thumbnail)
        # Only after the frame is painted: it must not wait for what may be next.
        self._looking_ahead = QTimer(self)
        self._looking_ahead.setSingleShot(True)
        self._looking_ahead.timeout.connect(self._look_ahead)
        self._model.thumbnails_wanted.connect(self._bring_thumbnails)
        page.timeline.event_chosen.connect(self.go_to_event)
        page.timeline.frame_chosen.connect(self._frame_chosen)
        page.events.event_chosen.connect(self.go_to_event)
        page.picture.full_wanted.connect(self._want_full)
        pictures.arrived.connect(self._take_picture)

    @property
    def session(self) -> Session:
        """The state of sorting."""
        return self._session

    def begin(self, root: Path, ready: TimeLineReady) -> None:
        """Begin with a card whose times are known; earlier decisions on it come back."""
        self.clear()
        self.root = root
        self._pictures.load(root, ready.frames)
        try:
            self._session.load(ready.frames, ready.events)
            self._notebook.load(ready.frames, self.card_digest())
        except StoreError as error:
            self.trouble.emit(str(error))
        self._page.timeline.show_time_line(ready.frames, ready.night, ready.events)
        self._model.refresh()
        self._show()

    def clear(self) -> None:
        """Forget the card."""
        for timer in (self._refreshing, self._looking_ahead):
            timer.stop()
        self._looks.clear()
        self._thumbnails.forget()
        self._thumbed = ()
        self._model.forget()
        self._session.load((), ())
        self._notebook.load((), "")
        self._history.forget()
        self._model.refresh()
        self._shown = None
        self._page.timeline.clear()
        self._page.picture.show_frame(NOTHING, None)
        self._page.reasons.show_case(None)

    def close(self) -> None:
        """Leave no timer running."""
        for timer in (self._refreshing, self._looking_ahead):
            timer.stop()
        self._thumbnails.close()
        self._model.forget()

    def card_digest(self) -> str:
        """Return the identity of the card's contents."""
        return card_digest(self._session.frames)

    def take_look(self, read: PictureRead, look: FirstLook | None) -> None:
        """Take one frame's first look while the card is read."""
        frame = read.frame
        self._session.replace_frame(frame)
        if look is not None:
            self._looks[frame.index] = look
            self._look_arrived(frame.index, look)
        self._page.timeline.set_progress(read.done, read.total)
        if frame.index == self._session.current and self._page.picture.image is None:
            self._shown = None
            self._show()

    def take_judgement(self, judgement: Judgement) -> None:
        """Take what is said of one frame."""
        self._session.judge(judgement)
        if not self._refreshing.isActive():
            self._refreshing.start()

    def finish(self, triage: Triage) -> None:
        """Take the whole answer; the current frame stays."""
        self._refreshing.stop()
        self._session.settle(triage.frames, triage.judgements, triage.events)
        self._page.timeline.show_triage(triage)
        self._page.timeline.set_progress(0, 0)
        self._model.refresh()
        self._show()

    def stop_progress(self) -> None:
        """Show that no more is being read."""
        self._page.timeline.set_progress(0, 0)

    @Slot()
    def _refresh_batch(self) -> None:
        self._model.refresh() if self._session.shown else self._model.refresh_rows()
        self._show_said()

    @Slot(int)
    def go(self, index: int) -> None:
        """Go to a frame."""
        self._session.go(index)
        self._show()

    @Slot(int)
    def _frame_chosen(self, index: int) -> None:
        """Go to a frame, or with shift choose all up to it."""
        if QGuiApplication.keyboardModifiers() & Qt.KeyboardModifier.ShiftModifier:
            self._session.choose_to(index)
            self._tell_chosen()
        else:
            self.go(index)

    def choose_on(self, by: int) -> None:
        """Choose the frames up to one further on or back together."""
        if not self._session.choose_on(by):
            self.said.emit("That is the last frame." if by > 0 else "That is the first frame.")
            return
        self._tell_chosen()

    def choose_none(self) -> None:
        """Mean the current frame only."""
        if self._session.chosen:
            self._session.choose_none()
            self.said.emit("No frames are chosen together any more.")
            self._show()

    def _tell_chosen(self) -> None:
        number = len(self._session.chosen)
        self.said.emit(
            f"{number:,} frames chosen together; keep, reject and tag act on all of them. Esc ends it."
        )
        self._show()

    @Slot(int)
    def go_to_event(self, event_id: int) -> None:
        """Go to the best frame of an event."""
        self._session.go_to_event(event_id)
        self._show()

    def step_frame(self, by: int) -> None:
        """Go to a frame further on or back."""
        if not self._session.step_frame(by):
            self.said.emit("That is the last frame." if by > 0 else "That is the first frame.")
        self._show()

    def step_event(self, by: int) -> None:
        """Go to an event further on or back."""
        if not self._session.step_event(by):
            self.said.emit("That is the last event." if by > 0 else "That is the first event.")
        self._show()

    def next_undecided(self, *, back: bool = False) -> None:
        """Go to the next undecided frame in the order of work."""
        before, was = self._session.current, self._session.promise_here()
        if not self._session.next_undecided(back=back):
            self.said.emit("Every frame shown is decided.")
        elif self._session.goes_by_promise:
            now = self._session.promise_here()
            if now is not None and now != was:
                self.said.emit(f"Now: {PROMISE_WORDS[Promise(now)]}.")
        elif before is not None and self._session.current is not None:
            wrapped = (self._session.current < before) != back
            if wrapped and self._session.current != before:
                self.said.emit("Round the end, at the other side of the night.")
        self._show()
        if self._session.current != before:
            self.led.emit()

    def show_only(self, which: Filter) -> None:
        """Show only some events."""
        self._session.show(which)
        self._model.refresh()
        shown = len(self._session.shown_events())
        words = filter_words(which)
        self._page.filter_button.setText(words)
        self.said.emit(f"{words}: {shown:,} of {len(self._session.events):,} events shown.")
        self._show()

    def toggle_order(self) -> bool:
        """Go through undecided frames by time, or the most promising first; return whether by time."""
        self._session.by_time = not self._session.by_time
        words = "by time" if self._session.by_time else "the most promising events first"
        self.said.emit(f"Undecided frames now come {words}.")
        return self._session.by_time

    def keep_frame(self) -> None:
        """Keep the current frame."""
        self._do(lambda: self._session.decide_frame(Verdict.KEEP))

    def reject_frame(self) -> None:
        """Reject the current frame."""
        self._do(lambda: self._session.decide_frame(Verdict.REJECT))

    def keep_event(self) -> None:
        """Keep the current event."""
        self._do(lambda: self._session.decide_event(Verdict.KEEP))

    def reject_event(self) -> None:
        """Reject the current event."""
        self._do(lambda: self._session.decide_event(Verdict.REJECT))

    def keep_best(self) -> None:
        """Keep the best frame of the current event."""
        self._do(self._session.keep_best)

    def clear_frame(self) -> None:
        """Leave the current frame undecided."""
        self._do(self._session.clear_frame)

    def clear_event(self) -> None:
        """Leave the current event undecided."""
        self._do(self._session.clear_event)

    def decide_shown(self, verdict: Verdict) -> None:
        """Decide all undecided frames that the filter is about; after a question only."""
        self._do(lambda: self._session.decide_shown(verdict))

    def put_away(self, frames: Collection[int], what: str) -> None:
        """Reject the frames of a group; after a question only."""
        self._do(lambda: self._session.put_away(frames, what))

    def write(self, put: Callable[[], str]) -> None:
        """Write tags or a note through the notebook, which says what it did."""
        if self._written(put, "That is what stands there already."):
            self._history.did(Deed.WRITING)

    def undo(self) -> None:
        """Take the last decision or writing back."""
        if self._history.last_done is Deed.WRITING:
            done = self._written(self._notebook.undo, "Nothing to take back.", undoable=False)
        else:
            done = self._do(self._session.undo, undoable=False, noted=False)
        if done:
            self._history.took_back()

    def redo(self) -> None:
        """Make it again."""
        if self._history.last_undone is Deed.WRITING:
            done = self._written(self._notebook.redo, "Nothing to write again.")
        else:
            done = self._do(self._session.redo, noted=False)
        if done:
            self._history.made_again()

    def _written(self, put: Callable[[], str], nothing: str, *, undoable: bool = True) -> bool:
        try:
            words = put()
        except StoreError as error:
            self.trouble.emit(f"It is not written down. {error}")
            return False
        self.said.emit(f"{words}.{self._hint if undoable else ''}" if words else nothing)
        self._show()
        return bool(words)

    @property
    def _hint(self) -> str:
        return f" {self.undo_key} takes it back."

    def read_again(self) -> None:
        """Show what another window has decided meanwhile."""
        try:
            if self._session.frames and self._session.read_again():
                self._model.refresh()
                self._show()
        except StoreError as error:
            self.trouble.emit(str(error))

    def _do(self, act: Callable[[], Outcome], *, undoable: bool = True, noted: bool = True) -> bool:
        """Act through the store; the screen changes only after the disk has it. Return whether it changed."""
        before = self._session.current
        try:
            outcome = act()
        except StoreError as error:
            self.trouble.emit(f"The decision is not stored. {error}")
            self._show()
            return False
        if outcome.changed and noted:
            self._history.did(Deed.DECISION)
        hint = self._hint if undoable and outcome.changed else ""
        self.said.emit(f"{outcome.words}{hint}")
        if self._session.shown is Only.UNDECIDED:
            self._model.refresh()
        else:
            self._model.refresh_rows()
        self._show()
        if undoable and noted and self._session.current != before:
            self.led.emit()
        return bool(outcome.changed)

    def _show(self) -> None:
        """Show the current frame everywhere."""
        index = self._session.current
        event = self._session.event
        if touched := self._session.take_touched():
            self._page.timeline.set_verdicts(self._session.verdicts, touched)
        if index is None or event is None:
            self.moved.emit()
            return
        if index != self._shown:
            self._show_picture(index)
        self._page.timeline.set_current(event.id, index)
        self._page.timeline.set_chosen(frozenset(self._session.chosen))
        self._page.events.show_current(event.id)
        if event.frames != self._thumbed:
            self._thumbed = event.frames
            self._bring_thumbnails(sorted(event.frames, key=lambda near: abs(near - index)))
        self._shown = index
        self._show_said()
        self.moved.emit()

    def _show_picture(self, index: int) -> None:
        image = self.first_look(index)
        frame = self._session.frames[index]
        waiting = "" if image is not None else frame.problem or "Reading the picture…"
        self._page.picture.show_frame(self.shown_of(index), image, waiting)
        self._want(Detail.SCREEN)

    def _show_said(self) -> None:
        index, event = self._session.current, self._session.event
        if index is None or event is None:
            return
        frame = self._session.frames[index]
        self._page.picture.say(self.shown_of(index))
        others = {near: said for near in event.frames if (said := self._session.judgements.get(near))}
        verdict = self._session.verdicts.get(index)
        judgement = self._session.judgements.get(index)
        tags = self._notebook.tags((index,))
        notes = (self._notebook.event_note(event), self._notebook.night_note)
        chosen = len(self._session.chosen)
        self._page.reasons.show_case(
            Case(frame, event, judgement, others, verdict, tags=tags, notes=notes, chosen=chosen)
        )

    def first_look(self, index: int) -> QImage | None:
        """Return what is at hand of a frame's picture."""
        look = self._looks.get(index)
        return self._pictures.cached(index, Detail.SCREEN) or (look.image() if look else None)

    def shown_of(self, index: int) -> Shown:
        """Return what is said on a frame's picture."""
        frame = self._session.frames[index]
        said = self._session.judgements.get(index)
        measured = said.measurement if said else None
        subject = measured.subject if measured else None
        unsure = said.unsure if said else False
        if subject is not None and subject.confidence < 0.5 and not unsure:
            subject = None
        width, height = frame.capture.width, frame.capture.height
        words = subject_words(subject, unsure=unsure) if said else "Not yet judged."
        return Shown(
            f"{sayable(frame.name)}, {clock(frame.time)}. {words}",
            size=(width, height) if width and height else None,
            subject=subject,
            unsure=unsure,
            verdict=self._session.verdicts.get(frame.index),
            lamps=lamps_of(said) if said else (),
        )

    def _want(self, detail: Detail) -> None:
        index = self._session.current
        if index is None:
            return
        edge = max(640, self._page.picture.long_edge())
        self._pictures.want(index, detail, long_edge=edge)
        self._looking_ahead.start(0)

    @Slot()
    def _look_ahead(self) -> None:
        self._pictures.look_ahead(coming(self._session))

    @Slot()
    def _want_full(self) -> None:
        self._want(Detail.FULL)

    @Slot(object)
    def _take_picture(self, arrival: Arrival) -> None:
        if arrival.index != self._session.current:
            return
        if arrival.image is None:
            self._page.picture.show_problem(arrival.problem)
            self.unreadable.emit()
        else:
            self._page.picture.replace_image(arrival.image)

    @Slot(list)
    def _bring_thumbnails(self, frames: list[int]) -> None:
        """Bring small pictures, the first ones first; before a frame is read, the one inside its file."""
        for index in reversed(frames):
            look = self._looks.get(index)
            if look is not None:
                self._thumbnails.want(index, look.thumbnail)
            elif index < len(self._session.frames):
                self._thumbnails.want(index, partial(embedded, self.root, self._session.frames[index]))

    def _look_arrived(self, index: int, look: FirstLook) -> None:
        """Bring the small picture of a frame just read, where there is a place for it."""
        event = self._session.event
        if (event is not None and index in event.frames) or self._model.lacks(index):
            self._thumbnails.want(index, look.thumbnail)

    @Slot(int, QImage)
    def _show_thumbnail(self, index: int, image: QImage) -> None:
        event, own = self._session.event, self._session.event_of(index)
        if event is not None and index in event.frames:
            self._page.timeline.set_thumbnail(index, image)
        if own is not None and own.lead == index:
            self._model.set_thumbnail(index, image)
