"""Looking closer: a second picture beside the first, shadows lifted, what is drawn over the frame."""

from enum import StrEnum

from PySide6.QtCore import QObject, Signal, Slot

from triage.ui.session import Session
from triage.ui.sorting import Sorting
from triage.ui.timeline.words import sayable
from triage.ui.tongue import tr
from triage.ui.views.shadows import STEPS_EV
from triage.ui.views.sorting_page import SortingPage
from triage.ui.words import clock
from triage.ui.workers.pictures import Arrival, Detail, Pictures


class Mode(StrEnum):
    """Why two pictures are shown."""

    HELD = "held"
    SHADOWS = "shadows"


class Looking(QObject):
    """What the keys of the lower row do.

    Parameters
    ----------
    session : Session
        Where one is.
    sorting : Sorting
        Knows what is said of a frame.
    page : SortingPage
        With the big pictures.
    pictures : Pictures
        Brings the picture held for comparison; of its own, because each brings one picture at a time.
    parent : QObject
        The window.
    """

    said = Signal(str)
    lifted = Signal(float)
    """By how many stops shadows are lifted now."""

    def __init__(
        self, session: Session, sorting: Sorting, page: SortingPage, pictures: Pictures, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._sorting = sorting
        self._page = page
        self._pair = pair = page.pair
        self._pictures = pictures
        self._mode: Mode | None = None
        self._held: int | None = None
        self._held_as = ""
        pictures.arrived.connect(self._take)
        pair.beside.full_wanted.connect(self._want_full)
        pair.picture.changed.connect(self._mirror)
        sorting.moved.connect(self._say_which)

    @property
    def mode(self) -> Mode | None:
        """Why two pictures are shown; None for one."""
        return self._mode

    @property
    def held(self) -> int | None:
        """The frame held for comparison."""
        return self._held

    @Slot()
    def compare(self) -> None:
        """Hold the current frame for comparison, or end comparing."""
        if self._mode is Mode.HELD:
            self.end()
            self.said.emit(tr("One picture again."))
        elif self._session.current is not None:
            name = sayable(self._session.frames[self._session.current].name)
            self.hold(self._session.current)
            self.said.emit(
                tr("{name} stays on the left. Go on to any other frame; zooming moves both.", name=name)
            )

    def hold(self, index: int, words: str = "") -> None:
        """Hold a frame for comparison, with words of its own in front of its name."""
        self._held, self._held_as = index, words
        # Loading anew drops the pictures held before: one is enough to keep.
        self._pictures.load(self._sorting.showing.root, self._session.frames)
        self._show_two(Mode.HELD, reasons=bool(words))
        beside = self._pair.beside
        beside.lift_shadows(self._pair.picture.lift_ev)
        beside.show_frame(self._sorting.showing.shown_of(index), self._sorting.showing.first_look(index), "")
        beside.follow(self._pair.picture.gaze)
        self._want(Detail.SCREEN)
        self._say_which()

    @Slot()
    def before_after(self) -> None:
        """Show the frame twice, as it is and with its shadows lifted; or once again."""
        if self._mode is Mode.SHADOWS:
            self.end()
            self._pair.picture.lift_shadows(STEPS_EV[0])
            self.said.emit(tr("One picture again, its shadows as they are."))
            return
        self._held = None
        self._show_two(Mode.SHADOWS, reasons=False)
        picture = self._pair.picture
        if not picture.lift_ev:
            picture.lift_shadows(STEPS_EV[1])
        self._pair.beside.lift_shadows(STEPS_EV[0])
        self._mirror()
        self._say_which()
        self.said.emit(
            tr(
                "Left as it is, right with its shadows lifted by {stops} stops.",
                stops=f"{picture.lift_ev:.0f}",
            )
        )

    @Slot()
    def end(self) -> None:
        """Show one picture."""
        if self._mode is not None:
            self._mode, self._held = None, None
            self._pair.show_one()
            self._page.give_back()

    def _show_two(self, mode: Mode, *, reasons: bool) -> None:
        self._page.give_back()
        self._mode = mode
        self._page.make_room(reasons=reasons)
        self._pair.show_two()

    @Slot()
    def lift_shadows(self) -> None:
        """Lift the shadows by the next step."""
        stops = self._pair.picture.cycle_shadows()
        self.lifted.emit(stops)
        if self._mode is Mode.HELD:
            self._pair.beside.lift_shadows(stops)
        words = tr("Shadows lifted by {stops} stops, for looking only.", stops=f"{stops:.0f}")
        self.said.emit(words if stops else tr("Shadows as they are."))

    @Slot()
    def toggle_outline(self) -> None:
        """Show or hide the outline of the subject."""
        shown = self._pair.picture.toggle_outline()
        self._pair.beside.toggle_outline()
        self.said.emit(tr("Outline of the subject shown." if shown else "Outline of the subject hidden."))

    @Slot()
    def toggle_lamps(self) -> None:
        """Show or hide what lit the frame."""
        shown = self._pair.picture.toggle_lamps()
        self._pair.beside.toggle_lamps()
        self.said.emit(tr("Light of the frame shown." if shown else "Light of the frame hidden."))

    @Slot()
    def _say_which(self) -> None:
        """Write over each picture which frame it is, while there are two."""
        index = self._session.current
        if self._mode is None or index is None:
            return
        if self._mode is Mode.SHADOWS:
            left, right = tr("As it is"), tr("Shadows lifted")
        else:
            left, right = self._name(self._held), self._name(index)
        if self._held_as and self._mode is Mode.HELD:
            left = tr("{held_as}: {name}", held_as=self._held_as, name=left)
        self._pair.beside.caption, self._pair.picture.caption = left, right
        self._pair.beside.update()
        self._pair.picture.update()

    def _name(self, index: int | None) -> str:
        if index is None or index >= len(self._session.frames):
            return ""
        frame = self._session.frames[index]
        return tr("{name}, {time}", name=sayable(frame.name), time=clock(frame.time))

    @Slot()
    def _mirror(self) -> None:
        """Show beside the frame the same one, as it is."""
        if self._mode is Mode.SHADOWS:
            picture, beside = self._pair.picture, self._pair.beside
            beside.show_frame(picture.shown, picture.image)
            beside.follow(picture.gaze)

    def _want(self, detail: Detail) -> None:
        if self._held is not None:
            edge = max(640, self._pair.beside.long_edge())
            self._pictures.want(self._held, detail, long_edge=edge)

    @Slot()
    def _want_full(self) -> None:
        if self._mode is Mode.HELD:
            self._want(Detail.FULL)

    @Slot(object)
    def _take(self, arrival: Arrival) -> None:
        if arrival.index != self._held:
            return
        if arrival.image is None:
            self._pair.beside.show_problem(arrival.problem)
        else:
            self._pair.beside.replace_image(arrival.image)
