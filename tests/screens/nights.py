"""Nights for the pictures: the sample card as the program reads it, and made-up ones of other sizes."""

import dataclasses
import threading
from collections.abc import Callable, Iterator, Sequence
from datetime import timedelta
from pathlib import Path

import numpy as np

from sample_cards import bundled
from tests.gui import timeline_records as made
from triage.cli.sample import told_of_itself
from triage.errors import PictureError, Stopped
from triage.ingest.decode import decode_view
from triage.pipeline.outward import Nearest, nobody
from triage.pipeline.run import run
from triage.pipeline.steps import (
    CardListed,
    Finished,
    FrameJudged,
    HeadersProgress,
    PictureRead,
    Step,
    TimeLineReady,
)
from triage.records.card import Card, CardFile, FileKind
from triage.records.diagnosis import Fault
from triage.records.event import Event, EventKind
from triage.records.finding import Judgement
from triage.records.frame import Frame
from triage.records.night import Night, SetupSource
from triage.records.result import Options, Triage
from triage.sky.heaven import night_sky
from triage.sky.zone import parse_zone

Rgb = np.ndarray

WEEK_DAYS = 7
BUSY_VISITS = 400
LONG_NAME = "Garden_behind_the_old_water_mill_second_camera_facing_the_badger_path_"


def record() -> list[Step]:
    """Read the sample card once; what the recipe tells is kept."""
    return list(run(bundled(), told_of_itself()))


class Replay:
    """Stands in for the recipe: tells again what was told, up to a step if wanted; there it waits."""

    def __init__(self, steps: Sequence[Step], *, until: int | None = None) -> None:
        self.steps = steps
        self.until = until
        self._never = threading.Event()

    def __call__(
        self,
        _root: Path,
        _options: Options,
        *,
        stop: Callable[[], bool],
        nearest: Nearest = nobody,
    ) -> Iterator[Step]:
        yield from self.steps[: self.until]
        if self.until is not None:
            while not stop():
                self._never.wait(0.02)
            raise Stopped


@dataclasses.dataclass(frozen=True)
class Sample:
    """The sample card, and the pictures every made-up night borrows."""

    steps: list[Step]

    @property
    def triage(self) -> Triage:
        """The whole answer."""
        last = self.steps[-1]
        assert isinstance(last, Finished)
        return last.triage

    def picture(self, frame: Frame) -> Rgb | None:
        """Return the measuring picture of a frame, or of the sample's frame that stands in for it."""
        pictures = [step.picture for step in self.steps if isinstance(step, PictureRead)]
        return pictures[self._place(frame)]

    def decode(self, _root: Path, frame: Frame, *, long_edge: int | None = None) -> Rgb:
        """Decode a frame, or the sample's frame that stands in for it."""
        own = self.triage.frames[self._place(frame)]
        if frame.problem is not None and frame.problem != own.problem:
            raise PictureError(frame.problem)
        return decode_view(bundled(), own, long_edge=long_edge)

    def _place(self, frame: Frame) -> int:
        """Return the number of the sample's frame of the same file, or else one by turns."""
        frames = self.triage.frames
        same = (place for place, each in enumerate(frames) if each.files == frame.files)
        return next(same, frame.index % len(frames))

    def told(self, triage: Triage) -> list[Step]:
        """Return the steps the recipe would tell for an answer, with the sample's pictures."""
        total = len(triage.frames)
        mixed = tuple(dataclasses.replace(event, kind=EventKind.MIXED) for event in triage.events)
        return [
            CardListed(triage.card),
            HeadersProgress(total, total),
            TimeLineReady(triage.card, triage.frames, triage.night, mixed),
            *(
                PictureRead(frame, None if frame.problem else self.picture(frame), at + 1, total)
                for at, frame in enumerate(triage.frames)
            ),
            *(FrameJudged(said, at + 1, total) for at, said in enumerate(triage.judgements)),
            Finished(triage),
        ]


