"""Bring the current frame to the sorting page: its picture, its place in time, what is said of it."""

from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal, Slot
from PySide6.QtGui import QImage

from triage.pipeline.steps import PictureRead
from triage.ui.models.ahead import coming
from triage.ui.models.event_model import EventModel
from triage.ui.notebook import Notebook
from triage.ui.session import Session
from triage.ui.timeline.words import sayable
from triage.ui.tongue import tr
from triage.ui.views.overlay import lamps_of
from triage.ui.views.picture_view import NOTHING, Shown
from triage.ui.views.reasons import Case
from triage.ui.views.sorting_page import SortingPage
from triage.ui.words import clock, subject_words, told_subject
from triage.ui.workers.images import FirstLook
from triage.ui.workers.pictures import Arrival, Detail, Pictures
from triage.ui.workers.thumbnails import Thumbnails, embedded


class Showing(QObject):
    """What is at hand of a card's frames, and the widgets that show it; `triage.ui.sorting` says which frame.

    Attributes
    ----------
    root : Path
        The card's folder.
    """

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
        self.root = Path()
        self._model = model
        self._page = page
        self._pictures = pictures
        self._looks: dict[int, FirstLook] = {}
        self._shown: int | None = None
        self._thumbed: tuple[int, ...] = ()
        self._thumbnails = Thumbnails(self)
        self._thumbnails.arrived.connect(self._show_thumbnail)
        # Only after the frame is painted: it must not wait for what may be next.
        self._looking_ahead = QTimer(self)
        self._looking_ahead.setSingleShot(True)
        self._looking_ahead.timeout.connect(self._look_ahead)
        model.thumbnails_wanted.connect(self._bring_thumbnails)
        page.picture.full_wanted.connect(self._want_full)
        pictures.arrived.connect(self._take_picture)

    def clear(self) -> None:
        """Forget the card."""
        self._looking_ahead.stop()
        self._looks.clear()
        self._thumbnails.forget()
        self._thumbed = ()
        self._model.forget()
        self._shown = None
        self._page.timeline.clear()
        self._page.picture.show_frame(NOTHING, None)
        self._page.reasons.show_case(None)

    def close(self) -> None:
        """Leave no timer running."""
        self._looking_ahead.stop()
        self._thumbnails.close()
        self._model.forget()

    def take_look(self, read: PictureRead, look: FirstLook | None) -> None:
        """Take one frame's first look while the card is read."""
        frame = read.frame
        if look is not None:
            self._looks[frame.index] = look
            self._look_arrived(frame.index, look)
        self._page.timeline.set_progress(read.done, read.total)
        if frame.index == self._session.current and self._page.picture.image is None:
            self._shown = None
            self.show()

    def show(self) -> None:
        """Show the current frame everywhere."""
        index = self._session.current
        event = self._session.event
        if touched := self._session.take_touched():
            self._page.timeline.set_verdicts(self._session.verdicts, touched)
        if index is None or event is None:
            return
        self.show_picture()
        self._page.timeline.set_current(event.id, index)
        self._page.timeline.set_chosen(frozenset(self._session.chosen))
        self._page.events.show_current(event.id)
        if event.frames != self._thumbed:
            self._thumbed = event.frames
            self._bring_thumbnails(sorted(event.frames, key=lambda near: abs(near - index)))
        self.show_said()

    def show_picture(self) -> None:
        """Show the current frame's picture, or ask for it, where it is not shown already."""
        index = self._session.current
        if index is None or index == self._shown:
            return
        self._shown = index
        image = self.first_look(index)
        frame = self._session.frames[index]
        waiting = "" if image is not None else frame.problem or tr("Reading the picture…")
        self._page.picture.show_frame(self.shown_of(index), image, waiting)
        self._want(Detail.SCREEN)

    def show_said(self) -> None:
        """Show what is said of the current frame, and what is decided."""
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
        subject, unsure = told_subject(said), said.unsure if said else False
        width, height = frame.capture.width, frame.capture.height
        words = subject_words(subject, unsure=unsure) if said else tr("Not yet judged.")
        return Shown(
            tr("{name}, {time}. {words}", name=sayable(frame.name), time=clock(frame.time), words=words),
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
