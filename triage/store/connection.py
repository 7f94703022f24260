"""Opening the library's file, and transactions that mean it."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from triage.errors import StoreError
from triage.store.words import SENTENCES, result_code

BUSY_WAIT_S = 5.0
"""How long to wait for another window before saying so; a decision of another window takes milliseconds."""

IN_USE = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED})
NO_SHARED_MEMORY = frozenset(
    {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_PROTOCOL, sqlite3.SQLITE_READONLY}
)


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
        The folder cannot be made, a folder stands where the file should be, or the file is write-protected.
    sqlite3.Error
        Anything else; see `triage.store.words.told_in_words`.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        is_folder, is_there = path.is_dir(), path.exists()
    except OSError as error:
        msg = (
            f"The folder {path.parent} for the library cannot be made or looked into ({error.strerror}). "
            "Name another place in TRIAGE_LIBRARY."
        )
        raise StoreError(msg) from error
    if is_folder:
        msg = f"{path} is a folder, but the library is a file. Name a file in TRIAGE_LIBRARY."
        raise StoreError(msg)
    if is_there and not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)):
        # SQLite opens such a file all the same, and fails at the first decision, with one of many codes.
        raise StoreError(SENTENCES[sqlite3.SQLITE_READONLY].format(path=path))
    connection = _connect(path, wait_s)
    try:
        if not _use_log(connection):
            connection.close()
            connection = _connect(path, wait_s)
            _use_rollback_journal(connection)
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


def _connect(path: Path, wait_s: float) -> sqlite3.Connection:
    return sqlite3.connect(path, timeout=wait_s, isolation_level=None, check_same_thread=False)


def _use_log(connection: sqlite3.Connection) -> bool:
    """Set the write-ahead log, with which readers never wait; return whether this disk can have one.

    The log needs memory shared between processes, which network drives do not have. It is asked for by the
    first transaction only, so one is begun and given up.
    """
    try:
        (mode,) = connection.execute("PRAGMA journal_mode = WAL").fetchone()
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("ROLLBACK")
    except sqlite3.OperationalError as error:
        code = result_code(error)
        if code in NO_SHARED_MEMORY:
            return False
        if code not in IN_USE:
            raise
        return True  # another window is just writing or setting it; the setting belongs to the file
    return bool(mode == "wal")


def _use_rollback_journal(connection: sqlite3.Connection) -> None:
    """Keep a rollback journal, which is as safe; turn a library with a log back.

    Exclusive locking does without shared memory, but only where it is asked for before anything else.
    """
    connection.execute("PRAGMA locking_mode = EXCLUSIVE")
    connection.execute("PRAGMA journal_mode = DELETE").fetchone()
    connection.execute("PRAGMA locking_mode = NORMAL")
    connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()  # gives the exclusive lock back


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
