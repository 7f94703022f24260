"""Bring the frames of a spot check to the screen, a sheet at a time, and keep what is marked on it."""

from PySide6.QtCore import QObject, Signal, Slot

from triage.ui.session import Session
from triage.ui.sorting import Sorting
from triage.ui.timeline.words import sayable
from triage.ui.tongue import tr
from triage.ui.views.sorting_page import SortingPage
from triage.ui.words import clock
from triage.ui.workers.pictures import Arrival, Detail, Pictures

LEAST_EDGE_PX = 320


class Sheets(QObject):
    """The sheet that is looked at.

    Parameters
    ----------
    session : Session
        Where one is: at the frame that the keys are about.
    sorting : Sorting
        Goes there, and knows what is at hand of each frame.
    page : SortingPage
        With the sheet.
    pictures : Pictures
        Brings the frames in the size of the sheet, one after the other.
    parent : QObject
        The window.

    Attributes
    ----------
    frames : tuple of int
        What is on it, in order of time; empty while there is none.
    marked : set of int
        Those in which the person saw something.
    is_large : bool
        Whether one of them is looked at by itself.
    """

    changed = Signal()
    """Another frame is the one that the keys are about, or something was marked."""

    def __init__(
        self, session: Session, sorting: Sorting, page: SortingPage, pictures: Pictures, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._sorting = sorting
        self._page = page
        self._pictures = pictures
        self.frames: tuple[int, ...] = ()
        self.marked: set[int] = set()
        self.is_large = False
        self._here = 0
        self._waiting: list[int] = []
        pictures.arrived.connect(self._take)
        for tile in page.sheet.tiles:
            tile.reached.connect(self._go)
            tile.pressed.connect(self._press)

    def begin(self) -> None:
        """Make room for sheets."""
        self._pictures.load(self._sorting.showing.root, self._session.frames)
        self._page.show_sheet(shown=True)

    def show(self, frames: tuple[int, ...]) -> None:
        """Show frames of the card, nothing marked yet."""
        self.frames, self.marked, self.is_large = frames, set(), False
        self._page.show_sheet(shown=True)
        self._page.sheet.lay_out(
            [
                tr("Frame {place} of {number}", place=at, number=len(frames))
                for at in range(1, len(frames) + 1)
            ]
        )
        for tile, index in zip(self._page.sheet.tiles, frames, strict=False):
            frame = self._session.frames[index]
            tile.caption = tr("{name}, {time}", name=sayable(frame.name), time=clock(frame.time))
            look = self._sorting.showing.first_look(index)
            waiting = "" if look is not None else frame.problem or tr("Reading the picture…")
            tile.show_frame(self._sorting.showing.shown_of(index), look, waiting)
        self._page.timeline.set_watched(frames)
        self._waiting = list(frames)
        self._bring()
        self._go(0)
        self._page.sheet.tiles[0].setFocus()

    def end(self) -> None:
        """Show the one big picture again."""
        self.frames, self.marked, self.is_large = (), set(), False
        self._waiting.clear()
        self._pictures.drop_wishes()
        self._page.timeline.set_watched(())
        self._page.show_sheet(shown=False)

    def step(self, by: int) -> None:
        """Let the keys be about the next frame, or one further on or back; not beyond the sheet."""
        if 0 <= self._here + by < len(self.frames):
            self._go(self._here + by)
            if not self.is_large:
                self._page.sheet.tiles[self._here].setFocus()

    def step_row(self, by: int) -> None:
        """Let the keys be about the frame below, or above."""
        self.step(by * self._page.sheet.columns)

    def mark(self) -> None:
        """Mark the frame that the keys are about, or unmark it."""
        self._press(self._here)

    def enlarge(self) -> None:
        """Look at one frame by itself."""
        self.is_large = True
        self._page.show_sheet(shown=True, large=True)
        self._page.picture.setFocus()
        self.changed.emit()

    def shrink(self) -> None:
        """Look at all of the sheet again."""
        self.is_large = False
        self._page.show_sheet(shown=True)
        self._page.sheet.tiles[self._here].setFocus()
        self.changed.emit()

    def lift_shadows(self, stops: float) -> None:
        """Lift the shadows of all of them, for looking only."""
        for tile in self._page.sheet.tiles:
            tile.lift_shadows(stops)

    @Slot(int)
    def _go(self, place: int) -> None:
        if place >= len(self.frames):
            return
        self._here = place
        if self._session.current != self.frames[place]:
            self._sorting.go(self.frames[place])
        self._show_states()

    @Slot(int)
    def _press(self, place: int) -> None:
        if place < len(self.frames):
            self._go(place)
            self.marked ^= {self.frames[place]}
            self._show_states()

    def _show_states(self) -> None:
        for tile, index in zip(self._page.sheet.tiles, self.frames, strict=False):
            tile.show_state(is_here=tile.place == self._here, is_marked=index in self.marked)
        self.changed.emit()

    def _bring(self) -> None:
        """Bring the next frame in the size of the sheet; one after the other, as each wish ends the one before."""
        if self._waiting:
            edge = max(LEAST_EDGE_PX, self._page.sheet.tiles[0].long_edge())
            self._pictures.want(self._waiting[0], Detail.SCREEN, long_edge=edge)

    @Slot(object)
    def _take(self, arrival: Arrival) -> None:
        if not self._waiting or arrival.index != self._waiting[0]:
            return
        self._waiting.pop(0)
        tile = self._page.sheet.tiles[self.frames.index(arrival.index)]
        if arrival.image is None:
            tile.show_problem(arrival.problem)
        else:
            tile.replace_image(arrival.image)
        self._bring()