def busy(sample: Sample) -> Triage:
    """Return a night of some 2,000 frames."""
    night = made.night()
    frames, events = made.visits(BUSY_VISITS, night)
    triage = made.triage(night, frames, events, made.rig_faults(night))
    subject = [said for said in sample.triage.judgements if said.measurement and said.measurement.subject]
    judged = tuple(
        dataclasses.replace(subject[at % len(subject)], index=at) if at % 3 else said
        for at, said in enumerate(triage.judgements)
    )
    return dataclasses.replace(triage, judgements=judged)


def week(sample: Sample) -> Triage:
    """Return the sample night seven times over, a day apart, as one card."""
    one = sample.triage
    frames: list[Frame] = []
    said: list[Judgement] = []
    events: list[Event] = []
    faults: list[Fault] = []
    for day in range(WEEK_DAYS):
        later, first, number = timedelta(days=day), len(frames), len(events)
        frames += [
            dataclasses.replace(
                frame, index=first + frame.index, key=f"{first + frame.index:032x}", time=frame.time + later
            )
            for frame in one.frames
        ]
        said += [dataclasses.replace(each, index=first + each.index) for each in one.judgements]
        events += [
            dataclasses.replace(
                event,
                id=number + event.id,
                start=event.start + later,
                end=event.end + later,
                frames=tuple(first + index for index in event.frames),
                lead=first + event.lead,
            )
            for event in one.events
        ]
    for fault in one.faults:
        start = fault.start and fault.start + timedelta(days=4)
        end = fault.end and fault.end + timedelta(days=4)
        faults.append(dataclasses.replace(fault, start=start, end=end))
    night = _long_night(one.night)
    card = Card(one.card.root, tuple(frame.files for frame in frames), (), len(frames), 7 * one.card.size)
    return Triage(card, tuple(frames), night, tuple(said), tuple(events), tuple(faults))


def _long_night(night: Night) -> Night:
    told = told_of_itself()
    assert told.lat is not None
    assert told.lon is not None
    end = night.end + timedelta(days=WEEK_DAYS - 1)
    sky = night_sky(night.start, end, lat=told.lat, lon=told.lon, zone=parse_zone(told.tz or "+00:00"))
    summary = "Seven nights; the right flash stopped on the fifth."
    return dataclasses.replace(night, end=end, sky=sky, summary=summary)


def long_names(sample: Sample) -> Triage:
    """Return the sample night with very long names of files, a place nobody knows and odd characters."""
    one = sample.triage
    frames = tuple(
        dataclasses.replace(
            frame,
            files=(CardFile(f"DCIM/100NIGHT/{LONG_NAME}{frame.index:04d}.JPG", FileKind.JPEG, 7_000_000, 0),),
        )
        for frame in one.frames
    )
    return dataclasses.replace(one, frames=frames, night=dataclasses.replace(one.night, sky=None))


def damaged(sample: Sample) -> Triage:
    """Return a short night on which half the files cannot be read."""
    start = sample.triage.night.start
    problem = "NGT_0001.JPG ends after 12 % of its picture."
    frames = tuple(
        made.frame(at, start + timedelta(minutes=3, seconds=2 * at), problem=problem if at % 2 == 0 else None)
        for at in range(8)
    )
    event = Event(1, frames[0].time, frames[-1].time, tuple(range(8)), 1, EventKind.MIXED)
    night = Night(start, frames[-1].time, (), SetupSource.WORKED_OUT, None, "Half the files are damaged.")
    return made.triage(night, frames, (event,))


def quiet(sample: Sample) -> Triage:
    """Return the sample night without a fault and with one frame only."""
    one = sample.triage
    first = next(event for event in one.events if event.kind is EventKind.SUBJECT)
    frame = dataclasses.replace(one.frames[first.lead], index=0)
    event = Event(1, frame.time, frame.time, (0,), 0, first.kind)
    said = dataclasses.replace(one.judgements[first.lead], index=0)
    night = dataclasses.replace(one.night, summary="One visit.", setup_windows=())
    return Triage(one.card, (frame,), night, (said,), (event,), ())
