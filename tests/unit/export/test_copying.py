import hashlib
import os
import shutil
import subprocess
from collections import namedtuple
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.factories import lay_out_card
from triage.errors import CardError, OutputError, Stopped, UsageError
from triage.export import copying
from triage.export.copying import copy_card
from triage.export.manifest import read_manifest
from triage.export.outcome import CopyOutcome, CopyProgress, NotCopied
from triage.records.result import Triage

Make = Callable[..., Triage]


def outcome_of(steps: Iterator[CopyProgress | CopyOutcome]) -> tuple[list[CopyProgress], CopyOutcome]:
    *progress, outcome = steps
    assert isinstance(outcome, CopyOutcome)
    assert all(isinstance(step, CopyProgress) for step in progress)
    return [step for step in progress if isinstance(step, CopyProgress)], outcome


def digests(root: Path) -> dict[str, str]:
    return {
        path.relative_to(root).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(root.rglob("*"))
        if path.is_file()
    }


@pytest.fixture
def card(tmp_path: Path, make_triage: Make) -> Path:
    root = tmp_path / "card"
    lay_out_card(root, make_triage(root))
    for path in ("DCIM/100NIGHT/NGT_0009.MOV", ".litter/index", "MISC/odd\nname\\.TXT"):
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_bytes(path.encode() * 7)
    (root / "EMPTY").mkdir()
    return root


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "archive" / "night"


def test_every_file_arrives_in_its_place_and_the_card_is_safe_to_wipe(card: Path, folder: Path) -> None:
    before = digests(card)
    progress, outcome = outcome_of(copy_card(card, folder))
    there = digests(folder)
    assert there.pop("SHA256SUMS")
    assert there == before == digests(card)
    assert (folder / "EMPTY").is_dir()
    assert (outcome.copied, outcome.already, outcome.failed) == (10, 0, ())
    assert outcome.safe_to_wipe
    assert outcome.say.endswith("Every file is there: the card is safe to wipe.")
    assert outcome.manifest == folder / "SHA256SUMS"
    assert read_manifest(outcome.manifest.read_bytes()) == before
    assert progress[-1].done == progress[-1].total == 10
    assert progress[-1].bytes_done == progress[-1].bytes_total == outcome.size


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="coreutils' sha256sum is not here")
def test_the_general_tool_finds_the_copy_true(card: Path, folder: Path) -> None:
    outcome_of(copy_card(card, folder))
    told = subprocess.run(
        ["sha256sum", "--strict", "-c", "SHA256SUMS"], cwd=folder, check=True, capture_output=True
    )
    assert told.stdout.count(b": OK\n") == 10


def test_progress_never_goes_back(card: Path, folder: Path) -> None:
    progress, _outcome = outcome_of(copy_card(card, folder))
    figures = [(step.done, step.bytes_done) for step in progress]
    assert figures == sorted(figures)


def test_times_are_kept(card: Path, folder: Path) -> None:
    os.utime(card / "readme.txt", ns=(10**18, 10**18 + 2_000_000_000))
    outcome_of(copy_card(card, folder))
    assert (folder / "readme.txt").stat().st_mtime_ns == 10**18 + 2_000_000_000


def test_a_second_copy_finds_everything_there_already(card: Path, folder: Path) -> None:
    _progress, first = outcome_of(copy_card(card, folder))
    _progress, second = outcome_of(copy_card(card, folder))
    assert (second.copied, second.already, second.safe_to_wipe) == (0, 10, True)
    assert "10 of them by an earlier copy" in second.say
    assert second.manifest == first.manifest


def test_a_copy_of_a_copy_brings_the_first_ones_list_along(card: Path, folder: Path, tmp_path: Path) -> None:
    outcome_of(copy_card(card, folder))
    _progress, outcome = outcome_of(copy_card(folder, tmp_path / "second"))
    assert outcome.safe_to_wipe
    assert (tmp_path / "second" / "SHA256SUMS").read_bytes() == (folder / "SHA256SUMS").read_bytes()
    assert outcome.manifest == tmp_path / "second" / "SHA256SUMS-2"


def test_a_different_file_in_the_way_is_left_and_the_card_is_not_safe(card: Path, folder: Path) -> None:
    folder.mkdir(parents=True)
    (folder / "readme.txt").write_bytes(b"of another night")
    _progress, outcome = outcome_of(copy_card(card, folder))
    assert (folder / "readme.txt").read_bytes() == b"of another night"
    assert [entry.path for entry in outcome.failed] == ["readme.txt"]
    assert outcome.copied == 9
    assert not outcome.safe_to_wipe
    assert outcome.say.startswith("Not safe to wipe: 1 thing is missing")


