"""A night of known content, and stand-ins for what the window is given: recipe, decoder, answers."""

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from tests.factories import make_frame, make_judgement, make_small_triage
from triage.errors import CardError, PictureError, Stopped
from triage.pipeline.outward import Nearest, nobody, outward
from triage.pipeline.steps import (
    CardListed,
    Finished,
    FrameJudged,
    HeadersProgress,
    PictureRead,
    Step,
    TimeLineReady,
)
from triage.records.card import Card
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind
from triage.records.frame import Frame
from triage.records.measurement import Box, Subject
from triage.records.night import Night, SetupSource
from triage.records.result import Options, Triage

START = datetime(2026, 10, 3, 20, 0, 0)


def make_night(events: tuple[tuple[EventKind, int], ...], *, root: str = "/cards/night") -> Triage:
    """Return an answer with events of given kinds and numbers of frames, five minutes apart."""
    frames: list[Frame] = []
    made = []
    said = []
    kinds = {
        EventKind.EMPTY: FindingKind.EMPTY,
        EventKind.SETUP: FindingKind.SETUP,
        EventKind.DARK: FindingKind.DARK,
    }
    for number, (kind, size) in enumerate(events, 1):
        first = len(frames)
        for place in range(size):
            taken = START + timedelta(minutes=5 * number, seconds=2 * place)
            frames.append(make_frame(first + place, taken=taken))
            if kind is EventKind.SUBJECT:
                subject = Subject(Box(0.4, 0.4, 0.6, 0.7), 0.98, ())
                said.append(make_judgement(first + place, subject=subject))
            else:
                said.append(make_judgement(first + place, *([kinds[kind]] if kind in kinds else [])))
        indexes = tuple(range(first, first + size))
        made.append(Event(number, frames[first].time, frames[-1].time, indexes, indexes[size // 2], kind))
    groups = tuple(frame.files for frame in frames)
    night = Night(START, frames[-1].time, (), SetupSource.WORKED_OUT, None, "A quiet night.")
    card = Card(root, groups, (), files=len(frames), size=len(frames) << 20)
    return Triage(card, tuple(frames), night, tuple(said), tuple(made), make_small_triage().faults)


@dataclass
class FakePipeline:
    """Stands in for the recipe: yields the steps of a given answer; can be held, and can fail."""

    triage: Triage
    fails: str = ""
    gate: threading.Event = field(default_factory=threading.Event)
    hold_at: int | None = None

    def __call__(
        self,
        _root: Path,
        _options: Options,
        *,
        stop: Callable[[], bool],
        nearest: Nearest = nobody,
    ) -> Iterator[Step]:
        if self.fails:
            raise CardError(self.fails)
        triage = self.triage
        total = len(triage.frames)
        yield CardListed(triage.card)
        yield HeadersProgress(total, total)
        mixed = tuple(
            Event(e.id, e.start, e.end, e.frames, e.frames[0], EventKind.MIXED) for e in triage.events
        )
        yield TimeLineReady(triage.card, triage.frames, triage.night, mixed)
        for done, index in enumerate(outward(range(total), nearest), 1):
            frame = triage.frames[index]
            if done == self.hold_at:
                while not self.gate.wait(0.01):
                    if stop():
                        raise Stopped
            if stop():
                raise Stopped
            yield PictureRead(frame, small_picture(frame.index), done, total)
        for done, said in enumerate(triage.judgements, 1):
            yield FrameJudged(said, done, total)
        yield Finished(triage)


def small_picture(index: int) -> np.ndarray:
    """Return a plain picture whose grey tells the frame."""
    return np.full((80, 120, 3), 40 + index % 200, np.uint8)


def fake_decode(_root: Path, frame: Frame, *, long_edge: int | None = None) -> np.ndarray:
    """Stand in for decoding: 1200 by 800 in full, half of it for the screen; damaged frames raise."""
    if frame.problem:
        raise PictureError(frame.problem)
    scale = 1 if long_edge is None else 2
    return np.full((800 // scale, 1200 // scale, 3), 40 + frame.index % 200, np.uint8)


class Answers:
    """Answers the window's questions; remembers them."""

    def __init__(self) -> None:
        self.chosen: Path | None = None
        self.agrees = True
        self.choices: list[str] = []
        self.asked: list[str] = []
        self.details: list[str] = []

    def folder(self, _parent: object, title: str) -> Path | None:
        self.asked.append(title)
        return self.chosen

    def agree(self, _parent: object, question: str, _detail: str, _yes: str) -> bool:
        self.asked.append(question)
        return self.agrees

    def choose(
        self, _parent: object, question: str, detail: str, choices: list[str], *, harmless: int | None = None
    ) -> int | None:
        """Choose what begins with the next of the words given beforehand; nothing where there are none."""
        self.asked.append(question)
        self.details.append(detail)
        wanted = self.choices.pop(0) if self.choices else ""
        return next((at for at, choice in enumerate(choices) if wanted and choice.startswith(wanted)), None)
