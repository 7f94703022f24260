"""What a copy leaves behind when the disk fills up, the card is pulled, or the run is killed."""

import errno
import hashlib
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.factories import lay_out_card, make_small_triage
from triage.errors import OutputError
from triage.export.atomic_write import atomic_write
from triage.export.copying import copy_card
from triage.export.keepers import Keepers, KeepersOutcome, hand_over
from triage.export.outcome import CopyOutcome, CopyProgress, NotCopied
from triage.records.decision import Verdict

MIB = 1 << 20
NAMES = [f"DCIM/100NIGHT/NGT_{number:04d}.NEF" for number in range(1, 5)]

HANG_AFTER = """
import sys
from pathlib import Path
from triage.export.copying import copy_card
pieces = int(sys.argv[3])
for number, step in enumerate(copy_card(Path(sys.argv[1]), Path(sys.argv[2])), start=1):
    if number == pieces:
        print(step.done, flush=True)
        sys.stdin.read()
"""


def digests(root: Path) -> dict[str, str]:
    return {
        path.relative_to(root).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(root.rglob("*"))
        if path.is_file()
    }


def outcome_of(steps: Iterator[CopyProgress | CopyOutcome]) -> CopyOutcome:
    *_progress, outcome = steps
    assert isinstance(outcome, CopyOutcome)
    return outcome


def only_true_copies(folder: Path, card: Path) -> bool:
    """Whether whatever has a final name in a copy is a file of the card, whole."""
    there = {path: digest for path, digest in digests(folder).items() if not path.endswith(".part")}
    there.pop("SHA256SUMS", None)
    return there.items() <= digests(card).items()


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """Lay out four files of ten megabytes: each takes several pieces."""
    root = tmp_path / "card"
    for number, name in enumerate(NAMES):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_bytes(bytes([number]) * (10 * MIB))
    return root


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "copy"


