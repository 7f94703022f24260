"""The window: pages, menus, status line, and what each command does."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QEvent, Slot
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

from triage.records.decision import Verdict
from triage.records.result import Options
from triage.store.library import Library
from triage.ui.actions import Actions
from triage.ui.appearance import Appearance
from triage.ui.command import Command
from triage.ui.deeds import answering_deeds, looking_deeds, sorting_deeds
from triage.ui.dressing import dress
from triage.ui.filters import Evidence
from triage.ui.fittings import Fittings
from triage.ui.groups import Group
from triage.ui.hints import first_words
from triage.ui.key_book import KeyBook
from triage.ui.looking import Looking
from triage.ui.models.event_model import EventModel
from triage.ui.mounts import dropped_folder
from triage.ui.narrowing import Narrowing
from triage.ui.night_book import NightBook, Wish
from triage.ui.notebook import Notebook
from triage.ui.opening import Opening
from triage.ui.outputs import Outputs
from triage.ui.promise import most_promising
from triage.ui.scribing import Scribing
from triage.ui.session import Session
from triage.ui.settings import Settings
from triage.ui.sheets import Sheets
from triage.ui.sorting import Sorting
from triage.ui.sweeping import Sweeping
from triage.ui.takeout import Takeout
from triage.ui.tongue import tr
from triage.ui.turns import answer_soon
from triage.ui.views.asking import Asking
from triage.ui.views.dusk import DuskPage
from triage.ui.views.finder import Finder
from triage.ui.views.key_change import KeyChangePage
from triage.ui.views.keys import KeysPage
from triage.ui.views.night_page import NightPage
from triage.ui.views.notice import Notice
from triage.ui.views.sorting_page import SortingPage
from triage.ui.views.status import StatusLine
from triage.ui.views.strip import CheckStrip, WritingStrip
from triage.ui.views.welcome import WelcomePage
from triage.ui.workers.pictures import Decode, Pictures
from triage.ui.workers.reading import CardReading, Pipeline


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
        dress(settings.text_scale, light=settings.is_light)
        answer_soon()
        self._settings = settings
        self.asking = Asking()
        self.session = Session(library)
        self.session.by_time = settings.goes_by_time
        self.notebook = Notebook(library)
        self.book = KeyBook(settings.beside("keys.json"))
        self.model = EventModel(self.session, self)
        self.pictures, self._beside_pictures = Pictures(decode, self), Pictures(decode, self)
        self.reading = CardReading(pipeline, self, nearest=self._looked_at, is_shown=self._is_shown)
        self.outputs = Outputs(self)
        self._build()
        self.sorting = Sorting(self.session, self.model, self.page, self.pictures, self.notebook, self)
        self._animate(library, options)
        self.actions_ = Actions(self, self._deeds(), self.book.keymap)
        self._escape = QShortcut(QKeySequence("Esc"), self)
        self._escape.activated.connect(self.step_back)
        self._connect()
        self._take_keys()
        self.appearance.restore()
        self.opening.show_recent()
        self._show_page(self.welcome)

    def _build(self) -> None:
        self.setWindowTitle("Card Triage")
        self.setAcceptDrops(True)
        self.welcome = WelcomePage()
        self.page = SortingPage(self.model)
        self.dusk = DuskPage()
        self.keys = KeysPage(self.book.keymap)
        self.key_change = KeyChangePage(self.book)
        self.night = NightPage()
        self.notice = Notice()
        self.status = StatusLine()
        self.check_strip, self.writing_strip = CheckStrip(), WritingStrip()
        self.pages = QStackedWidget()
        for page in (self.welcome, self.page, self.dusk, self.keys, self.key_change, self.night):
            self.pages.addWidget(page)
        middle = QWidget()
        rows = QVBoxLayout(middle)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.notice)
        rows.addWidget(self.check_strip)
        rows.addWidget(self.pages, 1)
        rows.addWidget(self.writing_strip)
        rows.addWidget(self.status)
        self.setCentralWidget(middle)

    def _animate(self, library: Library, options: Options) -> None:
        """Make the parts that bring the widgets to life."""
        fittings = Fittings(
            library=library,
            session=self.session,
            sorting=self.sorting,
            reading=self.reading,
            welcome=self.welcome,
            page=self.page,
            dusk=self.dusk,
            notice=self.notice,
            status=self.status,
        )
        nights = NightBook(self._settings.beside("nights.json"))
        self.opening = Opening(fittings, nights, options, self)
        self.appearance = Appearance(self, self.page, self._settings)
        self.looking = Looking(self.session, self.sorting, self.page, self._beside_pictures, self)
        self.scribing = Scribing(self.session, self.sorting, self.notebook, self.writing_strip, self)
        self.sheets = Sheets(self.session, self.sorting, self.page, self._beside_pictures, self)
        self.sweeping = Sweeping(self.session, self.sorting, self.sheets, self.check_strip, self._ask, self)
        self.narrowing = Narrowing(fittings, self.opening, self.looking, self)
        self.takeout = Takeout(fittings, self.opening, self.outputs, self.notebook, self._ask, self)

    def _ask(self) -> Asking:
        return self.asking

    def _looked_at(self) -> int | None:
        """Return the frame shown; asked in the reader's thread, and one attribute is read whole."""
        return self.session.current

    def _is_shown(self) -> bool:
        """Return whether all that was read so far is on the screen."""
        return self.sorting.turns.is_idle

    def _connect(self) -> None:
        for part in (
            self.opening,
            self.appearance,
            self.looking,
            self.sweeping,
            self.narrowing,
            self.takeout,
        ):
            part.said.connect(self.say)
        self.sorting.said.connect(self.say)
        for troubled in (self.opening, self.scribing, self.takeout, self.sorting):
            troubled.trouble.connect(self._show_trouble)
        self.opening.told.connect(self._tell)
        self.opening.began.connect(self._begin)
        self.opening.shown.connect(self._show_page)
        self.opening.named.connect(self._name)
        self.appearance.dressed.connect(self._build_anew)
        self.scribing.ended.connect(self.show_sorting)
        self.narrowing.begun.connect(self.show_sorting)
        self.sweeping.changed.connect(self._show_check)
        self.sweeping.spoken.connect(self.announce)
        self.looking.lifted.connect(self.sheets.lift_shadows)
        self.outputs.progressed.connect(self._show_output)
        self.outputs.done.connect(self._output_done)
        self.outputs.made.connect(self.open_card)
        self.sorting.moved.connect(self._show_tally)
        self.actions_.used.connect(self.sorting.stay)
        self.page.filter_wanted.connect(self.narrowing.choose)
        self.page.timeline.fault_chosen.connect(self.narrowing.show_evidence)
        self.dusk.evidence_wanted.connect(self.narrowing.show_evidence)
        for page in (self.dusk, self.keys, self.key_change, self.night):
            page.left.connect(self.show_sorting)
        self.keys.change_wanted.connect(self.show_key_change)
        self.key_change.changed.connect(self._take_keys)
        self.night.wanted.connect(self._use_night)
        self.welcome.open_wanted.connect(self.choose_card)
        self.welcome.card_wanted.connect(self.open_card)
        self.welcome.demo_wanted.connect(self.takeout.make_sample)
        self.status.stop_wanted.connect(self.stop_work)

    def _deeds(self) -> dict[Command, Callable[[], object]]:
        appearance, scribing, sweeping = self.appearance, self.scribing, self.sweeping
        return {
            **sorting_deeds(self.sorting),
            **looking_deeds(self.looking, self.page.picture),
            **answering_deeds(self.sorting, sweeping, self.page.picture),
            Command.OPEN: self.choose_card,
            Command.STOP: self.stop_work,
            Command.NIGHT: self.show_night,
            Command.DUSK: self.show_dusk,
            Command.PAPER: self.save_dusk,
            Command.HAND_OVER: self.takeout.hand_over,
            Command.COPY_CARD: self.takeout.copy_card,
            Command.CLOSE: self.close,
            Command.BY_TIME: self._toggle_order,
            Command.FILTER: self.narrowing.choose,
            Command.KEEP_SHOWN: lambda: sweeping.decide_shown(Verdict.KEEP),
            Command.REJECT_SHOWN: lambda: sweeping.decide_shown(Verdict.REJECT),
            Command.PUT_EMPTY: lambda: sweeping.put_away(Group.EMPTY),
            Command.PUT_OWN: lambda: sweeping.put_away(Group.OWN),
            Command.TAG_EVENT: scribing.tag_event,
            Command.TAG_FRAME: scribing.tag_frame,
            Command.NOTE_EVENT: scribing.note_event,
            Command.NOTE_NIGHT: scribing.note_night,
            Command.ALONE: appearance.toggle_alone,
            Command.LIST: appearance.toggle_list,
            Command.LIGHT_ROOM: appearance.toggle_light,
            Command.TEXT_LARGER: lambda: appearance.step_text(1),
            Command.TEXT_SMALLER: lambda: appearance.step_text(-1),
            Command.TEXT_USUAL: lambda: appearance.step_text(0),
            Command.FIND: self.find_command,
            Command.CHANGE_KEYS: self.show_key_change,
            Command.KEYS: self.show_keys,
        }

    def offer_demo(self, maker: Callable[[], Path]) -> None:
        """Offer to make a sample card; `maker` makes it and returns its folder, in another thread."""
        self.takeout.make_demo = maker
        self.welcome.offer_demo()

    def show_best(self) -> None:
        """Go to the event that most likely shows something, where there is one."""
        found = most_promising(self.session.events, self.session.judgements)
        if found is not None:
            self.sorting.go(found)

    @Slot()
    def choose_card(self) -> None:
        """Ask for a card and open it."""
        root = self.asking.folder(self, tr("Open a memory card, or a folder copied from one"))
        if root is not None:
            self.open_card(root)

    @Slot(Path)
    def open_card(self, root: Path) -> None:
        """Read a card; the one before is left."""
        self.opening.open_card(root)

    @Slot()
    def _begin(self) -> None:
        """End what concerned the card before."""
        self.scribing.leave()
        self.sweeping.forget()
        self.looking.end()

    @Slot(str)
    def _name(self, name: str) -> None:
        self.setWindowTitle(tr("{card} - Card Triage", card=name))

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

    @Slot(str)
    def announce(self, words: str) -> None:
        """Say something to a screen reader."""
        if words and QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, words))

    @Slot(str)
    def _show_trouble(self, words: str) -> None:
        self.notice.say(words, bad=True)
        self.announce(words)

    @Slot(str)
    def _tell(self, words: str) -> None:
        self.notice.say(words)
        self.announce(words)

    @Slot()
    def _show_tally(self) -> None:
        self.status.show_tally(self.session.tally() if self.session.frames else None)

    @Slot(QWidget)
    def _show_page(self, page: QWidget) -> None:
        if page is self.page and self.pages.currentWidget() is not page:
            self.say(first_words(self.book))
        self.pages.setCurrentWidget(page)
        self._enable()
        if page is self.welcome:
            self.announce(self.welcome.trouble)

    def _enable(self) -> None:
        self.actions_.enable(
            on_card=self.pages.currentWidget() is self.page,
            has_frames=bool(self.session.frames),
            is_checking=self.sweeping.is_checking,
        )

    @Slot()
    def step_back(self) -> None:
        """Leave what is being done: a spot check, frames chosen together, two pictures, a page."""
        if self.pages.currentWidget() is not self.page:
            self.show_sorting()
        elif self.sweeping.shows_one_large:
            self.sweeping.shrink()
        elif self.sweeping.is_checking:
            self.sweeping.end()
        elif self.session.chosen:
            self.sorting.choose_none()
        elif self.page.pair.is_double:
            self.looking.end()
        elif isinstance(self.session.shown, Evidence):
            self.sorting.show_only(None)

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
    def save_dusk(self) -> None:
        """Save what to change before dusk as a page, which says on its own sheet what came of it."""
        self.show_dusk()
        self.dusk.save_page()

    @Slot()
    def show_night(self) -> None:
        """Show what is known of the night, to be changed."""
        nights, frames = self.opening.nights, self.session.frames
        between = min(frame.time for frame in frames), max(frame.time for frame in frames)
        self.night.show_night(
            replace(Wish.of(self.opening.options), has_fresh_cells=self.opening.has_fresh_cells()),
            between=between,
            sites=nights.sites(),
            look_up=nights.site,
        )
        self._show_page(self.night)
        self.night.setFocus()

    @Slot(object)
    def _use_night(self, wish: Wish) -> None:
        try:
            self.opening.use(wish)
        except ValueError as error:
            self.night.say_trouble(str(error))
            self.announce(str(error))

    @Slot()
    def show_keys(self) -> None:
        """Show every key."""
        self._show_page(self.keys)
        self.keys.setFocus()

    @Slot()
    def show_key_change(self) -> None:
        """Let keys be changed."""
        self._show_page(self.key_change)
        self.key_change.setFocus()

    @Slot()
    def _take_keys(self) -> None:
        """Follow the keys in force, everywhere they are used or named."""
        self.actions_.set_keys(self.book.keymap)
        self.keys.show_keys(self.book.keymap)
        self.sorting.undo_key = self.book.spoken(Command.UNDO)
        self.sweeping.keys = {command: self.book.spoken(command) for command in self.sweeping.keys}

    @Slot()
    def find_command(self) -> None:
        """Offer every command by its words."""
        finder = Finder(self.book.keymap, self.actions_.enabled, self)
        finder.chosen.connect(self._do_found)
        finder.show()
        finder.line.setFocus()

    @Slot(object)
    def _do_found(self, command: Command) -> None:
        self.actions_.by_command[command].trigger()

    @Slot()
    def _toggle_order(self) -> None:
        self._settings.goes_by_time = self.sorting.toggle_order()

    @Slot()
    def _show_check(self) -> None:
        """Follow a spot check that begins or ends."""
        if self.sweeping.is_checking:
            self.looking.end()
        if self.session.frames:
            self._show_page(self.page)
            if not self.sweeping.is_checking:
                self.page.picture.setFocus()

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
    def _build_anew(self) -> None:
        """Build anew the sheet that keeps colours of the room it was built in."""
        self.dusk.show_triage(self.opening.triage)

    def changeEvent(self, event: QEvent) -> None:
        """Show what another window has decided while this one was not in front."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow():
            self.sorting.read_again()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take a folder only."""
        if dropped_folder(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open the folder."""
        folder = dropped_folder(event)
        if folder is not None:
            event.acceptProposedAction()
            self.open_card(folder)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Stop all work, after a question where something is half copied."""
        if self.outputs.is_busy and not self.asking.agree(
            self,
            tr("Something is still being copied. Stop it and close?"),
            tr("What is copied so far is whole and stays; the same command goes on where this one ended."),
            tr("Stop and close"),
        ):
            event.ignore()
            return
        for work in (self.reading, self.outputs, self.sorting, self.pictures, self._beside_pictures):
            work.close()
        self.opening.close()
        self.appearance.keep()
        super().closeEvent(event)
