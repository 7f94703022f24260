import errno
import os
from pathlib import Path

import pytest

from triage.errors import OutputError
from triage.export.atomic_write import atomic_write


def test_a_new_file_is_written_whole(tmp_path: Path) -> None:
    atomic_write(tmp_path / "report.json", b"{}\n")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("report.json", b"{}\n")]


def test_an_old_file_is_replaced_whole(tmp_path: Path) -> None:
    (tmp_path / "report.json").write_bytes(b"something much longer")
    atomic_write(tmp_path / "report.json", b"{}\n")
    assert (tmp_path / "report.json").read_bytes() == b"{}\n"


@pytest.mark.parametrize("step", ["write", "fsync"])
def test_a_failure_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    (tmp_path / "report.json").write_bytes(b"old")

    def refuse(*_arguments: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, step, refuse)
    with pytest.raises(OutputError, match=r"report\.json could not be written: the disk is full\."):
        atomic_write(tmp_path / "report.json", b"new")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("report.json", b"old")]


def test_a_link_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    link = tmp_path / "report.json"
    link.symlink_to(tmp_path / "elsewhere" / "real.json")
    atomic_write(link, b"{}")
    assert link.is_symlink()
    assert (tmp_path / "elsewhere" / "real.json").read_bytes() == b"{}"


@pytest.mark.skipif(not Path("/dev/null").exists(), reason="there is no such device here")
def test_a_device_is_written_to_and_not_replaced() -> None:
    before = os.stat("/dev/null")  # noqa: PTH116
    atomic_write(Path("/dev/null"), b"{}")
    assert os.path.samestat(before, os.stat("/dev/null"))  # noqa: PTH116


def test_a_missing_folder_is_told_in_words(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=r"there is no folder .*; make it first"):
        atomic_write(tmp_path / "nowhere" / "report.json", b"{}")


def test_a_folder_in_the_way_is_told_in_words(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="a folder of that name is in the way"):
        atomic_write(tmp_path, b"{}")
