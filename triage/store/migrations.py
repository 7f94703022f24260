"""The shape of the library, one step per version.

A step is never changed once released; a change of shape is a new step at the end. Steps run statement by
statement: `sqlite3.Connection.executescript` commits a transaction it finds open, and a half-done step would
stay.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from pathlib import Path

from triage.errors import StoreError
from triage.store.connection import atomic

APPLICATION_ID = 0x43645472
"""Marks the file as ours, so that a database of another program is never altered ("CdTr" in ASCII)."""

FIRST = """
CREATE TABLE batch (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    kind TEXT NOT NULL CHECK (kind IN ('decide', 'undo', 'redo')),
    of_batch INTEGER REFERENCES batch (id),
    made TEXT NOT NULL CHECK (made GLOB '????-??-??T??:??:??*+00:00'),
    CHECK ((kind = 'decide') = (of_batch IS NULL))
) STRICT;

CREATE TABLE decision (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    batch INTEGER NOT NULL REFERENCES batch (id),
    key TEXT NOT NULL CHECK (key <> ''),
    verdict TEXT CHECK (verdict IN ('keep', 'reject')),
    UNIQUE (batch, key)
) STRICT;

CREATE INDEX decision_by_key ON decision (key, id);

CREATE TRIGGER batch_is_never_changed BEFORE UPDATE ON batch
BEGIN SELECT RAISE(ABORT, 'decisions are only ever added'); END;

CREATE TRIGGER batch_is_never_deleted BEFORE DELETE ON batch
BEGIN SELECT RAISE(ABORT, 'decisions are only ever added'); END;

CREATE TRIGGER decision_is_never_changed BEFORE UPDATE ON decision
BEGIN SELECT RAISE(ABORT, 'decisions are only ever added'); END;

CREATE TRIGGER decision_is_never_deleted BEFORE DELETE ON decision
BEGIN SELECT RAISE(ABORT, 'decisions are only ever added'); END;

CREATE TABLE tag (
    key TEXT NOT NULL CHECK (key <> ''),
    word TEXT NOT NULL CHECK (trim(word) <> ''),
    PRIMARY KEY (key, word)
) STRICT, WITHOUT ROWID;

CREATE TABLE note (
    key TEXT PRIMARY KEY CHECK (key <> ''),
    words TEXT NOT NULL CHECK (words <> '')
) STRICT, WITHOUT ROWID;

CREATE TABLE card (
    digest TEXT PRIMARY KEY CHECK (digest <> ''),
    root BLOB NOT NULL,
    first TEXT NOT NULL CHECK (first GLOB '????-??-??T??:??:??*'),
    frames INTEGER NOT NULL CHECK (frames >= 0),
    seen TEXT NOT NULL CHECK (seen GLOB '????-??-??T??:??:??*+00:00')
) STRICT, WITHOUT ROWID;
"""

SITES = """
CREATE TABLE site_night (
    digest TEXT PRIMARY KEY CHECK (digest <> ''),
    site TEXT NOT NULL CHECK (trim(site) <> ''),
    first TEXT NOT NULL CHECK (first GLOB '????-??-??T??:??:??*'),
    last TEXT NOT NULL CHECK (last GLOB '????-??-??T??:??:??*'),
    watched_from TEXT NOT NULL CHECK (watched_from GLOB '????-??-??T??:??:??*'),
    watched_to TEXT NOT NULL CHECK (watched_to GLOB '????-??-??T??:??:??*'),
    frames INTEGER NOT NULL CHECK (frames > 0),
    trips INTEGER NOT NULL CHECK (trips >= 0),
    trips_with_subject INTEGER NOT NULL CHECK (trips_with_subject >= 0),
    trips_empty INTEGER NOT NULL CHECK (trips_empty >= 0),
    has_fresh_cells INTEGER NOT NULL CHECK (has_fresh_cells IN (0, 1)),
    keys TEXT NOT NULL CHECK (keys GLOB '[[]*]'),
    noted TEXT NOT NULL CHECK (noted GLOB '????-??-??T??:??:??*+00:00')
) STRICT, WITHOUT ROWID;