def test_a_link_on_the_card_is_not_copied_so_it_is_not_safe(card: Path, folder: Path) -> None:
    (card / "link.JPG").symlink_to(card / "readme.txt")
    _progress, outcome = outcome_of(copy_card(card, folder))
    assert [entry.path for entry in outcome.failed] == ["link.JPG"]
    assert not outcome.safe_to_wipe


def test_a_file_that_appears_meanwhile_makes_it_unsafe(card: Path, folder: Path) -> None:
    steps = copy_card(card, folder)
    next(steps)
    (card / "DCIM" / "100NIGHT" / "NGT_9999.JPG").write_bytes(b"new")
    _progress, outcome = outcome_of(steps)
    assert [entry.path for entry in outcome.failed] == ["DCIM/100NIGHT/NGT_9999.JPG"]
    assert not outcome.safe_to_wipe


def test_a_card_that_cannot_be_listed_again_is_not_safe(
    card: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = copy_card(card, folder)
    next(steps)

    def gone(_root: Path) -> None:
        msg = "gone"
        raise CardError(msg)

    monkeypatch.setattr(copying, "list_everything", gone)
    _progress, outcome = outcome_of(steps)
    assert outcome.copied == 10
    assert not outcome.safe_to_wipe


def test_too_little_room_is_told_with_figures_before_anything_is_written(
    card: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: usage(10**9, 10**9 - 1000, 1000))
    with pytest.raises(OutputError, match=r"needs \d+\.\d kB, .* has 1\.0 kB free\. Free at least"):
        next(copy_card(card, folder))
    assert not folder.exists()


def test_files_there_already_need_no_room(card: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    outcome_of(copy_card(card, folder))
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: usage(10**9, 10**9, 0))
    _progress, outcome = outcome_of(copy_card(card, folder))
    assert outcome.safe_to_wipe


def test_a_disk_that_cannot_be_asked_is_told_in_words(
    card: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_path: Path) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(shutil, "disk_usage", refuse)
    with pytest.raises(OutputError, match="cannot be asked for its free space"):
        next(copy_card(card, folder))


@pytest.mark.parametrize("place", [".", "copy", "DCIM/copy"])
def test_a_target_on_the_card_is_refused(card: Path, place: str) -> None:
    before = digests(card)
    with pytest.raises(UsageError, match="lies on the card itself"):
        next(copy_card(card, card / place))
    assert digests(card) == before


def test_a_target_that_holds_the_card_is_refused(card: Path) -> None:
    with pytest.raises(UsageError, match="holds the card's folder itself"):
        next(copy_card(card, card.parent))


def test_a_folder_in_the_target_that_leads_to_the_card_is_refused(card: Path, folder: Path) -> None:
    folder.mkdir(parents=True)
    (folder / "DCIM").symlink_to(card / "DCIM")
    with pytest.raises(UsageError, match="lies on the card itself"):
        next(copy_card(card, folder))


def test_a_missing_card_is_told_in_words(tmp_path: Path, folder: Path) -> None:
    with pytest.raises(CardError):
        next(copy_card(tmp_path / "nowhere", folder))


def test_a_folder_that_cannot_be_made_is_told_in_words(card: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(
        OutputError, match="cannot be made or written: a file stands where a folder should be"
    ):
        next(copy_card(card, tmp_path / "file" / "night"))


def test_stopping_keeps_what_is_verified_and_the_next_copy_goes_on(card: Path, folder: Path) -> None:
    asked = iter([False] * 9 + [True])
    with pytest.raises(Stopped):
        list(copy_card(card, folder, stop=lambda: next(asked)))
    kept = digests(folder)
    assert 0 < len(kept) < 10
    assert kept.items() <= digests(card).items()
    _progress, outcome = outcome_of(copy_card(card, folder))
    assert outcome.already == len(kept)
    assert outcome.safe_to_wipe


def test_a_list_that_cannot_be_written_makes_it_unsafe(
    card: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_arguments: object, **_named: object) -> Path:
        msg = "SHA256SUMS could not be written: the disk is full."
        raise OutputError(msg)

    monkeypatch.setattr(copying, "write_manifest", refuse)
    _progress, outcome = outcome_of(copy_card(card, folder))
    assert outcome.manifest is None
    assert not outcome.safe_to_wipe
    assert outcome.failed == (
        NotCopied(
            "SHA256SUMS", "the list of digests is missing: SHA256SUMS could not be written: the disk is full."
        ),
    )
