"""The real program on a real (if virtual) screen: keys pressed from outside, decisions read from the file."""

import contextlib
import os
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import sample_cards
from tests.gui.patience import PATIENCE_S
from triage.records.decision import Verdict
from triage.store.library import Library

pytestmark = [
    pytest.mark.window,
    pytest.mark.slow,
    pytest.mark.skipif(
        not (shutil.which("Xvfb") and shutil.which("xdotool")),
        reason="needs Xvfb and xdotool for a virtual screen",
    ),
]
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def screen() -> Iterator[str]:
    """Give a virtual screen of its own; the server picks a free number and writes it down."""
    reading, writing = os.pipe()
    words = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1280x800x24", "-nolisten", "tcp"]
    server = subprocess.Popen(words, pass_fds=[writing], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    os.close(writing)
    with os.fdopen(reading) as told:
        number = told.readline().strip()
    if not number:
        server.terminate()
        server.wait()
        pytest.skip("Xvfb does not start here")
    yield f":{number}"
    server.terminate()
    server.wait()


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """Render the small sample night."""
    words = [sys.executable, "-m", "sample_cards", "small", str(tmp_path / "night"), "--size", "300x200"]
    subprocess.run(words, check=True, cwd=ROOT, capture_output=True)
    return tmp_path / "night" / "card"


class RealWindow:
    """The program, and a hand on its keyboard."""

    def __init__(self, screen: str, card: Path, library: Path) -> None:
        self.environment = {
            **os.environ,
            "DISPLAY": screen,
            "QT_QPA_PLATFORM": "xcb",
            "TRIAGE_LIBRARY": str(library),
            "PYTHONPATH": str(ROOT),
        }
        self._library = library
        self.process = subprocess.Popen(
            [sys.executable, "-m", "triage", "open", str(card)],
            cwd=library.parent,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )

    def wait_for(self, what: Callable[[], object], why: str) -> object:
        """Ask again and again until something is true: the program is another process and tells nothing."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            found = what()
            if found:
                return found
            with contextlib.suppress(subprocess.TimeoutExpired):
                self.process.wait(0.1)
        return pytest.fail(f"{why} within {PATIENCE_S} s")

    def hand(self, *words: str) -> str:
        done = subprocess.run(
            ["xdotool", *words], check=False, env=self.environment, capture_output=True, text=True
        )
        return done.stdout.strip()

    def appear(self) -> None:
        def found() -> str:
            if self.process.poll() is not None:
                out = self.process.stdout.read() if self.process.stdout else ""
                pytest.fail(f"the program ended with {self.process.returncode}: {out}")
            return self.hand("search", "--onlyvisible", "--name", "Card Triage")

        window = str(self.wait_for(found, "no window appeared")).splitlines()[0]
        self.hand("windowfocus", window)
        self.hand("mousemove", "--window", window, "300", "600", "click", "1")

    def press(self, *keys: str) -> None:
        for key in keys:
            self.hand("key", key)

    def decisions(self) -> list[tuple[str, str | None]]:
        """Read the log of decisions with a connection of its own."""
        if not self._library.exists():
            return []
        place = f"file:{self._library}?mode=ro"
        try:
            with sqlite3.connect(place, uri=True) as there:
                rows = there.execute("SELECT key, verdict FROM decision ORDER BY id").fetchall()
            there.close()
        except sqlite3.OperationalError:
            return []  # the program is just making it
        return rows

    def cards(self) -> int:
        with Library(self._library) as there:
            return len(there.cards())


@pytest.fixture
def window(screen: str, card: Path, tmp_path: Path) -> Iterator[RealWindow]:
    made = RealWindow(screen, card, tmp_path / "library.sqlite")
    yield made
    if made.process.poll() is None:
        made.process.terminate()
    made.process.wait(PATIENCE_S)
    if made.process.stdout:
        made.process.stdout.close()


def test_a_card_is_sorted_from_the_keyboard_of_a_real_screen(window: RealWindow, card: Path):
    before = {path: path.read_bytes() for path in sorted(card.rglob("*")) if path.is_file()}
    window.appear()
    window.wait_for(lambda: window._library.exists() and window.cards(), "the card was not opened")
    window.press("s")
    window.wait_for(lambda: len(window.decisions()) == 1, "S did not keep a frame")
    assert window.decisions()[0][1] == "keep"
    window.press("e")
    window.wait_for(lambda: len(window.decisions()) > 1, "E did not reject an event")
    count = len(window.decisions())
    window.press("z")
    window.wait_for(lambda: len(window.decisions()) > count, "Z took nothing back")
    with Library(window._library) as there:
        kept = there.verdicts([key for key, _verdict in window.decisions()])
    assert [verdict.value for verdict in kept.values()] == ["keep"]
    window.press("ctrl+q")
    assert window.process.wait(PATIENCE_S) == 0
    assert window.process.stdout
    assert "Traceback" not in window.process.stdout.read()
    after = {path: path.read_bytes() for path in sorted(card.rglob("*")) if path.is_file()}
    assert after == before


def test_the_sample_card_is_sorted_by_keyboard_and_its_keepers_are_handed_over(screen: str, tmp_path: Path):
    card, library, out = tmp_path / "card", tmp_path / "library.sqlite", tmp_path / "keepers"
    shutil.copytree(sample_cards.bundled(), card)
    before = {path: path.read_bytes() for path in sorted(card.rglob("*")) if path.is_file()}
    window = RealWindow(screen, card, library)
    try:
        window.appear()
        window.wait_for(lambda: library.exists() and window.cards(), "the card was not opened")
        while len({key for key, _verdict in window.decisions()}) < len(before):
            count = len(window.decisions())
            window.press("w")  # keeps the best frame of the event, rejects the rest, goes on to the next
            window.wait_for(lambda count=count: len(window.decisions()) > count, "W decided nothing")
        window.press("ctrl+q")
        assert window.process.wait(PATIENCE_S) == 0
    finally:
        window.process.kill()
        window.process.communicate()
    with Library(library) as there:
        verdicts = there.verdicts([key for key, _verdict in window.decisions()])
    kept = sum(verdict is Verdict.KEEP for verdict in verdicts.values())
    assert len(verdicts) == len(before)
    assert 10 < kept < len(before) / 2
    words = [sys.executable, "-m", "triage", "keepers", str(card), str(out)]
    done = subprocess.run(
        words, check=False, cwd=ROOT, env=window.environment, capture_output=True, text=True
    )
    assert done.returncode in {0, 1}, done.stderr  # 1: the sample card holds a damaged file on purpose
    assert len(list(out.glob("*.JPG"))) == len(list(out.glob("*.xmp"))) == kept
    if shutil.which("sha256sum"):
        subprocess.run(["sha256sum", "--check", "--quiet", "SHA256SUMS"], check=True, cwd=out)
    if shutil.which("exiftool"):  # an independent reader
        read = subprocess.run(
            ["exiftool", "-s3", "-XMP:Rating", *map(str, out.glob("*.xmp"))],
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        assert read.split("\n").count("3") == kept
    assert {path: path.read_bytes() for path in sorted(card.rglob("*")) if path.is_file()} == before


def test_decisions_survive_a_killed_program(window: RealWindow, screen: str, card: Path):
    window.appear()
    window.wait_for(lambda: window._library.exists() and window.cards(), "the card was not opened")
    window.press("d")
    window.wait_for(window.decisions, "D did not reject a frame")
    window.process.kill()
    window.process.wait(PATIENCE_S)
    ((key, verdict),) = window.decisions()
    assert verdict == "reject"
    with Library(window._library) as there:
        assert [found.value for found in there.verdicts([key]).values()] == ["reject"]
