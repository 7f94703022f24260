"""Opening the library's file, and transactions that mean it."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from triage.errors import StoreError
from triage.store.words import result_code

BUSY_WAIT_S = 5.0
"""How long to wait for another window before saying so; a decision of another window takes milliseconds."""

IN_USE = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED})
NO_SHARED_MEMORY = frozenset({sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_PROTOCOL})


def open_connection(path: Path, *, wait_s: float = BUSY_WAIT_S) -> sqlite3.Connection:
    """Open a library's file, making its folder where needed.

    Parameters
    ----------
    path : Path
        The file.
    wait_s : float
        How long to wait for another window that writes.

    Returns
    -------
    sqlite3.Connection
        In autocommit mode, every commit flushed to the disk before it returns, foreign keys enforced. It may
        be used from several threads, one at a time.

    Raises
    ------
    StoreError
        The folder cannot be made, or a folder stands where the file should be.
    sqlite3.Error
        Anything else; see `triage.store.words.told_in_words`.
    """
    if path.is_dir():
        msg = f"{path} is a folder, but the library is a file. Name a file in TRIAGE_LIBRARY."
        raise StoreError(msg)
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        msg = (
            f"The folder {path.parent} for the library cannot be made ({error.strerror}). "
            "Name another place in TRIAGE_LIBRARY."
        )
        raise StoreError(msg) from error
    connection = sqlite3.connect(path, timeout=wait_s, isolation_level=None, check_same_thread=False)
    try:
        choose_journal(connection)
        # FULL, not NORMAL: with a write-ahead log NORMAL may lose the last commits at a power cut, and those
        # are a person's decisions. fullfsync makes the same true on macOS, where a plain fsync stops at the
        # drive's cache.
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA fullfsync = ON")
        connection.execute("PRAGMA foreign_keys = ON")
    except BaseException:
        connection.close()
        raise
    return connection


def choose_journal(connection: sqlite3.Connection) -> str:
    """Use a write-ahead log where the disk can, and a rollback journal where it cannot.

    Parameters
    ----------
    connection : sqlite3.Connection
        To the library.

    Returns
    -------
    str
        The journal in use. Both keep what is committed; with the first, readers never wait.

    Notes
    -----
    The write-ahead log needs memory shared between processes, which network drives do not have. Exclusive
    locking does without it, so a library that was moved to such a drive can still be opened and turned back.
    """
    mode: str
    try:
        (mode,) = connection.execute("PRAGMA journal_mode = WAL").fetchone()
    except sqlite3.OperationalError as error:
        code = result_code(error)
        if code in IN_USE:
            # Another window is just setting it. The setting belongs to the file, so this one follows by
            # itself.
            return "unknown"
        if code not in NO_SHARED_MEMORY:
            raise
        connection.execute("PRAGMA locking_mode = EXCLUSIVE")
        (mode,) = connection.execute("PRAGMA journal_mode = DELETE").fetchone()
        connection.execute("PRAGMA locking_mode = NORMAL")
        connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()  # gives the exclusive lock back
    return mode


@contextmanager
def atomic(connection: sqlite3.Connection) -> Iterator[None]:
    """Run the block as one transaction that holds the write lock from its first statement.

    Parameters
    ----------
    connection : sqlite3.Connection
        In autocommit mode, no transaction open.

    Notes
    -----
    A plain BEGIN would take the write lock at the first write only, and fail there when another window wrote
    after our first read.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        # A full disk may already have rolled the transaction back by itself.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
