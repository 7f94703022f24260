from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from tests.factories_sites import make_fault, make_night
from triage.records.decision import Verdict
from triage.records.diagnosis import FaultKind, Part
from triage.store.connection import open_connection
from triage.store.library import Library
from triage.store.migrations import MIGRATIONS, migrate


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "library.sqlite"


FULL = make_night(
    1,
    at_h=(1.5, 4.0),
    faults=[
        make_fault(Part.FLASH_LEFT, FaultKind.STOPPED),
        make_fault(Part.CARD, FaultKind.DAMAGED_FILES, start=None),
    ],
    fresh=True,
)


def test_a_night_comes_back_as_it_was_kept(path: Path) -> None:
    with Library(path) as library:
        library.keep_night(FULL)
    with Library(path) as library:
        assert library.nights() == (FULL,)


def test_it_is_known_of_one_card_whether_its_cells_were_fresh(path: Path) -> None:
    with Library(path) as library:
        library.keep_night(FULL)
        library.keep_night(make_night(2))
        cards = (FULL.digest, make_night(2).digest, "0" * 32)
        assert [library.had_fresh_cells(digest) for digest in cards] == [True, False, False]


def test_nights_come_in_order_of_time(path: Path) -> None:
    with Library(path) as library:
        for number in (3, 0, 2):
            library.keep_night(make_night(number))
        assert [night.digest[-1] for night in library.nights()] == ["0", "2", "3"]


def test_the_same_card_again_replaces_its_own_record(path: Path) -> None:
    with Library(path) as library:
        library.keep_night(FULL)
        library.keep_night(make_night(2))
        fewer = replace(FULL, events=FULL.events[:1], faults=(), site="Mill")
        library.keep_night(fewer)
        assert library.nights() == (fewer, make_night(2))


def test_a_sites_name_is_tidied_as_tags_are(path: Path) -> None:
    with Library(path) as library:
        library.keep_night(make_night(site="  Old \n Oak "))
        (night,) = library.nights()
    assert night.site == "Old Oak"


def test_a_night_that_cannot_be_kept_whole_leaves_the_old_one(path: Path) -> None:
    broken = replace(FULL, events=(replace(FULL.events[0], frames=0),))
    with Library(path) as library:
        library.keep_night(FULL)
        with pytest.raises(Exception, match="CHECK"):
            library.keep_night(broken)
        assert library.nights() == (FULL,)


def test_a_library_from_before_there_were_sites_is_brought_along(path: Path) -> None:
    with closing(open_connection(path)) as connection:
        migrate(connection, path, migrations=MIGRATIONS[:1])
        connection.execute("INSERT INTO batch (kind, made) VALUES ('decide', '2026-10-04T09:00:00+00:00')")
        connection.execute("INSERT INTO decision (batch, key, verdict) VALUES (1, 'a', 'keep')")
    with Library(path) as library:
        assert library.verdicts(["a"]) == {"a": Verdict.KEEP}
        assert library.nights() == ()
        library.keep_night(FULL)
    assert list(path.parent.glob("library.sqlite.layout-1.copy"))
