"""The recipe: from a card to the whole answer, as a generator of steps."""

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import tzinfo
from pathlib import Path
from typing import TypeVar

import numpy as np

from triage.diagnose.diagnose import diagnose
from triage.diagnose.summary import summarize
from triage.errors import PictureError, Stopped
from triage.events.group import group_by_time, group_events
from triage.events.setup import work_out_setup
from triage.findings.judge import judge_frames
from triage.ingest.card import list_card
from triage.ingest.decode import decode_measuring
from triage.ingest.header import Header, read_header
from triage.ingest.order import order_frames
from triage.measure.scene import Glance, Scene, glance
from triage.pipeline.darkness import natural_darkness
from triage.pipeline.place import place_of, zone_of
from triage.pipeline.spool import Spool
from triage.pipeline.steps import (
    CardListed,
    Finished,
    FrameJudged,
    HeadersProgress,
    PictureRead,
    Step,
    TimeLineReady,
)
from triage.records.arrays import Plane, Rgb
from triage.records.card import Card
from triage.records.frame import Frame
from triage.records.measurement import Measurement
from triage.records.night import Night, SetupSource, Sky
from triage.records.result import Options, Triage
from triage.sky.heaven import night_sky

Stop = Callable[[], bool]
Item = TypeVar("Item")
Answer = TypeVar("Answer")

WORKERS = max(1, os.cpu_count() or 1)
"""Pictures are decoded and measured on so many threads; the answer does not depend on it."""

_HEADERS_AT_ONCE = 64
"""Headers are reported in steps of so many."""


def never() -> bool:
    """Never stop."""
    return False


def run(root: Path, options: Options, *, stop: Stop = never) -> Iterator[Step]:
    """Triage a card.

    Parameters
    ----------
    root : Path
        A memory card, or a folder copied from one. It is only read.
    options : Options
        What the user told about the night.
    stop : callable, optional
        Asked between steps; True ends the work.

    Yields
    ------
    Step
        `CardListed`, `HeadersProgress` some times, `TimeLineReady`, `PictureRead` for each frame, `FrameJudged`
        for each frame, `Finished`.

    Raises
    ------
    CardError
        There is no card.
    OutputError
        There is no room for temporary files.
    Stopped
        The user stopped the work.
    """
    card = list_card(root)
    yield CardListed(card)
    with ThreadPoolExecutor(WORKERS) as pool, Spool() as spool:
        headers: list[Header] = []
        for header in _in_order(pool, lambda group: read_header(root, group), card.groups, stop):
            headers.append(header)
            if len(headers) % _HEADERS_AT_ONCE == 0:
                yield HeadersProgress(len(headers), len(card.groups))
        frames = order_frames(headers)
        place, zone = place_of(frames, options), zone_of(frames, options)
        night = _night(frames, options, place, zone)
        yield TimeLineReady(card, frames, night, group_by_time(frames))
        read = _Reading(list(frames), {})
        for frame, picture, seen in _in_order(pool, lambda each: _read(root, each), frames, stop):
            if picture is not None and seen is not None:
                spool.put(frame.index, picture)
                read.glances[frame.index] = seen
            read.frames[frame.index] = frame
            yield PictureRead(frame, picture, frame.index + 1, len(frames))
        frames = tuple(read.frames)
        dark = natural_darkness(frames, place, zone)
        measurements: list[Measurement | None] = [None] * len(frames)
        measured = _measure(pool, spool, read, dark, options, stop)
        for done, (index, measurement) in enumerate(measured, start=1):
            measurements[index] = measurement
            first_look = judge_frames([frames[index]], [measurement], night.setup_windows, SetupSource.GIVEN)[
                0
            ]
            yield FrameJudged(first_look, done, len(read.glances))
    yield Finished(_conclude(card, frames, measurements, night, options))


