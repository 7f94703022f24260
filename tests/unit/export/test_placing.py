import errno
import os
import sys
from pathlib import Path

import pytest

from triage.export import placing
from triage.export.placing import clear_parts, flush_folder, open_part, place_new, write_whole


def finished_part(folder: Path, data: bytes = b"new") -> Path:
    descriptor, part = open_part(folder)
    write_whole(descriptor, data)
    os.close(descriptor)
    return part


def no_links(_source: Path, _target: Path) -> None:
    raise OSError(errno.EPERM, os.strerror(errno.EPERM))


@pytest.fixture(params=["hard links", "no hard links", "no rename without replacing either"])
def file_system(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Act as a disk with hard links, as one without (FAT, exFAT), and as a system without the call."""
    if request.param != "hard links":
        monkeypatch.setattr(os, "link", no_links)
    if request.param == "no rename without replacing either":
        monkeypatch.setattr(placing, "_rename_new", lambda _part, _target: False)


@pytest.mark.usefixtures("file_system")
def test_a_finished_file_gets_its_name_and_leaves_nothing_behind(tmp_path: Path) -> None:
    place_new(finished_part(tmp_path), tmp_path / "name")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("name", b"new")]


@pytest.mark.usefixtures("file_system")
def test_a_name_that_is_taken_is_never_overwritten(tmp_path: Path) -> None:
    (tmp_path / "name").write_bytes(b"old")
    part = finished_part(tmp_path)
    with pytest.raises(FileExistsError):
        place_new(part, tmp_path / "name")
    assert (tmp_path / "name").read_bytes() == b"old"


@pytest.mark.usefixtures("file_system")
def test_a_dangling_link_counts_as_taken(tmp_path: Path) -> None:
    (tmp_path / "name").symlink_to(tmp_path / "nowhere")
    with pytest.raises(FileExistsError):
        place_new(finished_part(tmp_path), tmp_path / "name")
    assert (tmp_path / "name").is_symlink()


def test_other_refusals_surface(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        place_new(tmp_path / "not there", tmp_path / "name")


@pytest.mark.skipif(sys.platform != "linux", reason="the call is Linux's")
def test_other_refusals_surface_where_there_are_no_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "link", no_links)
    with pytest.raises(FileNotFoundError):
        place_new(tmp_path / "not there", tmp_path / "name")


def test_only_what_a_killed_run_left_is_cleared(tmp_path: Path) -> None:
    part = finished_part(tmp_path)
    for name in (".triage-notes.part", "NGT_0001.JPG", f"{part.name}.JPG"):
        (tmp_path / name).write_bytes(b"mine")
    assert clear_parts(tmp_path) == 1
    assert not part.exists()
    assert len(list(tmp_path.iterdir())) == 3


def test_a_write_that_takes_only_some_bytes_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = os.write
    monkeypatch.setattr(os, "write", lambda descriptor, data: whole(descriptor, bytes(data[:3])))
    assert finished_part(tmp_path, b"ten bytes!").read_bytes() == b"ten bytes!"


@pytest.mark.skipif(sys.platform == "win32", reason="Windows does not flush folders")
def test_a_drive_that_cannot_flush_folders_is_no_failure_but_a_failing_disk_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(code: int) -> None:
        def fsync(_descriptor: int) -> None:
            raise OSError(code, os.strerror(code))

        monkeypatch.setattr(os, "fsync", fsync)

    refuse(errno.EINVAL)
    flush_folder(tmp_path)
    refuse(errno.EIO)
    with pytest.raises(OSError, match="Input/output"):
        flush_folder(tmp_path)
