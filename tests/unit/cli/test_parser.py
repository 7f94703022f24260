"""That help is quick: what takes long to load is loaded by the command that needs it."""

import subprocess
import sys
from pathlib import Path

HEAVY = ("cv2", "scipy", "skimage", "rawpy", "ephem", "PySide6")
LOADED = "import sys, triage.cli.parser; print(*[name for name in sys.argv[1:] if name in sys.modules])"


def loaded(code: str) -> str:
    words = [sys.executable, "-c", code, *HEAVY]
    root = Path(__file__).resolve().parents[3]
    return subprocess.run(words, cwd=root, check=True, capture_output=True, text=True).stdout.strip()


def test_the_words_of_the_commands_load_nothing_heavy() -> None:
    assert loaded(LOADED) == ""


def test_the_look_at_what_is_loaded_does_see() -> None:
    assert loaded(f"import cv2; {LOADED}") == "cv2"