@dataclass(frozen=True, slots=True)
class _Reading:
    """What was read of the pictures so far: frames with their problems, and glances by index."""

    frames: list[Frame]
    glances: dict[int, Glance]


def _in_order(
    pool: ThreadPoolExecutor, work: Callable[[Item], Answer], items: Iterable[Item], stop: Stop
) -> Iterator[Answer]:
    """Map over items on all threads, a few ahead, and give the answers in order."""
    ahead: deque[Future[Answer]] = deque()
    try:
        for item in items:
            _check(stop)
            ahead.append(pool.submit(work, item))
            if len(ahead) > 4 * WORKERS:
                yield ahead.popleft().result()
        while ahead:
            _check(stop)
            yield ahead.popleft().result()
    finally:
        for future in ahead:
            future.cancel()


def _check(stop: Stop) -> None:
    """End the work if asked to."""
    if stop():
        msg = "Stopped. Nothing on the card was changed; decisions already made are kept."
        raise Stopped(msg)


def _read(root: Path, frame: Frame) -> tuple[Frame, Rgb | None, Glance | None]:
    """Decode a frame and take its coarse figures; a failure becomes part of the frame."""
    if frame.problem is not None:
        return frame, None, None
    try:
        picture = decode_measuring(root, frame)
    except PictureError as error:
        return replace(frame, problem=str(error)), None, None
    return frame, picture, glance(picture)


def _measure(
    pool: ThreadPoolExecutor, spool: Spool, read: _Reading, dark: Plane, options: Options, stop: Stop
) -> Iterator[tuple[int, Measurement]]:
    """Learn each view of the card, then measure its frames."""
    for members in _views(read, spool):
        scene = _scene(spool, read, members, dark, options)
        for place, measurement in enumerate(_in_order(pool, scene.measure, range(len(members)), stop)):
            yield members[place], measurement


def _views(read: _Reading, spool: Spool) -> list[list[int]]:
    """Part the frames by camera and by the shape of their pictures: each part is one view."""
    parts: dict[tuple[object, ...], list[int]] = {}
    for index in sorted(read.glances):
        capture = read.frames[index].capture
        key = (capture.make, capture.model, capture.serial, spool.shape(index))
        parts.setdefault(key, []).append(index)
    return list(parts.values())


def _scene(spool: Spool, read: _Reading, members: Sequence[int], dark: Plane, options: Options) -> Scene:
    """Learn one view."""
    start = read.frames[0].time
    return Scene(
        lambda place: spool.get(members[place]),
        [read.glances[index] for index in members],
        seconds=np.array([(read.frames[index].time - start).total_seconds() for index in members]),
        natural_dark=dark[list(members)],
        flashes=options.flashes,
    )


def _night(
    frames: Sequence[Frame], options: Options, place: tuple[float, float] | None, zone: tzinfo | None
) -> Night:
    """Lay out the stretch of time, before anything is measured."""
    start, end = min(frame.time for frame in frames), max(frame.time for frame in frames)
    sky: Sky | None = None
    if place is not None and zone is not None:
        sky = night_sky(start, end, lat=place[0], lon=place[1], zone=zone)
    source = SetupSource.GIVEN if options.setup else SetupSource.WORKED_OUT
    return Night(start, end, options.setup, source, sky, summary="")


def _conclude(
    card: Card,
    frames: tuple[Frame, ...],
    measurements: Sequence[Measurement | None],
    night: Night,
    options: Options,
) -> Triage:
    """Draw the conclusions that need the whole night."""
    if not options.setup:
        night = replace(night, setup_windows=work_out_setup(frames, measurements))
    judgements = judge_frames(frames, measurements, night.setup_windows, night.setup_source)
    events = group_events(frames, judgements)
    faults, review = diagnose(card, frames, judgements, events, night, flashes=options.flashes)
    night = replace(night, summary=summarize(frames, judgements, events, faults, night))
    return Triage(card, frames, night, judgements, events, faults, review)
