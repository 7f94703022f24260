"""The command from outside: exit codes, what goes where, and never a traceback for a user's mistake."""

import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.e2e.contract import check_report
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.records.decision import Verdict
from triage.store.library import Library

pytestmark = pytest.mark.e2e
Run = Callable[..., "subprocess.CompletedProcess[bytes]"]


def sentence(done: "subprocess.CompletedProcess[bytes]", code: int) -> str:
    """What was said on standard error by a command that must have failed in words."""
    said = done.stderr.decode()
    assert done.returncode == code, said
    assert "Traceback" not in said
    assert done.stdout == b""
    assert said.strip()
    return said


def test_a_card_that_is_not_there_is_named(triage: Run, tmp_path: Path) -> None:
    assert "nowhere" in sentence(triage("report", tmp_path / "nowhere"), 3)


def test_a_file_is_not_a_card(triage: Run, tmp_path: Path) -> None:
    (tmp_path / "note.txt").write_text("x")
    assert "note.txt" in sentence(triage("report", tmp_path / "note.txt"), 3)


def test_an_empty_folder_is_not_a_card(triage: Run, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert "picture" in sentence(triage("report", tmp_path / "empty"), 3)


def test_a_folder_without_pictures_is_not_a_card(triage: Run, tmp_path: Path) -> None:
    (tmp_path / "texts").mkdir()
    (tmp_path / "texts" / "a.txt").write_text("x")
    assert "picture" in sentence(triage("report", tmp_path / "texts"), 3)


@pytest.mark.skipif(sys.platform == "win32", reason="folders are closed in another way there")
def test_a_folder_one_may_not_read_is_not_a_card(triage: Run, small_card: Path) -> None:
    if os.geteuid() == 0:
        pytest.skip("root may read everything")
    small_card.chmod(0)
    try:
        assert "permission" in sentence(triage("report", small_card), 3)
    finally:
        small_card.chmod(0o755)


@pytest.mark.parametrize("command", ["copy", "keepers"])
def test_the_other_commands_need_a_card_too(command: str, triage: Run, tmp_path: Path) -> None:
    assert "nowhere" in sentence(triage(command, tmp_path / "nowhere", tmp_path / "out"), 3)
    assert not (tmp_path / "out").exists()


def test_the_window_needs_a_folder_that_is_there(triage: Run, tmp_path: Path) -> None:
    assert "nowhere" in sentence(triage("open", tmp_path / "nowhere"), 3)


@pytest.mark.parametrize("words", [(), ("open",)])
def test_a_window_without_a_display_is_refused_in_words(words: tuple[str, ...], triage: Run) -> None:
    done = triage(*words, QT_QPA_PLATFORM="", DISPLAY="", WAYLAND_DISPLAY="")
    assert "no display" in sentence(done, 2)


@pytest.mark.parametrize(
    "words",
    [
        ("dance",),
        ("report",),
        ("report", "a", "b"),
        ("report", "a", "--jsn", "x"),
        ("report", "a", "--lat", "51"),
        ("report", "a", "--lat", "91", "--lon", "0"),
        ("report", "a", "--tz", "Nowhere/Town"),
        ("report", "a", "--setup", "yesterday"),
        ("report", "a", "--setup", "2026-10-03T18:10/2026-10-03T17:25"),
        ("report", "a", "--flashes", "4"),
        ("copy", "a"),
        ("keepers",),
    ],
)
def test_wrong_usage_is_said_and_does_nothing(words: tuple[str, ...], triage: Run, tmp_path: Path) -> None:
    sentence(triage(*words), 2)
    assert list(tmp_path.iterdir()) == []


def test_a_report_that_cannot_be_written_is_said(triage: Run, small_card: Path, tmp_path: Path) -> None:
    for target in (tmp_path / "no" / "such" / "report.json", tmp_path):
        done = triage("report", small_card, "--no-store", "--json", target)
        assert done.returncode == 4
        assert b"Traceback" not in done.stderr
        assert target.name in done.stderr.decode()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["card"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_behind_standard_output_is_said(triage: Run, small_card: Path) -> None:
    with open("/dev/full", "wb") as full:  # noqa: PTH123 - a device
        done = subprocess.run(
            [sys.executable, "-m", "triage", "report", small_card, "--no-store"],
            check=False,
            stdout=full,
            stderr=subprocess.PIPE,
        )
    assert done.returncode == 4
    assert b"Traceback" not in done.stderr
    assert b"standard output" in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="pipes close in another way there")
def test_a_reader_that_leaves_early_is_no_noise(small_card: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    words = [sys.executable, "-m", "triage", "report", small_card, "--no-store", "--json", "-"]
    done = subprocess.run(words, check=False, stdout=writing, stderr=subprocess.PIPE)
    os.close(writing)
    assert done.stderr == b""
    assert done.returncode == 4


def test_a_library_that_cannot_be_written_is_said_after_the_report(
    triage: Run, small_card: Path, tmp_path: Path
) -> None:
    (tmp_path / "folder").mkdir()
    done = triage("report", small_card, TRIAGE_LIBRARY=str(tmp_path / "folder"))
    assert done.returncode == 4
    assert b"Traceback" not in done.stderr
    assert b"6 frames" in done.stdout


def test_without_a_store_no_library_is_made(triage: Run, small_card: Path, tmp_path: Path) -> None:
    assert triage("report", small_card, "--no-store").returncode == 0
    assert not (tmp_path / "library.sqlite").exists()
    assert triage("report", small_card).returncode == 0
    assert (tmp_path / "library.sqlite").exists()


def test_a_report_given_again_is_the_same_byte_for_byte(
    triage: Run, small_card: Path, tmp_path: Path
) -> None:
    fresh = triage("report", small_card, "--no-store", "--json", "-")
    assert not (tmp_path / "cache").exists()
    first, again = (triage("report", small_card, "--json", "-") for _ in range(2))
    assert any((tmp_path / "cache").iterdir())
    assert fresh.stdout == first.stdout == again.stdout
    for path in (tmp_path / "cache").iterdir():
        path.write_bytes(b"damaged")
    assert triage("report", small_card, "--no-store", "--json", "-").stdout == first.stdout
    assert triage("report", small_card, "--json", "-").stdout == first.stdout


def test_a_report_on_standard_output_is_json_and_nothing_else(triage: Run, small_card: Path) -> None:
    done = triage("report", small_card, "--no-store", "--json", "-")
    assert (done.returncode, done.stderr) == (0, b"")
    report = json.loads(done.stdout)
    check_report(report)
    assert len(report["frames"]) == 6
    assert triage("report", small_card, "--no-store", "--json", "-").stdout == done.stdout


def test_a_report_in_a_file_is_the_same_and_the_account_is_printed(
    triage: Run, small_card: Path, tmp_path: Path
) -> None:
    shown = triage("report", small_card, "--no-store", "--json", "-").stdout
    done = triage("report", small_card, "--no-store", "--json", tmp_path / "report.json")
    assert (tmp_path / "report.json").read_bytes() == shown
    assert b"6 frames" in done.stdout


def test_what_the_user_says_of_the_night_arrives_in_the_report(triage: Run, small_card: Path) -> None:
    words = (
        "--setup",
        "2026-10-03T22:00/2026-10-03T22:02:30",
        "--lat",
        "51.5",
        "--lon",
        "7",
        "--tz",
        "+02:00",
    )
    report = json.loads(triage("report", small_card, "--no-store", "--json", "-", *words).stdout)
    check_report(report)
    assert report["night"]["setup_windows_source"] == "given"
    assert report["night"]["setup_windows"] == [["2026-10-03T22:00:00", "2026-10-03T22:02:30"]]
    setup = [any(finding["kind"] == "setup" for finding in frame["findings"]) for frame in report["frames"]]
    assert setup == [True, True, False, False, False, False]


@pytest.mark.parametrize("damage", ["nothing", "half", "rubbish"])
def test_a_damaged_file_is_listed_and_told_by_the_exit_code(
    damage: str, triage: Run, small_card: Path
) -> None:
    picture = small_card / "DCIM" / "100TESTS" / "TEST0003.JPG"
    whole = picture.read_bytes()
    picture.write_bytes(
        {"nothing": b"", "half": whole[: len(whole) // 2], "rubbish": b"rubbish" * 99}[damage]
    )
    done = triage("report", small_card, "--no-store")
    assert done.returncode == 1
    assert b"TEST0003.JPG" in done.stdout
    done = triage("report", small_card, "--no-store", "--json", "-")
    assert done.returncode == 1
    assert b"TEST0003.JPG" in done.stderr
    report = json.loads(done.stdout)
    check_report(report)
    damaged = [
        frame["path"]
        for frame in report["frames"]
        if any(finding["kind"] == "damaged" for finding in frame["findings"])
    ]
    assert damaged == ["DCIM/100TESTS/TEST0003.JPG"]
    assert report["accounted"]["damaged"] == 1


def test_a_card_is_copied_and_safe_to_wipe(triage: Run, small_card: Path, tmp_path: Path) -> None:
    done = triage("copy", small_card, tmp_path / "copy")
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"safe to wipe" in done.stdout
    for path in small_card.rglob("*.JPG"):
        assert (tmp_path / "copy" / path.relative_to(small_card)).read_bytes() == path.read_bytes()
    again = triage("copy", small_card, tmp_path / "copy")
    assert again.returncode == 0
    assert b"safe to wipe" in again.stdout


def test_a_copy_never_overwrites_and_then_is_not_safe(triage: Run, small_card: Path, tmp_path: Path) -> None:
    other = tmp_path / "copy" / "DCIM" / "100TESTS" / "TEST0002.JPG"
    other.parent.mkdir(parents=True)
    other.write_bytes(b"somebody else's")
    done = triage("copy", small_card, tmp_path / "copy")
    assert done.returncode == 4
    assert b"Not safe to wipe" in done.stdout
    assert b"TEST0002.JPG" in done.stdout
    assert other.read_bytes() == b"somebody else's"


def test_a_copy_onto_the_card_itself_is_refused(triage: Run, small_card: Path) -> None:
    sentence(triage("copy", small_card, small_card / "backup"), 2)
    assert not (small_card / "backup").exists()


def test_keepers_with_nothing_kept_says_so_and_writes_nothing(
    triage: Run, small_card: Path, tmp_path: Path
) -> None:
    done = triage("keepers", small_card, tmp_path / "out")
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"No frame of this card is kept yet (0 of 6 decided)" in done.stdout
    assert not (tmp_path / "out").exists()


def test_kept_frames_are_handed_over_whole(triage: Run, small_card: Path, tmp_path: Path) -> None:
    keep(small_card, tmp_path / "library.sqlite", kept={2, 5}, rejected={3})
    done = triage("keepers", small_card, tmp_path / "out")
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"2 keepers" in done.stdout
    pictures = sorted((tmp_path / "out").glob("*.JPG"))
    originals = [small_card / "DCIM" / "100TESTS" / f"TEST{number:04d}.JPG" for number in (2, 5)]
    assert [path.read_bytes() for path in pictures] == [path.read_bytes() for path in originals]
    assert [path.with_suffix(".xmp").exists() for path in pictures] == [True, True]
    assert triage("keepers", small_card, tmp_path / "out").returncode == 0


def keep(card: Path, library: Path, *, kept: set[int], rejected: set[int]) -> None:
    """Decide frames by their file numbers, as the window does."""
    headers = [read_header(card, group) for group in list_card(card).groups]
    key_of = {int(header.files[0].name[4:8]): header.key for header in headers}
    with Library(library) as store:
        store.decide([key_of[number] for number in sorted(kept)], Verdict.KEEP)
        store.decide([key_of[number] for number in sorted(rejected)], Verdict.REJECT)


@pytest.mark.skipif(sys.platform == "win32", reason="signals work in another way there")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_stopped_report_says_so_and_leaves_nothing(
    number: signal.Signals, small_card: Path, tmp_path: Path
) -> None:
    folder = small_card / "DCIM" / "100TESTS"
    for copy in range(7, 400):
        shutil.copy(folder / f"TEST{copy % 6 + 1:04d}.JPG", folder / f"TEST{copy:04d}.JPG")
    target = tmp_path / "report.json"
    # A terminal of its own makes the command draw its progress: the sign that it is at work.
    try:
        leader, follower = os.openpty()
    except OSError as error:  # as in a bare chroot, where no terminals are mounted
        pytest.skip(f"this system gives no terminals: {error}")
    words = [sys.executable, "-m", "triage", "report", small_card, "--no-store", "--json", target]
    with subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=follower, stdin=subprocess.DEVNULL
    ) as working:
        os.close(follower)
        drawn = os.read(leader, 1000)
        working.send_signal(number)
        out, _none = working.communicate()
    os.close(leader)
    assert b" of " in drawn
    assert (working.returncode, out) == (130, b"")
    assert not target.exists()
