import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QIcon, QImage

from triage.errors import CardError, OutputError
from triage.records.result import Options
from triage.ui.app import ICON, _icon_path, picture_of_window

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def card(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("sample") / "night"
    words = [sys.executable, "-m", "sample_cards", "small", str(folder), "--size", "300x200"]
    subprocess.run(words, check=True, cwd=ROOT, capture_output=True)
    return folder / "card"


@pytest.mark.slow
def test_a_picture_of_the_window_is_made_without_a_screen(qtbot, card, tmp_path):
    out = tmp_path / "window.png"
    picture_of_window(card, Options(), out, size=(1000, 700))
    image = QImage(str(out))
    ratio = image.devicePixelRatio()
    assert (image.width() / ratio, image.height() / ratio) == (1000, 700)
    shades = {image.pixelColor(x, y).name() for x in range(20, 600, 12) for y in range(300, 680, 12)}
    assert len(shades) > 50, "there is no picture in it"


def test_no_card_is_told_in_words(qtbot, tmp_path):
    with pytest.raises(CardError):
        picture_of_window(tmp_path / "nowhere", Options(), tmp_path / "window.png")


def test_no_place_for_the_picture_is_told_in_words(qtbot, tmp_path):
    with pytest.raises(OutputError, match="no folder"):
        picture_of_window(tmp_path, Options(), tmp_path / "nowhere" / "window.png")


def test_the_icon_is_there_and_can_be_drawn(qapp):
    assert _icon_path().name == ICON
    assert not QIcon(str(_icon_path())).pixmap(64, 64).isNull()


def test_importing_the_window_makes_nothing():
    """No application, no file: a fresh process that only imports it ends at once and in silence."""
    words = [sys.executable, "-c", "import triage.ui.app"]
    done = subprocess.run(
        words, check=False, cwd=ROOT, capture_output=True, env={**os.environ, "DISPLAY": ":none"}
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
