import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from triage.errors import StoreError
from triage.records.decision import Verdict
from triage.store.connection import open_connection
from triage.store.library import Library


def setting(connection: sqlite3.Connection, name: str) -> object:
    return connection.execute(f"PRAGMA {name}").fetchone()[0]


def test_commits_are_flushed_and_keys_are_checked(tmp_path: Path) -> None:
    with closing(open_connection(tmp_path / "library.sqlite")) as connection:
        assert setting(connection, "journal_mode") == "wal"
        assert setting(connection, "synchronous") == 2  # FULL, https://sqlite.org/pragma.html
        assert setting(connection, "foreign_keys") == 1
        assert connection.isolation_level is None


def test_where_no_memory_can_be_shared_a_rollback_journal_keeps_decisions(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    # A folder in the way of the shared-memory file: opening it fails as on a drive that has none.
    (tmp_path / "library.sqlite-shm").mkdir()
    with Library(path) as library:
        library.decide(["a"], Verdict.KEEP)
    with closing(sqlite3.connect(path)) as connection:
        assert setting(connection, "journal_mode") == "delete"
    with Library(path) as library, Library(path) as second:
        second.decide(["b"], Verdict.REJECT)
        assert library.verdicts(["a", "b"]) == {"a": Verdict.KEEP, "b": Verdict.REJECT}


def test_a_library_moved_to_such_a_drive_is_turned_back(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    with Library(path) as library:
        library.decide(["a"], Verdict.KEEP)
    (tmp_path / "library.sqlite-shm").mkdir()
    with Library(path) as library:
        library.decide(["b"], Verdict.KEEP)
        assert library.verdicts(["a", "b"]) == {"a": Verdict.KEEP, "b": Verdict.KEEP}


@pytest.mark.skipif(sys.platform == "win32", reason="the file access without shared memory is for Unix only")
def test_with_a_file_access_that_has_no_shared_memory_both_new_and_old_libraries_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # SQLite's own "unix-dotfile" access has no shared memory (https://sqlite.org/vfs.html).
    old, new = tmp_path / "old.sqlite", tmp_path / "new.sqlite"
    with Library(old) as library:
        library.decide(["a"], Verdict.KEEP)
    plain = sqlite3.connect

    def without_shared_memory(path: Path, **options: Any) -> sqlite3.Connection:
        connection: sqlite3.Connection = plain(f"file:{path}?vfs=unix-dotfile", uri=True, **options)
        return connection

    monkeypatch.setattr(sqlite3, "connect", without_shared_memory)
    for path in (old, new):
        with Library(path) as library:
            library.decide(["b"], Verdict.REJECT)
            assert setting(library._connection, "journal_mode") == "delete"
    with Library(old) as library:
        assert library.verdicts(["a", "b"]) == {"a": Verdict.KEEP, "b": Verdict.REJECT}


def test_a_folder_at_the_place_of_the_library_is_told_in_words(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="is a folder, but the library is a file"):
        Library(tmp_path)


def test_a_folder_that_cannot_be_made_is_told_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(StoreError, match="cannot be made or looked into"):
        Library(tmp_path / "file" / "library.sqlite")


def test_a_library_can_be_opened_and_read_while_another_window_writes(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    with Library(path) as library:
        library.decide(["a"], Verdict.KEEP)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with Library(path, wait_s=0) as library:
            assert library.verdicts(["a"]) == {"a": Verdict.KEEP}
        other.execute("ROLLBACK")
