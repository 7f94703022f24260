"""The library: what the photographer decided, tagged and noted, over all cards."""

import os
import sqlite3
import threading
import unicodedata
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

import platformdirs

from triage.records.decision import Decision, Verdict
from triage.records.site import SiteNight
from triage.store import decisions
from triage.store.cards import KnownCard, read_cards, write_card
from triage.store.connection import BUSY_WAIT_S, atomic, open_connection
from triage.store.migrations import migrate
from triage.store.sites import read_fresh_cells, read_nights, write_night
from triage.store.words import told_in_words

PLACE_VARIABLE = "TRIAGE_LIBRARY"


def default_path() -> Path:
    """Return where the library is kept: the file named by TRIAGE_LIBRARY, else the user's data folder."""
    named = os.environ.get(PLACE_VARIABLE)
    if named:
        return Path(named)
    return platformdirs.user_data_path("card-triage", appauthor=False) / "library.sqlite"


def utc_now() -> datetime:
    """Return the present moment, aware."""
    return datetime.now(UTC)


class Library:
    """Decisions, tags, notes and known cards in one file; open until `close`.

    Every method that changes something returns only once the change is on the disk. One `Library` may be used
    from several threads, and one file by several windows.

    Parameters
    ----------
    path : Path
        The file; made, with its folder, where it is not there.
    now : callable
        Returns the present moment, UTC and aware.
    wait_s : float
        How long to wait for another window that is writing.

    Raises
    ------
    StoreError
        From every method: the library is in use, full, damaged, write-protected, or of a newer version.
    """

    def __init__(
        self, path: Path, *, now: Callable[[], datetime] = utc_now, wait_s: float = BUSY_WAIT_S
    ) -> None:
        self.path = path
        self._now = now
        self._lock = threading.RLock()
        with told_in_words(path):
            self._connection = open_connection(path, wait_s=wait_s)
            try:
                self._check_sound()
                migrate(self._connection, path)
            except BaseException:
                self._connection.close()
                raise

    def __enter__(self) -> Self:
        """Return the library itself; it is open already."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the library.

        Parameters
        ----------
        kind : type or None
            Not looked at.
        error : BaseException or None
            Not looked at.
        trace : TracebackType or None
            Not looked at.
        """
        self.close()

    def close(self) -> None:
        """Close the file. Closing twice does no harm."""
        with self._lock:
            self._connection.close()

    def decide(self, keys: Sequence[str], verdict: Verdict | None) -> int:
        """Decide frames in one batch.

        Parameters
        ----------
        keys : sequence of str
            `Frame.key` of each frame.
        verdict : Verdict or None
            None takes earlier decisions back.

        Returns
        -------
        int
            The batch; 0 where nothing changes, because all of them have that verdict already.
        """
        return self.decide_each(dict.fromkeys(keys, verdict))

    def decide_each(self, wanted: Mapping[str, Verdict | None]) -> int:
        """Decide frames differently in one batch: all of it is on the disk on return, or none.

        Parameters
        ----------
        wanted : mapping of str to Verdict or None
            By `Frame.key`; None takes earlier decisions back.

        Returns
        -------
        int
            The batch; 0 where nothing changes.
        """
        with self._writing() as connection:
            return decisions.add_decisions(connection, wanted, made=self._now())

    def undo(self, scope: Collection[str]) -> tuple[str, ...]:
        """Take back the last batch that touches a scope.

        Parameters
        ----------
        scope : collection of str
            Keys of the open card.

        Returns
        -------
        tuple of str
            The keys taken back; empty where there is nothing to undo.
        """
        with self._writing() as connection:
            return decisions.undo_last(connection, scope, made=self._now())

    def redo(self, scope: Collection[str]) -> tuple[str, ...]:
        """Make the batch last undone in a scope again, unless a new decision came between.

        Parameters
        ----------
        scope : collection of str
            Keys of the open card.

        Returns
        -------
        tuple of str
            The keys decided again; empty where there is nothing to redo.
        """
        with self._writing() as connection:
            return decisions.redo_last(connection, scope, made=self._now())

    def verdicts(self, keys: Collection[str]) -> dict[str, Verdict]:
        """Return the verdict in force for each key that has one.

        Parameters
        ----------
        keys : collection of str
            `Frame.key` of each frame.

        Returns
        -------
        dict of str to Verdict
            By key; keys without a verdict are not in it.
        """
        with self._reading() as connection:
            return decisions.read_verdicts(connection, keys)

    def log(self, keys: Collection[str]) -> tuple[Decision, ...]:
        """Return everything ever decided on the keys, undo and redo included, oldest first.

        Parameters
        ----------
        keys : collection of str
            `Frame.key` of each frame.

        Returns
        -------
        tuple of Decision
            One for each row ever written.
        """
        with self._reading() as connection:
            return decisions.read_log(connection, keys)

    def tag(self, keys: Sequence[str], tags: Sequence[str]) -> None:
        """Give frames exactly these tags, in place of those they had.

        Parameters
        ----------
        keys : sequence of str
            `Frame.key` of each frame.
        tags : sequence of str
            Words; outer and doubled spaces are dropped, and so are empty ones. None at all removes every tag.
        """
        words = dict.fromkeys(word for word in map(_tidy, tags) if word)
        with self._writing() as connection:
            for key in dict.fromkeys(keys):
                connection.execute("DELETE FROM tag WHERE key = ?", (key,))
                connection.executemany(
                    "INSERT INTO tag (key, word) VALUES (?, ?)", [(key, word) for word in words]
                )

    def tags(self, keys: Collection[str]) -> dict[str, tuple[str, ...]]:
        """Return the tags of each key that has any, in alphabetical order.

        Parameters
        ----------
        keys : collection of str
            `Frame.key` of each frame.

        Returns
        -------
        dict of str to tuple of str
            By key; keys without tags are not in it.
        """
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT key, word FROM tag WHERE key {decisions.IN_SCOPE} ORDER BY key, word",  # noqa: S608
                (decisions.as_list(keys),),
            ).fetchall()
        found: dict[str, tuple[str, ...]] = {}
        for key, word in rows:
            found[key] = (*found.get(key, ()), word)
        return found

    def known_tags(self) -> tuple[str, ...]:
        """Return every tag in use on any card, in alphabetical order."""
        with self._reading() as connection:
            rows = connection.execute("SELECT DISTINCT word FROM tag").fetchall()
        return tuple(sorted((word for (word,) in rows), key=lambda word: (word.casefold(), word)))

    def note(self, key: str, text: str) -> None:
        """Note something on a frame, or on an event under a key of its own; empty text removes the note.

        Parameters
        ----------
        key : str
            `Frame.key`, or any other identity.
        text : str
            The note, line breaks kept.
        """
        words = _sayable(text).strip()
        with self._writing() as connection:
            connection.execute("DELETE FROM note WHERE key = ?", (key,))
            if words:
                connection.execute("INSERT INTO note (key, words) VALUES (?, ?)", (key, words))

    def notes(self, keys: Collection[str]) -> dict[str, str]:
        """Return the note of each key that has one.

        Parameters
        ----------
        keys : collection of str
            As given to `note`.

        Returns
        -------
        dict of str to str
            By key; keys without a note are not in it.
        """
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT key, words FROM note WHERE key {decisions.IN_SCOPE}",  # noqa: S608
                (decisions.as_list(keys),),
            ).fetchall()
        return dict(rows)

    def remember_card(self, digest: str, root: str, first: datetime, frames: int) -> None:
        """Remember that a card was opened, and where.

        Parameters
        ----------
        digest : str
            Identity of the card's contents.
        root : str
            Its folder.
        first : datetime
            Camera time of its first frame.
        frames : int
            How many frames it has.
        """
        card = KnownCard(digest, root, first, frames, seen=self._now())
        with self._writing() as connection:
            write_card(connection, card)

    def cards(self) -> tuple[KnownCard, ...]:
        """Return every card opened before, the one opened last first."""
        with self._reading() as connection:
            return read_cards(connection)

    def keep_night(self, night: SiteNight) -> None:
        """Keep the record of a night at its site, in place of what was kept of the same card.

        Parameters
        ----------
        night : SiteNight
            The site's name is tidied as tags are, and must not be empty then.
        """
        with self._writing() as connection:
            write_night(connection, replace(night, site=_tidy(night.site)), noted=self._now())

    def had_fresh_cells(self, digest: str) -> bool:
        """Return whether the record of a card says that its flashes began with fresh cells; no record says no."""
        with self._reading() as connection:
            return read_fresh_cells(connection, digest)

    def nights(self) -> tuple[SiteNight, ...]:
        """Return the record of every night of every site, in order of time."""
        with self._reading() as connection:
            return read_nights(connection)

    def _check_sound(self) -> None:
        (answer,) = self._connection.execute("PRAGMA quick_check(1)").fetchone()
        if answer != "ok":
            damage = sqlite3.DatabaseError(answer)
            damage.sqlite_errorcode = sqlite3.SQLITE_CORRUPT
            raise damage

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self._lock, told_in_words(self.path), atomic(self._connection):
            yield self._connection

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        with self._lock, told_in_words(self.path):
            yield self._connection


def _sayable(text: str) -> str:
    """Return text that can be stored as UTF-8, undecodable bytes of file names as question marks."""
    return text.encode("utf-8", "replace").decode("utf-8")


def _tidy(word: str) -> str:
    """Return a tag in the one form it is kept in, so that equal-looking tags are equal."""
    return unicodedata.normalize("NFC", " ".join(_sayable(word).split()))
