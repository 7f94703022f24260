"""Copying out of a card: the keepers, or all of it; one piece of work at a time."""

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import QObject, QThreadPool, Signal, Slot

from triage.export.copying import copy_card
from triage.export.keepers import Keepers, KeepersOutcome, hand_over
from triage.export.outcome import CopyOutcome, CopyProgress
from triage.store.library import Library
from triage.ui.session import Session
from triage.ui.timeline.words import sayable
from triage.ui.tongue import tr
from triage.ui.workers.job import Job, Work


class Outputs(QObject):
    """Run one job and tell how it goes."""

    progressed = Signal(str, int, int)
    """What is going on, how much of it is done, and out of how much."""
    done = Signal(str, bool)
    """The outcome in words, and whether it is a good one."""
    made = Signal(Path)
    """A sample card is ready."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._job: Job | None = None
        self._title = ""

    @property
    def is_busy(self) -> bool:
        """Whether a job is going on."""
        return self._job is not None

    def stop(self) -> None:
        """Ask the job to end."""
        if self._job is not None:
            self._job.stop()

    def close(self) -> None:
        """Stop and wait for the thread."""
        self.stop()
        self._pool.waitForDone()

    def copy_all(self, root: Path, folder: Path) -> None:
        """Copy a whole card off."""
        self._start(tr("Copying the card"), lambda stop: copy_card(root, folder, stop=stop))

    def hand_over(
        self, root: Path, session: Session, library: Library, folder: Path, event_notes: Mapping[str, str]
    ) -> None:
        """Hand the keepers over; `event_notes`, by frame key, describe those that have no note of their own."""
        keys = [frame.key for frame in session.frames]
        keepers = Keepers(
            root=root,
            frames=session.frames,
            events=session.events,
            verdicts=library.verdicts(keys),
            made=datetime.now(UTC),
            tags=library.tags(keys),
            notes={**event_notes, **library.notes(keys)},
            findings={index: said.findings for index, said in session.judgements.items()},
        )
        self._start(tr("Handing over the keepers"), lambda stop: hand_over(keepers, folder, stop=stop))

    def make(self, maker: Callable[[], Path]) -> None:
        """Make a sample card."""

        def work(_stop: Callable[[], bool]) -> Iterator[object]:
            yield maker()

        self._start(tr("Making up a night"), work)

    def _start(self, title: str, work: Work) -> None:
        if self.is_busy:
            self.done.emit(tr("Something is still being copied. Wait for it, or stop it first."), False)
            return
        self._title = title
        self._job = Job(work)
        signals = self._job.signals
        signals.progressed.connect(self._progress)
        signals.failed.connect(self._fail)
        signals.stopped.connect(self._stopped)
        signals.ended.connect(self._end)
        self.progressed.emit(tr("{work}…", work=title), 0, 0)
        self._pool.start(self._job.run)

    @Slot(object)
    def _progress(self, told: object) -> None:
        if isinstance(told, CopyProgress):
            # Megabytes, because a signal's int has 32 bits and a card has more bytes than that.
            done, total = told.bytes_done // 1_000_000, max(1, told.bytes_total // 1_000_000)
            words = tr(
                "{work}: file {done} of {total}, {name}",
                work=self._title,
                done=f"{told.done:,}",
                total=f"{told.total:,}",
                name=sayable(told.path),
            )
            self.progressed.emit(words, done, total)
        elif isinstance(told, CopyOutcome):
            self.done.emit(told.say, told.safe_to_wipe)
        elif isinstance(told, KeepersOutcome):
            self.done.emit(told.say, told.complete)
        elif isinstance(told, Path):
            self.made.emit(told)

    @Slot(str)
    def _fail(self, words: str) -> None:
        self.done.emit(words, False)

    @Slot()
    def _stopped(self) -> None:
        words = tr("{work}: stopped. What is there so far is whole; do it again to go on.", work=self._title)
        self.done.emit(words, False)

    @Slot()
    def _end(self) -> None:
        self._job = None
        self.progressed.emit("", 0, 0)
