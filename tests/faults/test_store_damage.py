import os
import random
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from triage.errors import StoreError
from triage.records.decision import Verdict
from triage.store.library import Library

KEEP = Verdict.KEEP

DECIDE_FOR_EVER = """
import sys
from pathlib import Path
from triage.records.decision import Verdict
from triage.store.library import Library
library = Library(Path(sys.argv[1]))
number = 0
while True:
    library.decide([f"{number} a", f"{number} b"], Verdict.KEEP)
    print(number, flush=True)
    number += 1
"""

DECIDE_FIFTY = """
import sys
from pathlib import Path
from triage.records.decision import Verdict
from triage.store.library import Library
with Library(Path(sys.argv[1]), wait_s=60) as library:
    for number in range(50):
        library.decide([f"{sys.argv[2]} {number}"], Verdict.KEEP)
"""


@pytest.mark.parametrize("acknowledged", [1, 7, 40])
def test_what_was_acknowledged_before_a_kill_is_there_afterwards(tmp_path: Path, acknowledged: int) -> None:
    path = tmp_path / "library.sqlite"
    with subprocess.Popen(
        [sys.executable, "-c", DECIDE_FOR_EVER, path], stdout=subprocess.PIPE, text=True
    ) as run:
        assert run.stdout is not None
        told = [int(run.stdout.readline()) for _ in range(acknowledged)]
        run.kill()
        told += [int(line) for line in run.stdout.read().split("\n")[:-1]]
    with Library(path) as library:
        keys = [f"{number} {letter}" for number in told for letter in "ab"]
        assert set(library.verdicts(keys)) == set(keys)
        # The one decision that may have been under way is there whole, or not at all.
        beyond = [f"{told[-1] + 1} a", f"{told[-1] + 1} b"]
        assert len(library.verdicts(beyond)) in {0, 2}


def test_two_windows_that_decide_at_once_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    runs = [subprocess.Popen([sys.executable, "-c", DECIDE_FIFTY, path, name]) for name in ("one", "two")]
    assert [run.wait() for run in runs] == [0, 0]
    with Library(path) as library:
        keys = [f"{name} {number}" for name in ("one", "two") for number in range(50)]
        assert len(library.verdicts(keys)) == 100


def test_a_library_in_use_is_told_in_words_and_works_again_afterwards(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    with Library(path, wait_s=0) as library, closing(sqlite3.connect(path, isolation_level=None)) as other:
        library.decide(["a"], KEEP)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="Another window or program is writing to the library"):
            library.decide(["b"], KEEP)
        assert library.verdicts(["a", "b"]) == {"a": KEEP}
        other.execute("ROLLBACK")
        library.decide(["b"], KEEP)
        assert library.verdicts(["a", "b"]) == {"a": KEEP, "b": KEEP}


def test_a_full_disk_loses_nothing_and_deciding_goes_on_once_there_is_room(small_disk: Path) -> None:
    with Library(small_disk / "library.sqlite") as library:
        library.decide(["before"], KEEP)
        filler = small_disk / "filler"
        with pytest.raises(OSError, match="No space left"):
            filler.write_bytes(bytes(4 << 20))
        with pytest.raises(StoreError, match=r"disk that holds the library .* is full"):
            library.decide([f"{number:032x}" for number in range(20_000)], KEEP)
        assert library.verdicts(["before", f"{0:032x}"]) == {"before": KEEP}
        filler.unlink()
        library.decide(["after"], KEEP)
    with Library(small_disk / "library.sqlite") as library:
        assert library.verdicts(["before", "after"]) == {"before": KEEP, "after": KEEP}


def test_a_library_that_may_not_grow_says_that_the_disk_is_full(tmp_path: Path) -> None:
    # SQLite's own limit of pages gives the same result code as a full disk, on every system.
    with Library(tmp_path / "library.sqlite") as library:
        library.decide(["before"], KEEP)
        pages = library._connection.execute("PRAGMA page_count").fetchone()[0]
        library._connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(StoreError, match="is full"):
            library.decide([f"{number:032x}" for number in range(5000)], KEEP)
        assert library.verdicts(["before", f"{0:032x}"]) == {"before": KEEP}
        library._connection.execute(f"PRAGMA max_page_count = {pages * 100}")
        library.decide(["after"], KEEP)
        assert library.verdicts(["before", "after"]) == {"before": KEEP, "after": KEEP}


def test_a_write_protected_disk_is_told_in_words(small_disk: Path) -> None:
    path = small_disk / "library.sqlite"
    with Library(path) as library:
        library.decide(["a"], KEEP)
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    with pytest.raises(StoreError, match="write-protected"):
        Library(path)


def test_a_write_protected_file_is_told_before_the_first_decision(tmp_path: Path) -> None:
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        pytest.skip("the administrator may write everywhere; the write-protected disk covers it")
    path = tmp_path / "library.sqlite"
    with Library(path):
        pass
    path.chmod(0o400)
    with pytest.raises(StoreError, match="write-protected"):
        Library(path)


def test_a_file_that_is_no_library_is_told_in_words_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    path.write_bytes(b"a shopping list, much longer than the head of a database would be\n" * 100)
    before = path.read_bytes()
    with pytest.raises(StoreError, match="is not a library of decisions"):
        Library(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("seed", range(4))
def test_a_damaged_library_is_told_in_words(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "library.sqlite"
    with Library(path) as library:
        library.decide([f"{number:032x}" for number in range(2000)], KEEP)
    data = bytearray(path.read_bytes())
    # Whole pages after the first are overwritten, so that the head still says it is a library.
    for start in range(4096, len(data), 4096):
        data[start : start + 4096] = random.Random(seed * 10_000 + start).randbytes(  # noqa: S311
            min(4096, len(data) - start)
        )
    path.write_bytes(data)
    with pytest.raises(StoreError, match=r"is damaged\. Do not delete it"):
        Library(path)


def test_a_library_cut_short_is_told_in_words(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    with Library(path) as library:
        library.decide([f"{number:032x}" for number in range(2000)], KEEP)
    os.truncate(path, 3 * 4096)
    with pytest.raises(StoreError, match="is damaged"):
        Library(path)


def test_every_sentence_names_the_file(tmp_path: Path) -> None:
    from triage.store.words import SENTENCES, told_in_words  # noqa: PLC0415

    for code in SENTENCES:
        error = sqlite3.OperationalError("from SQLite")
        error.sqlite_errorcode = code | 0x100  # extended codes carry the primary one in their last byte
        with pytest.raises(StoreError, match=r"library\.sqlite"), told_in_words(tmp_path / "library.sqlite"):
            raise error


def test_our_own_mistakes_are_not_told_as_the_users(tmp_path: Path) -> None:
    with (
        Library(tmp_path / "library.sqlite") as library,
        pytest.raises(sqlite3.OperationalError, match="no such table"),
        library._reading() as connection,
    ):
        connection.execute("SELECT * FROM nowhere")
