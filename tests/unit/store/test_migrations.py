import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from triage.errors import StoreError
from triage.records.decision import Verdict
from triage.store.connection import atomic, open_connection
from triage.store.library import Library
from triage.store.migrations import MIGRATIONS, migrate, statements, version_of

NEXT = "CREATE TABLE extra (id INTEGER PRIMARY KEY) STRICT; INSERT INTO extra VALUES (1);"
BROKEN = "CREATE TABLE extra (id INTEGER PRIMARY KEY) STRICT; INSERT INTO nowhere VALUES (1);"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "library.sqlite"
    with Library(place) as library:
        library.decide(["a"], Verdict.KEEP)
    return place


@pytest.fixture
def connection(path: Path) -> Iterator[sqlite3.Connection]:
    with closing(open_connection(path)) as opened:
        yield opened


def tables(connection: sqlite3.Connection) -> set[str]:
    return {name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}


def test_an_old_library_is_copied_before_it_is_changed(path: Path, connection: sqlite3.Connection) -> None:
    copy = migrate(connection, path, migrations=(*MIGRATIONS, NEXT))
    assert "extra" in tables(connection)
    assert version_of(connection) == len(MIGRATIONS) + 1
    assert copy is not None
    with Library(copy) as old:
        assert old.verdicts(["a"]) == {"a": Verdict.KEEP}


def test_a_copy_never_replaces_an_earlier_one(path: Path, connection: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.OperationalError, match="nowhere"):
        migrate(connection, path, migrations=(*MIGRATIONS, BROKEN))
    migrate(connection, path, migrations=(*MIGRATIONS, NEXT))
    assert len(list(path.parent.glob(f"library.sqlite.layout-{len(MIGRATIONS)}.copy*"))) == 2


def test_a_step_that_fails_half_way_leaves_everything_as_it_was(
    path: Path, connection: sqlite3.Connection
) -> None:
    with pytest.raises(sqlite3.OperationalError, match="nowhere"):
        migrate(connection, path, migrations=(*MIGRATIONS, BROKEN))
    assert "extra" not in tables(connection)
    assert version_of(connection) == len(MIGRATIONS)


def test_a_library_of_the_newest_version_is_neither_copied_nor_changed(
    path: Path, connection: sqlite3.Connection
) -> None:
    assert migrate(connection, path) is None
    assert not list(path.parent.glob("*.copy*"))


def test_a_newer_library_is_refused_in_words_and_left_alone(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute("PRAGMA user_version = 99")
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"newer version of this program \(layout 99"):
        Library(path)
    assert path.read_bytes() == before


def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "theirs.sqlite"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE theirs (id)")
    with pytest.raises(StoreError, match="belongs to another program"):
        Library(path)
    with closing(sqlite3.connect(path)) as other:
        assert tables(other) == {"theirs"}


def test_every_table_is_strict(connection: sqlite3.Connection) -> None:
    ours = [row for row in connection.execute("PRAGMA table_list") if not row[1].startswith("sqlite_")]
    assert len(ours) == 10
    assert all(row[5] == 1 for row in ours)


def test_a_trigger_is_one_statement() -> None:
    trigger = "CREATE TRIGGER t BEFORE DELETE ON x BEGIN SELECT 1; SELECT 2; END;"
    assert list(statements(f"SELECT 1; {trigger} SELECT 3;")) == ["SELECT 1;", trigger, "SELECT 3;"]


def test_an_unfinished_statement_is_our_mistake() -> None:
    with pytest.raises(ValueError, match="unfinished"):
        list(statements("SELECT 1; CREATE TRIGGER t BEFORE DELETE ON x BEGIN SELECT 1;"))


def test_a_failed_block_leaves_no_transaction_open(connection: sqlite3.Connection) -> None:
    def write_twice() -> None:
        with atomic(connection):
            for _ in range(2):
                connection.execute("INSERT INTO note VALUES ('k', 'words')")

    with pytest.raises(sqlite3.IntegrityError):
        write_twice()
    assert not connection.in_transaction
    assert connection.execute("SELECT count(*) FROM note").fetchone() == (0,)


def test_a_copy_that_cannot_be_finished_is_taken_away_and_nothing_is_changed(
    path: Path, connection: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = sqlite3.connect

    def too_small(place: Path, isolation_level: None) -> sqlite3.Connection:
        other = plain(place, isolation_level=isolation_level)
        other.execute("PRAGMA max_page_count = 1")
        other.execute("BEGIN")  # keeps the limit in force while the copy is written
        return other

    monkeypatch.setattr(sqlite3, "connect", too_small)
    with pytest.raises(sqlite3.Error):
        migrate(connection, path, migrations=(*MIGRATIONS, NEXT))
    assert not list(path.parent.glob("*.copy*"))
    assert version_of(connection) == len(MIGRATIONS)