@pytest.mark.parametrize("pieces", [1, 2, 4, 5, 9])
def test_after_a_kill_nothing_half_written_has_a_name_and_the_next_copy_goes_on(
    card: Path, folder: Path, pieces: int
) -> None:
    before = digests(card)
    with subprocess.Popen(
        [sys.executable, "-c", HANG_AFTER, card, folder, str(pieces)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as run:
        assert run.stdout is not None
        done = int(run.stdout.readline())
        run.kill()
    there = digests(folder)
    finished = [path for path in there if not path.endswith(".part")]
    assert finished == NAMES[:done]
    assert only_true_copies(folder, card)
    outcome = outcome_of(copy_card(card, folder))
    assert (outcome.already, outcome.copied, outcome.safe_to_wipe) == (done, 4 - done, True)
    assert not list(folder.rglob("*.part"))
    assert digests(card) == before


def test_the_kill_above_does_strike_in_the_middle_of_a_file(card: Path, folder: Path) -> None:
    """The control: one of the kills does leave a half-written file, under a name that is known."""
    steps = copy_card(card, folder)
    next(steps)
    assert [path.suffix for path in folder.rglob("*") if path.is_file()] == [".part"]


def refuse_after(monkeypatch: pytest.MonkeyPatch, step: str, *, after: int, code: int) -> None:
    """Let a call of the system work some times, and fail from then on."""
    real: Callable[..., int] = getattr(os, step)
    calls = 0

    def call(*arguments: object) -> int:
        nonlocal calls
        calls += 1
        if calls > after:
            raise OSError(code, os.strerror(code))
        return real(*arguments)

    monkeypatch.setattr(os, step, call)


def test_a_disk_that_fills_up_half_way_is_told_once_for_all_and_leaves_true_copies_only(
    card: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    refuse_after(monkeypatch, "write", after=4, code=errno.ENOSPC)
    outcome = outcome_of(copy_card(card, folder))
    monkeypatch.undo()
    assert not outcome.safe_to_wipe
    full = "the copy cannot be written: the disk is full"
    assert outcome.failed[:3] == tuple(NotCopied(name, full) for name in NAMES[1:])
    assert "Not safe to wipe" in outcome.say
    assert only_true_copies(folder, card)
    assert not list(folder.rglob("*.part"))


def test_a_card_pulled_half_way_is_told_and_leaves_true_copies_only(
    card: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    refuse_after(monkeypatch, "read", after=10, code=errno.EIO)
    outcome = outcome_of(copy_card(card, folder))
    monkeypatch.undo()
    assert not outcome.safe_to_wipe
    assert outcome.failed
    assert all("cannot be read" in entry.reason for entry in outcome.failed)
    assert only_true_copies(folder, card)
    assert outcome_of(copy_card(card, folder)).safe_to_wipe


def test_a_card_that_vanishes_is_not_asked_for_every_file(card: Path, folder: Path, tmp_path: Path) -> None:
    steps = copy_card(card, folder)
    next(steps)
    card.rename(tmp_path / "pulled out")
    outcome = outcome_of(steps)
    assert outcome.copied == 1  # the file being read stays open
    assert {entry.path for entry in outcome.failed} == set(NAMES[1:])
    assert not outcome.safe_to_wipe


def test_a_really_full_disk_is_told_and_after_making_room_the_copy_goes_on(
    small_disk: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    card = tmp_path / "card"
    card.mkdir()
    for number in range(4):
        (card / f"NGT_{number:04d}.NEF").write_bytes(bytes([number]) * (400 * 1024))
    filler = small_disk / "filler"
    filler.write_bytes(bytes(MIB))
    # The look ahead would refuse; another program may fill the disk only afterwards.
    monkeypatch.setattr("triage.export.copying.check_room", lambda _jobs, _folder: None)
    outcome = outcome_of(copy_card(card, small_disk / "copy"))
    assert 0 < outcome.copied < 4
    assert not outcome.safe_to_wipe
    assert any("the disk is full" in entry.reason for entry in outcome.failed)
    assert only_true_copies(small_disk / "copy", card)
    assert not list(small_disk.rglob("*.part"))
    filler.unlink()
    assert outcome_of(copy_card(card, small_disk / "copy")).safe_to_wipe


def test_a_disk_with_too_little_room_is_refused_before_anything_is_written(
    small_disk: Path, card: Path
) -> None:
    with pytest.raises(OutputError, match=r"needs 41\.9 MB, .* has 2\.1 MB free"):
        next(copy_card(card, small_disk / "copy"))
    assert list(small_disk.iterdir()) == []


def test_a_report_on_a_really_full_disk_leaves_the_old_one_whole(small_disk: Path) -> None:
    atomic_write(small_disk / "report.json", b"old")
    with pytest.raises(OutputError, match="the disk is full"):
        atomic_write(small_disk / "report.json", bytes(4 * MIB))
    assert [(path.name, path.read_bytes()) for path in small_disk.iterdir()] == [("report.json", b"old")]


def test_a_write_protected_disk_is_told_in_words(small_disk: Path, card: Path) -> None:
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    with pytest.raises(OutputError, match="the disk is write-protected"):
        atomic_write(small_disk / "report.json", b"{}")
    (card / NAMES[0]).write_bytes(b"small")
    for name in NAMES[1:]:
        (card / name).unlink()
    with pytest.raises(OutputError, match="the disk is write-protected"):
        next(copy_card(card, small_disk / "copy"))


def test_a_card_may_be_write_protected_and_unreadable_by_others(card: Path, folder: Path) -> None:
    for path in (card / NAMES[0], card / "DCIM" / "100NIGHT", card / "DCIM", card):
        path.chmod(0o500 if path.is_dir() else 0o400)
    try:
        assert outcome_of(copy_card(card, folder)).safe_to_wipe
    finally:
        for path in (card, card / "DCIM", card / "DCIM" / "100NIGHT"):
            path.chmod(0o700)


def test_keepers_on_a_disk_that_fills_up_are_told_and_the_next_run_completes_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    triage = make_small_triage(tmp_path / "card")
    lay_out_card(tmp_path / "card", triage)
    keepers = Keepers(
        root=tmp_path / "card",
        frames=triage.frames,
        events=triage.events,
        verdicts={frame.key: Verdict.KEEP for frame in triage.frames[:4]},
        made=datetime(2026, 10, 4, tzinfo=UTC),
    )
    refuse_after(monkeypatch, "write", after=2, code=errno.ENOSPC)
    *_progress, full = hand_over(keepers, tmp_path / "keepers")
    monkeypatch.undo()
    assert isinstance(full, KeepersOutcome)
    assert full.copied == 2
    assert not full.complete
    assert not list((tmp_path / "keepers").glob("*.part"))
    assert not list((tmp_path / "keepers").glob("*.xmp"))
    *_progress, complete = hand_over(keepers, tmp_path / "keepers")
    assert isinstance(complete, KeepersOutcome)
    assert complete.complete
    assert (complete.already, complete.copied, complete.sidecars) == (2, 3, 4)
