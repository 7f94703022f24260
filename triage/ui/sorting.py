"""Bring the sorting page to life: the state of sorting on one side, its widgets on the other."""

from collections.abc import Callable, Collection
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QGuiApplication

from triage.errors import StoreError
from triage.pipeline.steps import PictureRead, TimeLineReady
from triage.records.decision import Verdict
from triage.records.finding import Judgement
from triage.records.result import Triage
from triage.store.cards import card_digest
from triage.ui.filters import Filter, Only
from triage.ui.history import Deed, History
from triage.ui.models.event_model import EventModel
from triage.ui.notebook import Notebook
from triage.ui.outcome import Outcome
from triage.ui.promise import PROMISE_WORDS, Promise
from triage.ui.session import Session
from triage.ui.showing import Showing
from triage.ui.timeline.scene import Scene
from triage.ui.timeline.words import events_words
from triage.ui.tongue import counted, tr
from triage.ui.turns import Turns
from triage.ui.views.filter_menu import filter_words
from triage.ui.views.sorting_page import SortingPage
from triage.ui.workers.images import FirstLook
from triage.ui.workers.pictures import Pictures

REFRESH_MS = 120
"""While a card is read, what it brings is shown in batches at most this often."""


class Sorting(QObject):
    """One card being sorted.

    Attributes
    ----------
    showing : Showing
        Brings the current frame to the screen.
    turns : Turns
        Bring what a card brings to the screen.
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
        self._may_lead_in = False
        self.undo_key = ""
        self._model = model
        self._page = page
        self._pictures = pictures
        self.showing = Showing(session, model, page, pictures, notebook, self)
        self.turns = Turns(self)
        self._judged: set[int] = set()
        self._refreshing = QTimer(self)
        self._refreshing.setSingleShot(True)
        self._refreshing.setInterval(REFRESH_MS)
        self._refreshing.timeout.connect(self._refresh_batch)
        page.picture.looked.connect(self.stay)
        page.timeline.event_chosen.connect(self.go_to_event)
        page.timeline.frame_chosen.connect(self._frame_chosen)
        page.events.event_chosen.connect(self.go_to_event)

    @property
    def session(self) -> Session:
        """The state of sorting."""
        return self._session

    def begin(self, root: Path, ready: TimeLineReady) -> None:
        """Begin with a card whose times are known; earlier decisions on it come back. `show_first` shows it."""
        self.clear()
        self.showing.root = root
        self._pictures.load(root, ready.frames)
        try:
            self._session.load(ready.frames, ready.events)
            self._notebook.load(ready.frames, self.card_digest())
        except StoreError as error:
            self.trouble.emit(str(error))

    def show_first(self, ready: TimeLineReady) -> None:
        """Show, in turns, the card just begun; the page must be there, for each turn paints its part."""
        self.turns.add(
            self.showing.show_picture,
            *self._page.timeline.pieces(lambda: Scene(ready.frames, ready.night, ready.events)),
            self._show_list,
            self._show_current,
        )

    def clear(self) -> None:
        """Forget the card."""
        self._refreshing.stop()
        self.turns.forget()
        self._judged.clear()
        self._session.load((), ())
        self._notebook.load((), "")
        self._history.forget()
        self.showing.clear()
        self._model.refresh()

    def close(self) -> None:
        """Leave no timer running."""
        self._refreshing.stop()
        self.turns.forget()
        self.showing.close()

    def expect(self) -> None:
        """Be ready to lead in to the next card by itself, once all of it is judged."""
        self._may_lead_in = True

    @Slot()
    def stay(self) -> None:
        """Lead nowhere: a person has begun to do something with what is shown."""
        self._may_lead_in = False

    def card_digest(self) -> str:
        """Return the identity of the card's contents."""
        return card_digest(self._session.frames)

    def take_look(self, read: PictureRead, look: FirstLook | None) -> None:
        """Take one frame's first look while the card is read."""
        self._session.replace_frame(read.frame)
        self.showing.take_look(read, look)

    def take_judgement(self, judgement: Judgement) -> None:
        """Take what is said of one frame."""
        self._session.judge(judgement)
        self._judged.add(judgement.index)
        if not self._refreshing.isActive():
            self._refreshing.start()

    def finish(self, triage: Triage) -> None:
        """Take the whole answer; the current frame stays, unless nobody has touched anything since the card came.

        Then the best of what came is shown, which is what everybody wants to see first.
        """
        self._refreshing.stop()
        self._session.settle(triage.frames, triage.judgements, triage.events)
        if self._may_lead_in:
            self._session.lead_in()
        self.turns.add(
            *self._page.timeline.pieces(lambda: Scene.of(triage)),
            self.stop_progress,
            self._show_list,
            self._show_current,
        )

    def _show_list(self) -> None:
        self._model.refresh()
        if self._session.event is not None:
            self._page.events.show_current(self._session.event.id)
        self._page.events.viewport().repaint()

    def _show_current(self) -> None:
        self.showing.show()
        self.moved.emit()

    def stop_progress(self) -> None:
        """Show that no more is being read."""
        self._page.timeline.set_progress(0, 0)

    @Slot()
    def _refresh_batch(self) -> None:
        judged, self._judged = self._judged, set()
        self._model.refresh() if self._session.shown else self._model.refresh_rows(judged)
        self.showing.show_said()

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
            self.said.emit(tr("That is the last frame." if by > 0 else "That is the first frame."))
            return
        self._tell_chosen()

    def choose_none(self) -> None:
        """Mean the current frame only."""
        if self._session.chosen:
            self._session.choose_none()
            self.said.emit(tr("No frames are chosen together any more."))
            self._show()

    def _tell_chosen(self) -> None:
        number = len(self._session.chosen)
        self.said.emit(
            counted(
                number,
                "{count} frame chosen; Esc ends it.",
                "{count} frames chosen together; keep, reject and tag act on all of them. Esc ends it.",
            )
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
            self.said.emit(tr("That is the last frame." if by > 0 else "That is the first frame."))
        self._show()

    def step_event(self, by: int) -> None:
        """Go to an event further on or back."""
        if not self._session.step_event(by):
            self.said.emit(tr("That is the last event." if by > 0 else "That is the first event."))
        self._show()

    def next_undecided(self, *, back: bool = False) -> None:
        """Go to the next undecided frame in the order of work."""
        before, was = self._session.current, self._session.promise_here()
        if not self._session.next_undecided(back=back):
            self.said.emit(tr("Every frame shown is decided."))
        elif self._session.goes_by_promise:
            now = self._session.promise_here()
            if now is not None and now != was:
                self.said.emit(tr("Now: {what}.", what=tr(PROMISE_WORDS[Promise(now)])))
        elif before is not None and self._session.current is not None:
            wrapped = (self._session.current < before) != back
            if wrapped and self._session.current != before:
                self.said.emit(tr("Round the end, at the other side of the night."))
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
        self.said.emit(
            tr(
                "{filter}: {shown} of {events} shown.",
                filter=words,
                shown=f"{shown:,}",
                events=events_words(len(self._session.events)),
            )
        )
        self._show()

    def toggle_order(self) -> bool:
        """Go through undecided frames by time, or the most promising first; return whether by time."""
        self._session.by_time = not self._session.by_time
        self.said.emit(
            tr(
                "Undecided frames now come by time."
                if self._session.by_time
                else "Undecided frames now come the most promising events first."
            )
        )
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
        if self._written(put, tr("That is what stands there already.")):
            self._history.did(Deed.WRITING)

    def undo(self) -> None:
        """Take the last decision or writing back."""
        if self._history.last_done is Deed.WRITING:
            done = self._written(self._notebook.undo, tr("Nothing to take back."), undoable=False)
        else:
            done = self._do(self._session.undo, undoable=False, noted=False)
        if done:
            self._history.took_back()

    def redo(self) -> None:
        """Make it again."""
        if self._history.last_undone is Deed.WRITING:
            done = self._written(self._notebook.redo, tr("Nothing to write again."))
        else:
            done = self._do(self._session.redo, noted=False)
        if done:
            self._history.made_again()

    def _written(self, put: Callable[[], str], nothing: str, *, undoable: bool = True) -> bool:
        try:
            words = put()
        except StoreError as error:
            self.trouble.emit(tr("It is not written down. {cause}", cause=error))
            return False
        self.said.emit(self._hinted(words) if words and undoable else words or nothing)
        self._show()
        return bool(words)

    def _hinted(self, words: str) -> str:
        return tr("{done} {key} takes it back.", done=words, key=self.undo_key)

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
            self.trouble.emit(tr("The decision is not stored. {cause}", cause=error))
            self._show()
            return False
        if outcome.changed and noted:
            self._history.did(Deed.DECISION)
        self.said.emit(self._hinted(outcome.words) if undoable and outcome.changed else outcome.words)
        if self._session.shown is Only.UNDECIDED:
            self._model.refresh()
        else:
            self._model.refresh_rows(outcome.changed)
        self._show()
        if undoable and noted and self._session.current != before:
            self.led.emit()
        return bool(outcome.changed)

    def _show(self) -> None:
        """Show the current frame everywhere; now, as a person asks for it."""
        self.turns.hurry()
        self._show_current()
