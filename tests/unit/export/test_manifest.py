import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.errors import OutputError
from triage.export.manifest import manifest_bytes, read_manifest, write_manifest

DIGEST = "ab" * 32
PLAIN = "DCIM/100NIGHT/NGT_0001.JPG"
ODD = [
    "a\\b",
    "line\nbreak",
    "return\rin it",
    "-begins with a dash",
    " space *",
    "Füchsin",
    "\\",
    "trailing\r",
]

needs_sha256sum = pytest.mark.skipif(
    shutil.which("sha256sum") is None or sys.platform == "win32", reason="coreutils' sha256sum is not here"
)


def write_files(folder: Path, names: list[str]) -> dict[str, str]:
    digests = {}
    for name in names:
        data = os.fsencode(name)
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
        digests[name] = hashlib.sha256(data).hexdigest()
    return digests


def check(manifest: Path) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        ["sha256sum", "--strict", "--check", manifest.name],
        cwd=manifest.parent,
        check=False,
        capture_output=True,
    )


@needs_sha256sum
@pytest.mark.source("tool", "GNU coreutils, sha256sum --check")
def test_the_list_is_accepted_by_the_general_tool_odd_names_included(tmp_path: Path) -> None:
    # GNU coreutils, sha256sum --check.
    names = [PLAIN, *ODD, os.fsdecode(b"not utf-8 \xff\xe4")]
    told = check(write_manifest(tmp_path, write_files(tmp_path, names)))
    assert told.returncode == 0, told.stderr
    assert told.stdout.count(b": OK\n") == len(names)


@needs_sha256sum
def test_the_general_tool_finds_a_file_that_changed(tmp_path: Path) -> None:
    manifest = write_manifest(tmp_path, write_files(tmp_path, [PLAIN, *ODD]))
    (tmp_path / PLAIN).write_bytes(b"changed")
    told = check(manifest)
    assert told.returncode == 1
    assert told.stdout.count(b"FAILED\n") == 1


@needs_sha256sum
@pytest.mark.source("tool", "GNU coreutils, sha256sum")
def test_the_list_is_the_general_tools_own_to_the_byte(tmp_path: Path) -> None:
    names = ["a\\b", "c", "line\nbreak"]
    ours = manifest_bytes(write_files(tmp_path, names))
    theirs = subprocess.run(["sha256sum", *names], cwd=tmp_path, check=True, capture_output=True).stdout
    assert ours == theirs


@given(st.dictionaries(st.text(min_size=1).filter(lambda name: "\0" not in name), st.just(DIGEST)))
def test_what_is_written_is_read_back(digests: dict[str, str]) -> None:
    encodable = {name: digest for name, digest in digests.items() if is_a_name(name)}
    assert read_manifest(manifest_bytes(encodable)) == encodable


def is_a_name(name: str) -> bool:
    try:
        return os.fsdecode(os.fsencode(name)) == name
    except UnicodeEncodeError:
        return False


def test_what_is_no_list_is_not_read_as_one() -> None:
    assert read_manifest(b"buy batteries\n") is None
    assert read_manifest(b"") == {}


def test_the_list_of_an_earlier_copy_into_the_same_folder_is_kept(tmp_path: Path) -> None:
    write_manifest(tmp_path, {"first.JPG": DIGEST})
    path = write_manifest(tmp_path, {"second.JPG": DIGEST})
    assert read_manifest(path.read_bytes()) == {"first.JPG": DIGEST, "second.JPG": DIGEST}


def test_a_list_that_was_on_the_card_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "SHA256SUMS").write_bytes(manifest_bytes({"older.JPG": DIGEST}))
    path = write_manifest(tmp_path, {"sha256sums": DIGEST}, taken=["sha256sums"])
    assert path.name == "SHA256SUMS-2"
    assert read_manifest((tmp_path / "SHA256SUMS").read_bytes()) == {"older.JPG": DIGEST}


def test_another_file_of_that_name_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "SHA256SUMS").write_text("buy batteries")
    (tmp_path / "SHA256SUMS-2").mkdir()
    assert write_manifest(tmp_path, {PLAIN: DIGEST}).name == "SHA256SUMS-3"
    assert (tmp_path / "SHA256SUMS").read_text() == "buy batteries"


def test_a_list_that_cannot_be_read_is_told_in_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "SHA256SUMS").write_bytes(b"")

    def refuse(_path: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(OutputError, match="could not be read: there is no permission"):
        write_manifest(tmp_path, {PLAIN: DIGEST})
