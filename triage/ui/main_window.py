"""The window: pages, menus, status line, and what each command does."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Slot
from PySide6.QtGui import (
    QAccessible,
    QAccessibleAnnouncementEvent,
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeySequence,
    QShortcut,
)
from PySide6.QtWidgets import QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from triage.errors import StoreError
from triage.pipeline.steps import (
    CardListed,
    Finished,
    FrameJudged,
    HeadersProgress,
    PictureRead,
    Step,
    TimeLineReady,
)
from triage.records.result import Options, Triage
from triage.store.library import Library
from triage.ui.actions import Actions
from triage.ui.commands import Command
from triage.ui.deeds import sorting_deeds
from triage.ui.dressing import dress, step_scale
from triage.ui.keymap import Keymap
from triage.ui.models.event_model import EventModel
from triage.ui.outputs import Outputs
from triage.ui.session import Filter, Session
from triage.ui.settings import Settings
from triage.ui.sorting import Sorting
from triage.ui.timeline.words import count_words, sayable
from triage.ui.views.asking import Asking
from triage.ui.views.dusk import DuskPage
from triage.ui.views.filter_menu import FilterMenu
from triage.ui.views.keys import KeysPage
from triage.ui.views.notice import Notice
from triage.ui.views.sorting_page import SortingPage
from triage.ui.views.status import StatusLine
from triage.ui.views.welcome import WelcomePage
from triage.ui.words import day
from triage.ui.workers.images import FirstLook
from triage.ui.workers.pictures import Decode, Pictures
from triage.ui.workers.reading import CardReading, Pipeline

FIRST_WORDS = (
    "S keeps and D rejects this frame, W keeps the event's best; Z takes it back, ? shows every key."
)


class MainWindow(QMainWindow):
    """The window on one card at a time.

    Parameters
    ----------
    library : Library
        Where decisions go; closed by the caller after the window.
    settings : Settings
        Window state.
    pipeline : callable
        `triage.pipeline.run.run`.
    decode : callable
        `triage.ingest.decode.decode_view`.
    options : Options
        What the user said of the night.
    """

    def __init__(
        self, library: Library, settings: Settings, *, pipeline: Pipeline, decode: Decode, options: Options
    ) -> None:
        super().__init__()
        # Widgets made before the theme is on keep the size of text they were made with.
        dress(settings.text_scale)
        self._library = library
        self._settings = settings
        self._options = options
        self._root: Path | None = None
        self._triage: Triage | None = None
        self._make_demo: Callable[[], Path] | None = None
        self.asking = Asking()
        self.session = Session(library)
        self.model = EventModel(self.session, self)
        self.pictures = Pictures(decode, self)
        self.reading = CardReading(pipeline, self)
        self.outputs = Outputs(self)
        self._build()
        self.sorting = Sorting(self.session, self.model, self.page, self.pictures, self)
        self.actions_ = Actions(self, self._deeds())
        self._escape = QShortcut(QKeySequence("Esc"), self)
        self._escape.activated.connect(self.show_sorting)
        self._connect()
        self._restore()
        self._show_page(self.welcome)

    def _build(self) -> None:
        self.setWindowTitle("Card Triage")
        self.setAcceptDrops(True)
        self.welcome = WelcomePage()
        self.page = SortingPage(self.model)
        self.dusk = DuskPage()
        self.keys = KeysPage(Keymap())
        self.notice = Notice()
        self.status = StatusLine()
        self.pages = QStackedWidget()
        for page in (self.welcome, self.page, self.dusk, self.keys):
            self.pages.addWidget(page)
        middle = QWidget()
        rows = QVBoxLayout(middle)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.notice)
        rows.addWidget(self.pages, 1)
        rows.addWidget(self.status)
        self.setCentralWidget(middle)

    def _connect(self) -> None:
        self.reading.stepped.connect(self._take_step)
        self.reading.looked.connect(self._take_look)
        self.reading.failed.connect(self._reading_failed)
        self.reading.ended.connect(self._reading_ended)
        self.outputs.progressed.connect(self._show_output)
        self.outputs.done.connect(self._output_done)
        self.outputs.made.connect(self.open_card)
        self.sorting.said.connect(self.say)
        self.sorting.trouble.connect(self._show_trouble)
        self.sorting.moved.connect(self._show_tally)
        self.page.filter_wanted.connect(self.choose_filter)
        self.page.timeline.fault_chosen.connect(self._show_evidence)
        self.dusk.evidence_wanted.connect(self._show_evidence)
        self.dusk.left.connect(self.show_sorting)
        self.keys.left.connect(self.show_sorting)
        self.welcome.open_wanted.connect(self.choose_card)
        self.welcome.card_wanted.connect(self.open_card)
        self.welcome.demo_wanted.connect(self._make_sample)
        self.status.stop_wanted.connect(self.stop_work)

    def _deeds(self) -> dict[Command, Callable[[], None]]:
        return sorting_deeds(self.sorting, self.page.picture) | {
            Command.OPEN: self.choose_card,
            Command.STOP: self.stop_work,
            Command.DUSK: self.show_dusk,
            Command.HAND_OVER: self.hand_over,
            Command.COPY_CARD: self.copy_card,
            Command.CLOSE: self._close,
            Command.FILTER: self.choose_filter,
            Command.REJECT_NOTHINGS: self.reject_nothings,
            Command.SHADOWS: self.lift_shadows,
            Command.OUTLINE: self.toggle_outline,
            Command.LIST: self.toggle_list,
            Command.TEXT_LARGER: lambda: self.step_text(1),
            Command.TEXT_SMALLER: lambda: self.step_text(-1),
            Command.TEXT_USUAL: lambda: self.step_text(0),
            Command.KEYS: self.show_keys,
        }

    def offer_demo(self, maker: Callable[[], Path]) -> None:
        """Offer to make a sample card; `maker` makes it and returns its folder, in another thread."""
        self._make_demo = maker
        self.welcome.offer_demo()

    def show_best(self) -> None:
        """Go to the event that most likely shows something, where there is one."""
        found = self.session.most_promising()
        if found is not None:
            self.sorting.go(found)

    def _close(self) -> None:
        self.close()

    @Slot()
    def choose_card(self) -> None:
        """Ask for a card and open it."""
        root = self.asking.folder(self, "Open a memory card, or a folder copied from one")
        if root is not None:
            self.open_card(root)

    @Slot(Path)
    def open_card(self, root: Path) -> None:
        """Read a card; the one before is left."""
        self.notice.hide()
        self.welcome.show_trouble("")
        self._root, self._triage = root, None
        self.sorting.clear()
        self.dusk.show_triage(None)
        self.setWindowTitle(f"{sayable(root.name)} - Card Triage")
        self.status.show_work(f"Listing {sayable(str(root))}…", 0, 0)
        self.status.show_tally(None)
        self.status.say("")
        self.reading.start(root, self._options)

    @Slot(object)
    def _take_step(self, step: Step) -> None:
        if isinstance(step, CardListed):
            self.status.show_work(
                f"Reading when {count_words(len(step.card.groups), 'frame')} were taken…", 0, 0
            )
        elif isinstance(step, HeadersProgress):
            self.status.show_work(f"Reading times: {step.done:,} of {step.total:,}", step.done, step.total)
        elif isinstance(step, TimeLineReady):
            self._begin(step)
        elif isinstance(step, FrameJudged):
            self.status.show_work(f"Judging {step.done:,} of {step.total:,}", step.done, step.total)
            self.sorting.take_judgement(step.judgement)
        elif isinstance(step, Finished):
            self._finish(step.triage)

    def _begin(self, ready: TimeLineReady) -> None:
        if self._root is None:
            return
        self.sorting.begin(self._root, ready)
        self._show_page(self.page)
        self.page.picture.setFocus()
        self.say(FIRST_WORDS)
        try:
            first = ready.frames[0].time
            self._library.remember_card(self.sorting.card_digest(), str(self._root), first, len(ready.frames))
        except StoreError as error:
            self._show_trouble(str(error))

    @Slot(object, object)
    def _take_look(self, read: PictureRead, look: FirstLook | None) -> None:
        self.status.show_work(f"Reading {read.done:,} of {read.total:,}", read.done, read.total)
        self.sorting.take_look(read, look)

    def _finish(self, triage: Triage) -> None:
        self._triage = triage
        self.sorting.finish(triage)
        self.dusk.show_triage(triage)
        self.say(triage.night.summary)

    @Slot(str)
    def _reading_failed(self, words: str) -> None:
        if self.session.frames:
            self._show_trouble(words)
            return
        self.welcome.show_trouble(words)
        self._root = None
        self._show_recent()
        self._show_page(self.welcome)
        self.announce(words)

    @Slot(bool)
    def _reading_ended(self, was_stopped: bool) -> None:
        self.status.end_work()
        self.sorting.stop_progress()
        if was_stopped and not self.session.frames:
            self._root = None
            self._show_page(self.welcome)
        elif was_stopped:
            self.say("Stopped reading. What was read so far can be sorted; open the card again for the rest.")

    @Slot()
    def stop_work(self) -> None:
        """Stop copying, or else reading."""
        if self.outputs.is_busy:
            self.outputs.stop()
        else:
            self.reading.stop()

    @Slot(str)
    def say(self, words: str) -> None:
        """Say something in the status line, aloud too where a screen reader listens."""
        self.status.say(words)
        self.announce(words)

    def announce(self, words: str) -> None:
        """Say something to a screen reader."""
        if words and QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, words))

    @Slot(str)
    def _show_trouble(self, words: str) -> None:
        self.notice.say(words, bad=True)
        self.announce(words)

    @Slot()
    def _show_tally(self) -> None:
        self.status.show_tally(self.session.tally() if self.session.frames else None)

    def _show_page(self, page: QWidget) -> None:
        self.pages.setCurrentWidget(page)
        has_frames = bool(self.session.frames)
        self.actions_.enable(on_card=page is self.page, has_frames=has_frames)
        self._escape.setEnabled(page in {self.dusk, self.keys})

    @Slot()
    def show_sorting(self) -> None:
        """Go back to the frames (or, without a card, to the welcome)."""
        if self.session.frames:
            self._show_page(self.page)
            self.page.picture.setFocus()
        else:
            self._show_page(self.welcome)
            self.welcome.open_button.setFocus()

    @Slot()
    def show_dusk(self) -> None:
        """Show what to change before dusk."""
        self._show_page(self.dusk)
        self.dusk.setFocus()

    @Slot()
    def show_keys(self) -> None:
        """Show every key."""
        self._show_page(self.keys)
        self.keys.setFocus()

    @Slot(int)
    def _show_evidence(self, position: int) -> None:
        """Go to the first frame that a fault rests on."""
        if self._triage is None or not 0 <= position < len(self._triage.faults):
            return
        fault = self._triage.faults[position]
        self.show_sorting()
        if fault.evidence:
            self.sorting.go(fault.evidence[0])
        self.say(f"{fault.say} ({count_words(len(fault.evidence), 'frame')} show it; this is the first.)")

    @Slot()
    def choose_filter(self) -> None:
        """Offer the ways to show only some events."""
        menu = FilterMenu(self.session, self)
        menu.chosen.connect(self._filter_chosen)
        anchor = self.page.filter_button if self.page.list_column.isVisible() else self.page.picture
        menu.popup(anchor.mapToGlobal(anchor.rect().topLeft()))

    @Slot(object)
    def _filter_chosen(self, which: Filter) -> None:
        self.sorting.show_only(which)

    @Slot()
    def reject_nothings(self) -> None:
        """Reject, after a question, what surely holds nothing."""
        frames = self.session.sure_nothings()
        if not self.session.settled:
            self.say("The card is still being read; wait until all of it is judged.")
            return
        if not frames:
            self.say("No undecided frame is surely empty or of your own setting up.")
            return
        question = f"Reject {count_words(len(frames), 'frame')} unseen?"
        detail = (
            "They are surely (95 % or more) empty, or of your own setting up, and so is the rest of their "
            "events. Nothing on the card is touched, and undo takes all of them back at once."
        )
        if self.asking.agree(self, question, detail, "Reject them"):
            self.sorting.reject_nothings()

    @Slot()
    def hand_over(self) -> None:
        """Copy the keepers to a folder of the user's choice."""
        kept = self.session.tally().kept
        if self._root is None or not kept:
            self.say("No frame is kept yet.")
            return
        folder = self.asking.folder(self, f"Where should the {count_words(kept, 'keeper')} go?")
        if folder is not None:
            try:
                self.outputs.hand_over(self._root, self.session, self._library, folder)
            except StoreError as error:
                self._show_trouble(str(error))

    @Slot()
    def copy_card(self) -> None:
        """Copy the whole card to a folder of the user's choice."""
        if self._root is None:
            return
        folder = self.asking.folder(self, "Where should the copy of the whole card go?")
        if folder is not None:
            self.outputs.copy_all(self._root, folder)

    @Slot()
    def _make_sample(self) -> None:
        if self._make_demo is not None:
            self.outputs.make(self._make_demo)

    @Slot(str, int, int)
    def _show_output(self, words: str, done: int, total: int) -> None:
        if words:
            self.status.show_work(words, done, total)
        elif not self.reading.is_running:
            self.status.end_work()

    @Slot(str, bool)
    def _output_done(self, words: str, is_good: bool) -> None:
        self.notice.say(words, bad=not is_good)
        self.announce(words)

    @Slot()
    def lift_shadows(self) -> None:
        """Lift the shadows by the next step."""
        stops = self.page.picture.cycle_shadows()
        self.say(
            f"Shadows lifted by {stops:.0f} stops, for looking only." if stops else "Shadows as they are."
        )

    @Slot()
    def toggle_outline(self) -> None:
        """Show or hide the outline of the subject."""
        shown = self.page.picture.toggle_outline()
        self.say("Outline of the subject shown." if shown else "Outline of the subject hidden.")

    @Slot()
    def toggle_list(self) -> None:
        """Show or hide the plain list of events."""
        shown = not self.page.list_column.isVisibleTo(self.page)
        self.page.list_column.setVisible(shown)
        self._settings.is_list_shown = shown

    def step_text(self, by: int) -> None:
        """Make all text larger or smaller; by 0, as the system has it."""
        scale = step_scale(self._settings.text_scale, by)
        self._settings.text_scale = scale
        self._dress()
        self.say(f"Text at {scale * 100:.0f} %.")

    def _dress(self) -> None:
        dress(self._settings.text_scale)
        self.page.fit_text()

    def _restore(self) -> None:
        self._dress()
        self.resize(1280, 800)
        if (geometry := self._settings.state("geometry")) is not None:
            self.restoreGeometry(geometry)
        for name, splitter in (("across", self.page), ("along", self.page.below)):
            if (state := self._settings.state(name)) is not None:
                splitter.restoreState(state)
        self.page.list_column.setVisible(self._settings.is_list_shown)
        self._show_recent()

    def _show_recent(self) -> None:
        try:
            known = self._library.cards()
        except StoreError as error:
            self._show_trouble(str(error))
            return
        self.welcome.show_recent(
            [(card.root, f"{count_words(card.frames, 'frame')} from {day(card.first)}") for card in known]
        )

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take a folder only."""
        if _dropped_folder(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open the folder."""
        folder = _dropped_folder(event)
        if folder is not None:
            event.acceptProposedAction()
            self.open_card(folder)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Stop all work, after a question where something is half copied."""
        if self.outputs.is_busy and not self.asking.agree(
            self,
            "Something is still being copied. Stop it and close?",
            "What is copied so far is whole and stays; the same command goes on where this one ended.",
            "Stop and close",
        ):
            event.ignore()
            return
        self.reading.close()
        self.outputs.close()
        self.sorting.close()
        self.pictures.close()
        self._settings.keep_state("geometry", self.saveGeometry())
        self._settings.keep_state("across", self.page.saveState())
        self._settings.keep_state("along", self.page.below.saveState())
        self._settings.sync()
        super().closeEvent(event)


def _dropped_folder(event: QDropEvent) -> Path | None:
    for url in event.mimeData().urls():
        path = Path(url.toLocalFile())
        if url.isLocalFile() and path.is_dir():
            return path
    return None
