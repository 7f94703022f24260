"""How soon a card can be sorted, and whether the window answers while it is read."""

import statistics
import time
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.feel.watch import Heartbeat, PaintWatch, live, rest
from tests.benchmarks.feel.window import PATIENCE_S, unmeasured, window_on
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.pipeline.run import run
from triage.ui.workers.reading import Pipeline

BARE_TURNS = 3
IDLE_S = 5.0


@dataclass(frozen=True)
class Opening:
    """What opening a card took.

    Attributes
    ----------
    frames : int
        How many.
    bare_s : float
        Listing the card and reading its headers one after the other, without a window; median.
    time_line_s, picture_s : float
        From opening to the painted time line, and to the first painted picture.
    bare_work_s, work_s : float
        Processor time of bare reading, and of all threads from opening until both are painted.
    """

    frames: int
    bare_s: float
    time_line_s: float
    picture_s: float
    bare_work_s: float
    work_s: float


@dataclass(frozen=True)
class Answering:
    """How well a window answered over some stretch; milliseconds.

    Attributes
    ----------
    what : str
        The stretch.
    beats : Heartbeat
        Its heartbeat.
    seconds : float
        How long it was.
    """

    what: str
    beats: Heartbeat
    seconds: float


def bare(root: Path) -> tuple[int, float, float]:
    """Return how many frames a card has, and the time and processor time of bare reading of their headers."""
    took, worked = [], []
    count = 0
    for _turn in range(BARE_TURNS):
        began, work = time.perf_counter(), time.process_time()
        groups = list_card(root).groups
        count = len([read_header(root, group) for group in groups])
        took.append(time.perf_counter() - began)
        worked.append(time.process_time() - work)
    return count, statistics.median(took), statistics.median(worked)


def opening(root: Path) -> Opening:
    """Open a card in the real window until the time line and a picture are there."""
    frames, bare_s, bare_work_s = bare(root)
    with window_on() as window:
        page = window.page
        line = PaintWatch(page.timeline.ribbon, {"line": lambda: bool(page.timeline.ribbon.marks())})
        picture = PaintWatch(page.picture, {"picture": lambda: page.picture.image is not None})
        began, work = time.perf_counter(), time.process_time()
        window.open_card(root)
        live(lambda: bool(line.seen and picture.seen), patience_s=PATIENCE_S)
        work_s = time.process_time() - work
        at = (line.seen["line"] - began, picture.seen["picture"] - began)
        return Opening(frames, bare_s, *at, bare_work_s, work_s)


def idle() -> Answering:
    """Let a window be with nothing to do: what other programs on the machine cost it."""
    with window_on() as window:
        beats = Heartbeat()
        rest(IDLE_S)
        beats.stop()
        window.reading.stop()
    return Answering("nothing to do", beats, IDLE_S)


def reading(root: Path, what: str, pipeline: Pipeline = run) -> Answering:
    """Read a card to its end and listen to the heart of the window."""
    with window_on(pipeline) as window:
        rest(0.5)
        began = time.perf_counter()
        beats = Heartbeat()
        window.open_card(root)
        live(lambda: not window.reading.is_running, patience_s=PATIENCE_S)
        beats.stop()
        return Answering(what, beats, time.perf_counter() - began)


def answering(sample: Path, card: Path) -> list[Answering]:
    """Return how well the window answers: with nothing to do, and while cards are read."""
    return [
        idle(),
        reading(sample, "the sample card, all of it"),
        reading(card, "the large card, measuring left out", unmeasured),
    ]
