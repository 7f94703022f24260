"""Fixtures of the checks: real pictures, and independent programs that read files."""

import json
import re
import shutil
import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

REAL = Path(__file__).resolve().parents[3] / "shared" / "real"

Told = list[dict[str, Any]]


@pytest.fixture(scope="session")
def real() -> Callable[[str], Path]:
    """Give the way to a folder of real pictures; skips where it is absent."""

    def find(name: str) -> Path:
        if not (REAL / name).is_dir():
            pytest.skip(f"the real pictures are not here: shared/real/{name}")
        return REAL / name

    return find


def _program(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        pytest.skip(f"{name} is not here; python3 resources/start.py prepare installs it where it can")
    return found


@pytest.fixture(scope="session")
def program() -> Callable[[str], str]:
    """Give the way to an independent program; skips where it is absent."""
    return _program


@pytest.fixture(scope="session")
def exiftool() -> Callable[..., Told]:
    """Give a reader by ExifTool: words and files in, one dict for each file out, in order of the files."""
    program = _program("exiftool")

    def read(words: Sequence[str], files: Sequence[Path]) -> Told:
        # It ends with 1 where any file has a fault of its own, and still tells of the others.
        done = subprocess.run(
            [program, "-j", *words, *map(str, files)], check=False, capture_output=True, text=True
        )
        told: Told = json.loads(done.stdout)
        assert [Path(one["SourceFile"]) for one in told] == list(files)
        return told

    return read


@pytest.fixture(scope="session")
def exiv2() -> Callable[..., dict[str, dict[str, str]]]:
    """Give a reader by exiv2: files in, value by key by file name out; `how` as its option -P says."""
    program = _program("exiv2")

    def read(how: str, files: Sequence[Path]) -> dict[str, dict[str, str]]:
        found: dict[str, dict[str, str]] = {file.name: {} for file in files}
        for file in files:
            done = subprocess.run([program, f"-P{how}", str(file)], check=False, capture_output=True)
            for line in done.stdout.decode("utf-8", "replace").splitlines():
                match = re.match(r"((?:Exif|Xmp|Iptc)\.\S+)\s*(.*)", line)
                if match:
                    found[file.name].setdefault(match[1], match[2])
        return found

    return read
