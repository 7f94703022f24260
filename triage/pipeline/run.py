"""The recipe: from a card to the whole answer, as a generator of steps."""

from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import tzinfo
from pathlib import Path

from triage.diagnose.diagnose import diagnose
from triage.diagnose.summary import summarize
from triage.events.group import group_by_time, group_events
from triage.events.setup import work_out_setup
from triage.findings.judge import judge_frames
from triage.ingest.card import list_card
from triage.ingest.exposure import Header
from triage.ingest.order import order_frames
from triage.pipeline import threads
from triage.pipeline.collecting import uncollected
from triage.pipeline.darkness import natural_darkness
from triage.pipeline.outward import Nearest, nobody
from triage.pipeline.place import place_of, zone_of
from triage.pipeline.recall import Answer, Asked, Recall, Stats, stats_of, with_problems
from triage.pipeline.steps import (
    CardListed,
    Finished,
    FrameJudged,
    HeadersProgress,
    Step,
    TimeLineReady,
)
from triage.pipeline.threads import Stop, Work, in_order, never, undivided
from triage.records.card import Card, CardFile
from triage.records.frame import Frame
from triage.records.measurement import Measurement
from triage.records.night import Night, SetupSource, Sky
from triage.records.result import Options, Triage
from triage.sky.heaven import night_sky
from triage.store.pictures import PictureStore

_HEADERS_AT_ONCE = 16
"""Headers are read and reported in batches of so many: handing them out one by one takes as long as reading them."""


def run(
    root: Path,
    options: Options,
    *,
    stop: Stop = never,
    cache: Path | None = None,
    nearest: Nearest = nobody,
) -> Iterator[Step]:
    """Triage a card.

    Parameters
    ----------
    root : Path
        A memory card, or a folder copied from one. It is only read.
    options : Options
        What the user told about the night.
    stop : callable, optional
        Asked between steps; True ends the work.
    cache : Path or None
        Folder in which what was found out is kept for the next time; None neither reads nor keeps anything.
    nearest : callable, optional
        Tells the index of the frame a person looks at, or None: frames near it are read and measured first.

    Yields
    ------
    Step
        `CardListed`, `HeadersProgress` some times, `TimeLineReady`, `PictureRead` for each frame, `FrameJudged`
        for each sound frame, `Finished`. Of a card whose answer is known from an earlier run: `CardListed`,
        `TimeLineReady`, `Finished`, and then `PictureRead` for each frame, for whoever wants to see them.

    Raises
    ------
    CardError
        There is no card.
    OutputError
        There is no room for temporary files.
    Stopped
        The user stopped the work.
    """
    with uncollected():
        card = list_card(root)
    yield CardListed(card)
    recall = Recall(cache)
    with ThreadPoolExecutor(threads.WORKERS) as pool:
        work = Work(root, pool, stop, nearest)
        headers = yield from _headers(work, card, recall)
        with uncollected():
            frames = order_frames(headers)
            place, zone = place_of(frames, options), zone_of(frames, options)
            night = _night(frames, options, place, zone)
            events = group_by_time(frames)
        yield TimeLineReady(card, frames, night, events)
        with uncollected():
            asked = Asked(frames, natural_darkness(frames, place, zone), options)
            known = asked.name_of_conclusion(card)
            triage = recall.conclusion(known, card, frames)
        looked = False
        if triage is None:
            answer = recall.answer(asked.name())
            looked = not answer.covers(len(frames))
            if looked:
                answer = yield from _look(work, recall, asked, night, answer)
            triage = _conclude(card, with_problems(frames, answer.problems), answer, night, options)
            if answer.lasting:
                recall.keep_conclusion(known, triage)
        yield Finished(triage)
        if not looked:
            yield from _look_again(work, recall, triage.frames)


def _look(
    work: Work, recall: Recall, asked: Asked, night: Night, known: Answer
) -> Generator[Step, None, Answer]:
    """Read and measure the pictures."""
    # Loading what decodes and measures takes longer than all else for a card that is known already.
    from triage.pipeline import looking  # noqa: PLC0415
    from triage.pipeline.spool import Spool  # noqa: PLC0415

    reading = looking.Reading(list(asked.frames))
    with PictureStore(recall.folder) as store, undivided():
        spool = Spool(store)
        yield from looking.read_pictures(work, spool, reading, known)
        answer = Answer(reading.problems(), lasting=reading.lasting)
        if known.problems != answer.problems:  # measured among other frames: that does not hold for these
            known = Answer()
        measured = looking.measure_frames(work, spool, reading, asked, known)
        try:
            for done, (index, measurement) in enumerate(measured, start=1):
                answer.measurements[index] = measurement
                yield _first_look(reading.frames[index], measurement, night, done, len(reading.glances))
        finally:
            recall.keep_answer(asked.name(), answer)
    return answer


def _first_look(frame: Frame, measurement: Measurement, night: Night, done: int, total: int) -> FrameJudged:
    """Judge one frame by itself."""
    (judgement,) = judge_frames([frame], [measurement], night.setup_windows, SetupSource.GIVEN)
    return FrameJudged(judgement, done, total)


def _look_again(work: Work, recall: Recall, frames: tuple[Frame, ...]) -> Iterator[Step]:
    """Bring the pictures of a card whose answer is known."""
    from triage.pipeline import looking  # noqa: PLC0415 - as above
    from triage.pipeline.spool import Spool  # noqa: PLC0415

    with PictureStore(recall.folder) as store:
        yield from looking.look_again(work, Spool(store), frames)


def _headers(work: Work, card: Card, recall: Recall) -> Generator[Step, None, list[Header]]:
    """Read the headers, but for those of files that have not changed; give them in file order."""
    with uncollected():
        known = recall.headers(card)
    changed = [group for group in card.groups if stats_of(group) not in known]
    if changed:
        yield from _read_headers(work, changed, known, len(card.groups))
        recall.keep_headers(card, known.values())
    return [known[stats_of(group)] for group in card.groups]


def _read_headers(
    work: Work, groups: list[tuple[CardFile, ...]], known: dict[Stats, Header], total: int
) -> Iterator[HeadersProgress]:
    """Read the headers of these files, and add them to those known."""
    from triage.ingest.header import read_header  # noqa: PLC0415 - loads every library that reads pictures

    def read(batch: Sequence[tuple[CardFile, ...]]) -> list[Header]:
        return [read_header(work.root, group) for group in batch]

    batches = (groups[at : at + _HEADERS_AT_ONCE] for at in range(0, len(groups), _HEADERS_AT_ONCE))
    for headers in in_order(work.pool, read, batches, work.stop):
        known.update((stats_of(header.files), header) for header in headers)
        if len(headers) == _HEADERS_AT_ONCE:  # the last few are told by what follows
            yield HeadersProgress(len(known), total)


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
    answer: Answer,
    night: Night,
    options: Options,
) -> Triage:
    """Draw the conclusions that need the whole night."""
    measurements = [answer.measurements.get(frame.index) for frame in frames]
    if not options.setup:
        night = replace(night, setup_windows=work_out_setup(frames, measurements))
    judgements = judge_frames(frames, measurements, night.setup_windows, night.setup_source)
    events = group_events(frames, judgements)
    faults, review = diagnose(card, frames, judgements, events, night, options=options)
    night = replace(night, summary=summarize(frames, judgements, events, faults, night))
    return Triage(card, frames, night, judgements, events, faults, review)
