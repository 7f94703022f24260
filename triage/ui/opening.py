"""A card comes into the window: read step by step, known again, and gone again."""

from functools import partial
from pathlib import Path

from PySide6.QtCore import QLockFile, QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from triage.errors import OutputError, StoreError
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
from triage.ui.fittings import Fittings
from triage.ui.lasting import keep_for_long, keep_no_longer
from triage.ui.night_book import NightBook, Wish
from triage.ui.recording import Recording
from triage.ui.sunset import sunset_words
from triage.ui.timeline.words import frames_words, sayable
from triage.ui.tongue import counted, tr
from triage.ui.words import day
from triage.ui.workers.images import FirstLook

ELSEWHERE = (
    "This card is open in another window of Card Triage too. That does no harm: every decision of both is kept, "
    "and what is decided there shows here when you come back to this window."
)
GONE = (
    "The card is no longer where it was ({root}). Everything decided so far is stored. Put it back, or open a "
    "copy of it wherever it is now: it is known again, and you go on where you were."
)
READING_TIMES = "Reading times: {done} of {total}"
READING = "Reading pictures: {done} of {total}"
JUDGING = "Judging {done} of {total}"
GONE_WHILE_READ = (
    "The card went away while it was read, so frames are listed as damaged that may be sound. Put it back and "
    "open it again."
)