CREATE TABLE site_event (
    digest TEXT NOT NULL REFERENCES site_night (digest) ON DELETE CASCADE,
    number INTEGER NOT NULL CHECK (number > 0),
    began TEXT NOT NULL CHECK (began GLOB '????-??-??T??:??:??*'),
    ended TEXT NOT NULL CHECK (ended GLOB '????-??-??T??:??:??*'),
    kind TEXT NOT NULL CHECK (kind <> ''),
    frames INTEGER NOT NULL CHECK (frames > 0),
    PRIMARY KEY (digest, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE site_found (
    digest TEXT NOT NULL REFERENCES site_night (digest) ON DELETE CASCADE,
    kind TEXT NOT NULL CHECK (kind <> ''),
    frames INTEGER NOT NULL CHECK (frames > 0),
    PRIMARY KEY (digest, kind)
) STRICT, WITHOUT ROWID;

CREATE TABLE site_fault (
    digest TEXT NOT NULL REFERENCES site_night (digest) ON DELETE CASCADE,
    number INTEGER NOT NULL CHECK (number > 0),
    part TEXT NOT NULL CHECK (part <> ''),
    kind TEXT NOT NULL CHECK (kind <> ''),
    began TEXT CHECK (began GLOB '????-??-??T??:??:??*'),
    ended TEXT CHECK (ended GLOB '????-??-??T??:??:??*'),
    confidence REAL NOT NULL CHECK (confidence BETWEEN 0 AND 1),
    PRIMARY KEY (digest, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE site_flash (
    digest TEXT NOT NULL REFERENCES site_night (digest) ON DELETE CASCADE,
    part TEXT NOT NULL CHECK (part <> ''),
    asked INTEGER NOT NULL CHECK (asked >= 0),
    fired INTEGER NOT NULL CHECK (fired BETWEEN 0 AND asked),
    given REAL NOT NULL CHECK (given >= 0),
    outlook TEXT CHECK (outlook GLOB '{*}'),
    PRIMARY KEY (digest, part)
) STRICT, WITHOUT ROWID;
"""
"""The record of nights at each site."""

MIGRATIONS: tuple[str, ...] = (FIRST, SITES)
"""Step n brings a library from version n to n + 1."""


def statements(script: str) -> Iterator[str]:
    """Yield each SQL statement of a script, triggers whole.

    Parameters
    ----------
    script : str
        Statements, each ended by a semicolon.

    Yields
    ------
    str
        One statement.
    """
    piece = ""
    for part in script.split(";")[:-1]:
        piece += part + ";"
        if sqlite3.complete_statement(piece):
            yield piece.strip()
            piece = ""
    if piece.strip():
        msg = f"unfinished statement: {piece.strip()!r}"
        raise ValueError(msg)


def version_of(connection: sqlite3.Connection) -> int:
    """Return the version a library has; 0 for a new file.

    Parameters
    ----------
    connection : sqlite3.Connection
        To the library.

    Returns
    -------
    int
        The number of steps it has taken.
    """
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def check_ours(connection: sqlite3.Connection, path: Path, *, newest: int) -> None:
    """Refuse a file that is not ours to alter.

    Parameters
    ----------
    connection : sqlite3.Connection
        To the file.
    path : Path
        For the sentence.
    newest : int
        The newest version this program knows.

    Raises
    ------
    StoreError
        The file belongs to another program, or to a newer version of this one.
    """
    mark = int(connection.execute("PRAGMA application_id").fetchone()[0])
    tables = int(connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0])
    if mark != APPLICATION_ID and (mark or tables):
        msg = (
            f"The file {path} belongs to another program and is left alone. "
            "Name another file for the library in TRIAGE_LIBRARY."
        )
        raise StoreError(msg)
    version = version_of(connection)
    if version > newest:
        msg = (
            f"The library {path} was written by a newer version of this program (layout {version}, "
            f"this one knows up to {newest}) and is left alone. Install the newer version to go on with it, "
            "or name another file in TRIAGE_LIBRARY."
        )
        raise StoreError(msg)


def migrate(
    connection: sqlite3.Connection, path: Path, *, migrations: Sequence[str] = MIGRATIONS
) -> Path | None:
    """Bring a library to the newest version, keeping a copy of what it was.

    Parameters
    ----------
    connection : sqlite3.Connection
        In autocommit mode.
    path : Path
        Of the library; the copy is put beside it.
    migrations : sequence of str
        The steps.

    Returns
    -------
    Path or None
        The copy, where an older library had to be changed.

    Raises
    ------
    StoreError
        The file is not ours to alter.
    """
    check_ours(connection, path, newest=len(migrations))
    version = version_of(connection)
    if version == len(migrations):
        return None
    copy = _copy_beside(connection, path, version) if version else None
    with atomic(connection):
        # A second window may have migrated while we waited for the lock, so the version is read again inside
        # it.
        for number, script in list(enumerate(migrations))[version_of(connection) :]:
            for statement in statements(script):
                connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {number + 1}")
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    return copy


def _copy_beside(connection: sqlite3.Connection, path: Path, version: int) -> Path:
    """Copy the library whole, its journal included, under a name not taken yet."""
    number = 1
    copy = path.with_name(f"{path.name}.layout-{version}.copy")
    while copy.exists():
        number += 1
        copy = path.with_name(f"{path.name}.layout-{version}.copy-{number}")
    target = sqlite3.connect(copy, isolation_level=None)
    try:
        connection.backup(target)
    except BaseException:
        target.close()
        copy.unlink(missing_ok=True)
        raise
    target.close()
    return copy
