"""Nights go on record for their site, off the window's thread."""

from collections.abc import Callable, Iterator
from pathlib import Path

from PySide6.QtCore import QObject, QThreadPool, Signal, Slot

from triage.diagnose.site_night import site_night
from triage.records.result import Triage
from triage.store.library import Library
from triage.ui.tongue import tr
from triage.ui.workers.job import Job


class Recording(QObject):
    """Keep what the record of a site needs of a night, as ``triage report --site`` does.

    A card of weeks has thousands of events, and they take longer to write than a key may wait; so it is done by
    a connection of its own, in one transaction.
    """

    kept = Signal(str)
    """A night is on record for a site of this name."""
    trouble = Signal(str)

    def __init__(self, library: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._library = library
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._jobs: list[Job] = []

    def keep(self, triage: Triage, site: str, digest: str, *, has_fresh_cells: bool | None = None) -> None:
        """Put a night on record for its site, in place of what was kept of the same card.

        Where nothing was said of the cells, what is on record of them stays.
        """
        path = self._library

        def work(_stop: Callable[[], bool]) -> Iterator[object]:
            with Library(path) as library:
                fresh = library.had_fresh_cells(digest) if has_fresh_cells is None else has_fresh_cells
                library.keep_night(site_night(triage, site=site, digest=digest, has_fresh_cells=fresh))
            yield site

        job = Job(work)
        job.signals.progressed.connect(self._tell)
        job.signals.failed.connect(self._fail)
        job.signals.ended.connect(self._end)
        self._jobs.append(job)
        self._pool.start(job.run)

    def close(self) -> None:
        """Wait until what was begun is on the disk."""
        self._pool.waitForDone()

    @Slot(object)
    def _tell(self, site: object) -> None:
        self.kept.emit(str(site))

    @Slot(str)
    def _fail(self, words: str) -> None:
        self.trouble.emit(tr("The night is not on record. {cause}", cause=words))

    @Slot()
    def _end(self) -> None:
        self._jobs.pop(0)