class Opening(QObject):
    """What reading a card does to the window.

    Attributes
    ----------
    root : Path or None
        The open card.
    triage : Triage or None
        The whole answer, once it is there.
    options : Options
        What is said of the night.
    """

    said = Signal(str)
    trouble = Signal(str)
    told = Signal(str)
    """Worth knowing, and no trouble."""
    began = Signal()
    """Another card; what concerned the one before ends."""
    shown = Signal(QWidget)
    """A page that should be seen now."""
    named = Signal(str)
    """The window's title."""

    def __init__(self, fittings: Fittings, nights: NightBook, given: Options, parent: QObject) -> None:
        super().__init__(parent)
        self._fittings = fittings
        self.nights = nights
        self._given: Options | None = given if given != Options() else None
        self.options = Options()
        self.root: Path | None = None
        self.triage: Triage | None = None
        self._lock: QLockFile | None = None
        self._is_gone = False
        self._is_given = False
        self._has_fresh_cells: bool | None = None
        self.recording = Recording(fittings.library.path, self)
        self.recording.kept.connect(self._kept)
        self.recording.trouble.connect(self.trouble)
        fittings.reading.stepped.connect(self._take_step)
        fittings.reading.looked.connect(self._take_look)
        fittings.reading.failed.connect(self._failed)
        fittings.reading.ended.connect(self._ended)
        fittings.sorting.showing.unreadable.connect(self._look_for_card)

    @Slot(Path)
    def open_card(self, root: Path) -> None:
        """Read a card; the one before is left. What was said of it on an earlier night holds."""
        given, self._given = self._given, None
        self._read(root, given or self._remembered_at(root))
        self._is_given = given is not None

    def _remembered_at(self, root: Path) -> Options:
        """Return what was said of the card last seen in a folder; it is compared once its frames are known."""
        try:
            known = next((card for card in self._fittings.library.cards() if card.root == str(root)), None)
        except StoreError:
            known = None
        return (self.nights.card(known.digest) if known else None) or Options()

    def _read(self, root: Path, options: Options) -> None:
        parts = self._fittings
        parts.notice.hide()
        parts.welcome.show_trouble("")
        self.began.emit()
        self.release()
        keep_no_longer()
        self.root, self.triage, self.options, self._is_gone = root, None, options, False
        self._is_given, self._has_fresh_cells = False, None
        parts.sorting.clear()
        parts.sorting.expect()
        parts.dusk.show_triage(None)
        self.named.emit(sayable(root.name))
        parts.status.show_work(tr("Listing {folder}…", folder=sayable(str(root))), 0, 0)
        parts.status.show_tally(None)
        parts.status.say("")
        parts.reading.start(root, options)

    def use(self, wish: Wish) -> None:
        """Take what a person said of the night, remember it, and read the card again with it.

        Raises
        ------
        ValueError
            It cannot be understood; nothing is done.
        """
        options = wish.understood()
        if self.root is None:
            return
        try:
            self.nights.remember(self._fittings.sorting.card_digest(), options)
        except OutputError as error:
            self.trouble.emit(str(error))
        self._read(self.root, options)
        self._is_given, self._has_fresh_cells = True, wish.has_fresh_cells

    def has_fresh_cells(self) -> bool:
        """Return whether the flashes began this night with fresh cells, as far as anybody said so."""
        if self._has_fresh_cells is not None:
            return self._has_fresh_cells
        try:
            return self._fittings.library.had_fresh_cells(self._fittings.sorting.card_digest())
        except StoreError:
            return False

    @Slot(object)
    def _take_step(self, step: Step) -> None:
        status = self._fittings.status
        if isinstance(step, CardListed):
            words = counted(
                len(step.card.groups),
                "Reading when {count} frame was taken…",
                "Reading when {count} frames were taken…",
            )
            status.show_work(words, 0, 0)
        elif isinstance(step, HeadersProgress):
            status.show_work(*_share(READING_TIMES, step.done, step.total))
        elif isinstance(step, TimeLineReady):
            self._begin(step)
        elif isinstance(step, FrameJudged):
            status.show_work(*_share(JUDGING, step.done, step.total))
            self._fittings.sorting.take_judgement(step.judgement)
        elif isinstance(step, Finished):
            self._finish(step.triage)

    def _begin(self, ready: TimeLineReady) -> None:
        if self.root is None:
            return
        sorting = self._fittings.sorting
        sorting.begin(self.root, ready)
        digest = sorting.card_digest()
        remembered = self.nights.card(digest) or Options()
        if not self._is_given and remembered != self.options:
            self._read(self.root, remembered)
            self._is_given = True
            return
        self._fittings.status.show_work(*_share(READING, 0, len(ready.frames)))
        sorting.turns.add(self._show_sorting)
        sorting.show_first(ready)
        sorting.turns.add(partial(self._remember, digest, ready), partial(self._claim, digest), keep_for_long)

    def _show_sorting(self) -> None:
        self.shown.emit(self._fittings.page)
        self._fittings.page.picture.setFocus()

    def _remember(self, digest: str, ready: TimeLineReady) -> None:
        """Remember that the card was opened, and where."""
        try:
            first = ready.frames[0].time
            self._fittings.library.remember_card(digest, str(self.root), first, len(ready.frames))
        except StoreError as error:
            self.trouble.emit(str(error))

    def _claim(self, digest: str) -> None:
        """Tell where another window has the same card open."""
        path = self._fittings.library.path.with_name(f"open-{digest}.lock")
        self._lock = QLockFile(str(path))
        self._lock.setStaleLockTime(0)  # a lock is stale when its program has ended, not by its age
        if not self._lock.tryLock(0) and self._lock.error() is QLockFile.LockError.LockFailedError:
            self.told.emit(tr(ELSEWHERE))

    def release(self) -> None:
        """Let the card go."""
        if self._lock is not None:
            self._lock.unlock()
            self._lock = None

    def close(self) -> None:
        """Let the card go for good, once what was begun is written."""
        self.recording.close()
        self.release()
        keep_no_longer()

    @Slot(object, object)
    def _take_look(self, read: PictureRead, look: FirstLook | None) -> None:
        status = self._fittings.status
        if read.done == read.total and self.triage is None:
            # Nothing is told until the first frame is judged, and that takes seconds on a large card.
            words = tr("Comparing {frames} with each other…", frames=frames_words(read.total))
            status.show_work(words, 0, 0)
        else:
            status.show_work(*_share(READING, read.done, read.total))
        self._fittings.sorting.take_look(read, look)

    def _finish(self, triage: Triage) -> None:
        self.triage = triage
        self._fittings.sorting.finish(triage)
        self._fittings.sorting.turns.add(partial(self._tell, triage), keep_for_long)

    def _tell(self, triage: Triage) -> None:
        """Tell what came of the night, once it is shown."""
        self._fittings.dusk.sunset = sunset_words(triage, self.options)
        self._fittings.dusk.show_triage(triage)
        self.said.emit(triage.night.summary)
        if self.options.site:
            self.recording.keep(
                triage,
                self.options.site,
                self._fittings.sorting.card_digest(),
                has_fresh_cells=self._has_fresh_cells,
            )

    @Slot(str)
    def _kept(self, site: str) -> None:
        if self.triage is None:
            return
        summary = self.triage.night.summary
        if self._fittings.status.last == summary:  # nothing else was said meanwhile, so no key was pressed
            self.said.emit(tr("{summary} The night is on record for {site}.", summary=summary, site=site))

    @Slot(str)
    def _failed(self, words: str) -> None:
        if self._fittings.session.frames:
            self.trouble.emit(words)
            return
        self._fittings.welcome.show_trouble(self._more(words))
        self.root = None
        self.show_recent()
        self.shown.emit(self._fittings.welcome)

    def _more(self, words: str) -> str:
        """Add, of a folder that is gone, that a moved one is known again."""
        if self.root is None or self.root.exists():
            return words
        return tr(
            "{cause} If you moved or renamed it, open it where it is now: its decisions are known again.",
            cause=words,
        )

    @Slot(bool)
    def _ended(self, was_stopped: bool) -> None:
        self._fittings.status.end_work()
        self._fittings.sorting.stop_progress()
        if was_stopped and not self._fittings.session.frames:
            self.root = None
            self.shown.emit(self._fittings.welcome)
        elif was_stopped:
            self.said.emit(
                tr("Stopped reading. What was read so far can be sorted; open the card again for the rest.")
            )
        elif self.triage is not None and self._has_gone():
            self._is_gone = True
            self.trouble.emit(tr(GONE_WHILE_READ))

    def _has_gone(self) -> bool:
        """Whether the card is away, and frames could not be read for that."""
        frames = self._fittings.session.frames
        return any(frame.problem for frame in frames) and self.root is not None and not self.root.is_dir()

    @Slot()
    def _look_for_card(self) -> None:
        """Tell, once, where the card is gone."""
        if self.root is not None and not self._is_gone and not self.root.is_dir():
            self._is_gone = True
            self.trouble.emit(tr(GONE, root=sayable(str(self.root))))

    def show_recent(self) -> None:
        """Offer the cards opened before."""
        try:
            known = self._fittings.library.cards()
        except StoreError as error:
            self.trouble.emit(str(error))
            return
        self._fittings.welcome.show_recent(
            [
                (card.root, tr("{frames} from {day}", frames=frames_words(card.frames), day=day(card.first)))
                for card in known
            ]
        )


def _share(text: str, done: int, total: int) -> tuple[str, int, int]:
    """Return what the status line shows of work that is partly done."""
    return tr(text, done=f"{done:,}", total=f"{total:,}"), done, total
