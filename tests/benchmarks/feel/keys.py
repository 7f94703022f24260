"""From the key to the painted frame."""

import time
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from tests.benchmarks.feel.watch import PaintWatch, live, rest
from tests.benchmarks.feel.window import read_to_the_end, window_on
from triage.ui.main_window import MainWindow

PACE_S = 0.5
"""Between two keys: a person who looks at each picture for half a second is quick."""
HELD_S = 0.033
"""Between two keys of one that is held down: thirty a second."""
SHARP = 0.95
"""A picture with so much of the pixels it is shown with is sharp."""


@dataclass(frozen=True)
class Series:
    """Keys of one kind.

    Attributes
    ----------
    what : str
        Which.
    first_ms : list of float
        From each key to the first painting of the new frame.
    sharp_ms : list of float
        To the first painting with all its pixels.
    own_ms : list of float
        What the window's own thread computed from the key to the first painting: a machine with nothing else
        to do needs little more.
    """

    what: str
    first_ms: list[float]
    sharp_ms: list[float]
    own_ms: list[float]


FIRST_S = 2.0
"""A look at the first frame, before the first key."""
MOST_PRESSES = 60
PATIENCE_S = 30.0
BY_EVENT = (Qt.Key.Key_R, Qt.Key.Key_W)
SERIES: tuple[tuple[str, Qt.Key, float], ...] = (
    ("next frame (F)", Qt.Key.Key_F, PACE_S),
    ("next event (R)", Qt.Key.Key_R, PACE_S),
    ("keep, go on (S)", Qt.Key.Key_S, PACE_S),
    ("keep best, go on (W)", Qt.Key.Key_W, PACE_S),
    ("next frame, held down", Qt.Key.Key_F, HELD_S),
)


def keys(root: Path) -> list[Series]:
    """Read a card to its end, then press keys; each series begins with no decoded picture at hand."""
    with window_on() as window:
        read_to_the_end(window, root)
        watch = PaintWatch(
            window.page.picture,
            {
                "first": lambda: window.page.picture.image is not None,
                "sharp": lambda: _is_sharp(window),
            },
        )
        return [_series(window, watch, row, root) for row in SERIES]


def _series(window: MainWindow, watch: PaintWatch, row: tuple[str, Qt.Key, float], root: Path) -> Series:
    what, key, pace = row
    while window.session.undo().changed:
        pass
    window.pictures.load(root, window.session.frames)
    window.sorting.go(0)
    rest(FIRST_S)
    series = Series(what, [], [], [])
    steps = len(window.session.events if key in BY_EVENT else window.session.frames) - 1
    for _press in range(min(steps, MOST_PRESSES)):
        began, worked = time.perf_counter(), time.thread_time()
        watch.restart()
        QTest.keyClick(window.page.picture, key)
        if window.sweeping.is_checking:
            # A group is offered to be put away: a sheet of frames comes, not the next frame.
            window.sweeping.end()
            rest(pace)
            continue
        wanted = "first" if pace == HELD_S else "sharp"
        live(lambda wanted=wanted: wanted in watch.seen, patience_s=PATIENCE_S)
        series.first_ms.append((watch.seen["first"] - began) * 1000)
        series.own_ms.append((watch.worked["first"] - worked) * 1000)
        if "sharp" in watch.seen:
            series.sharp_ms.append((watch.seen["sharp"] - began) * 1000)
        rest(max(0.001, pace - (time.perf_counter() - began)))
    return series


def _is_sharp(window: MainWindow) -> bool:
    picture = window.page.picture
    if picture.image is None:
        return False
    gaze = picture.gaze
    wanted = min(1.0, gaze.fit_scale) * gaze.picture[0]
    return picture.image.width() >= SHARP * wanted
