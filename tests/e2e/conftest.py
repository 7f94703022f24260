"""The installed command as a process of its own, and small cards for it."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
REAL = ROOT.parent / "shared" / "real"

Done = subprocess.CompletedProcess[bytes]


@pytest.fixture
def triage(tmp_path: Path) -> Callable[..., Done]:
    """Run the installed command, with a library of its own and without a display."""

    def run(*words: str | Path, **extra: str) -> Done:
        environment = {
            **os.environ,
            "TRIAGE_LIBRARY": str(tmp_path / "library.sqlite"),
            "TRIAGE_CACHE": str(tmp_path / "cache"),
            "QT_QPA_PLATFORM": "offscreen",
            "PYTHONWARNINGS": "error",
            "PYTHONPATH": str(ROOT),  # so that it is the command of this checkout, installed or not
            **extra,
        }
        command = [sys.executable, "-m", "triage", *map(str, words)]
        return subprocess.run(
            command, cwd=tmp_path, check=False, capture_output=True, env=environment, stdin=subprocess.DEVNULL
        )

    return run


@pytest.fixture
def small_card(tmp_path: Path) -> Path:
    """Six frames of one still scene, a minute apart, as a card."""
    folder = tmp_path / "card" / "DCIM" / "100TESTS"
    folder.mkdir(parents=True)
    generator = np.random.default_rng(7)
    scene = generator.integers(60, 180, size=(16, 24, 3), dtype=np.uint8)
    for number in range(1, 7):
        picture = Image.fromarray(scene).resize((320, 213), Image.Resampling.BICUBIC)
        exif = Image.Exif()
        exif[0x9003] = f"2026:10:03 22:{number:02d}:00"
        picture.save(folder / f"TEST{number:04d}.JPG", quality=90, exif=exif)
    return tmp_path / "card"


@pytest.fixture(scope="session")
def real_card() -> Callable[[str], Path]:
    """A folder of real pictures; skips where it is absent."""

    def find(name: str) -> Path:
        if not (REAL / name).is_dir():
            pytest.skip(f"the real pictures are not here: {name}")
        return REAL / name

    return find
