"""What went wrong with the library, as a sentence a photographer can act on."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from triage.errors import StoreError

KEPT = "Everything decided before is still there."

SENTENCES: dict[int, str] = {
    sqlite3.SQLITE_BUSY: (
        "Another window or program is writing to the library {path} right now. "
        "Close it or wait a moment, then do the last thing again. " + KEPT
    ),
    sqlite3.SQLITE_FULL: (
        "The disk that holds the library {path} is full. "
        "Free some space there, then do the last thing again. " + KEPT
    ),
    sqlite3.SQLITE_READONLY: (
        "The library {path} may not be written: the file, its folder or the disk is write-protected. "
        "Allow writing there, or name another file in TRIAGE_LIBRARY."
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "The library {path} cannot be opened. "
        "Check that its folder is there and may be written, or name another file in TRIAGE_LIBRARY."
    ),
    sqlite3.SQLITE_IOERR: (
        "The disk that holds the library {path} gave an error while reading or writing. "
        "Check the disk and its cable, then do the last thing again. " + KEPT
    ),
    sqlite3.SQLITE_CORRUPT: (
        "The library {path} is damaged. Do not delete it: set it aside under another name, put back a copy "
        "of it if there is one, and start again. The pictures themselves are not touched."
    ),
    sqlite3.SQLITE_NOTADB: (
        "The file {path} is not a library of decisions. "
        "Set it aside under another name, or name another file in TRIAGE_LIBRARY."
    ),
}
SENTENCES[sqlite3.SQLITE_LOCKED] = SENTENCES[sqlite3.SQLITE_BUSY]
SENTENCES[sqlite3.SQLITE_PROTOCOL] = SENTENCES[sqlite3.SQLITE_BUSY]
SENTENCES[sqlite3.SQLITE_PERM] = SENTENCES[sqlite3.SQLITE_READONLY]


def result_code(error: sqlite3.Error) -> int:
    """Return SQLite's primary result code, or 0 where Python itself raised the error.

    Parameters
    ----------
    error : sqlite3.Error
        As raised.

    Returns
    -------
    int
        One of ``sqlite3.SQLITE_...``.
    """
    return getattr(error, "sqlite_errorcode", 0) & 0xFF


@contextmanager
def told_in_words(path: Path) -> Iterator[None]:
    """Turn what the user's surroundings can cause into `StoreError`; let our own mistakes through.

    Parameters
    ----------
    path : Path
        The library, for the sentence.

    Raises
    ------
    StoreError
        The disk is full or write-protected, the file is damaged, in use, or cannot be opened.
    """
    try:
        yield
    except sqlite3.Error as error:
        sentence = SENTENCES.get(result_code(error))
        if sentence is None:
            raise
        raise StoreError(sentence.format(path=path)) from error
