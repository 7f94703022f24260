"""Nights made up for the tests of the time line: an invented site, invented visits."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from random import Random

from triage.records.card import Card, CardFile, FileKind
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.event import Event, EventKind
from triage.records.finding import Finding, FindingKind, Judgement
from triage.records.frame import Capture, Frame
from triage.records.measurement import Light, Measurement
from triage.records.night import Night, SetupSource, Sky, SkySpan, Window
from triage.records.result import Triage

DUSK = datetime(2026, 10, 3, 17, 25)
SKY_STEPS = (
    (0, 0, "day"),
    (18, 34, "civil"),
    (19, 6, "nautical"),
    (19, 42, "astronomical"),
    (20, 18, "night"),
    (29, 24, "astronomical"),
    (30, 0, "nautical"),
    (30, 36, "civil"),
    (31, 8, "day"),
)
"""Hours and minutes from midnight at which each kind of sky begins."""


def frame(index: int, time: datetime, *, problem: str | None = None) -> Frame:
    path = f"DCIM/100NIGHT/NGT_{index + 1:04d}.JPG"
    file = CardFile(path, FileKind.JPEG, 7_000_000, 0)
    return Frame(index, f"{index:032x}", (file,), Capture(taken=time), time, problem=problem)


def sky(start: datetime, end: datetime) -> Sky:
    """A sky whose every day is like the next."""
    day = datetime(start.year, start.month, start.day) - timedelta(days=1)
    steps = []
    while day < end:
        steps += [(day + timedelta(hours=h, minutes=m), kind) for h, m, kind in SKY_STEPS[1:]]
        day += timedelta(days=1)
    spans = [
        SkySpan(max(a, start), min(b, end), kind)
        for (a, kind), (b, _) in pairwise(steps)
        if max(a, start) < min(b, end)
    ]
    moons = []
    rise = datetime(start.year, start.month, start.day, 22, 10) - timedelta(days=1)
    while rise < end:
        moons.append(Window(rise, rise + timedelta(hours=11)))
        rise += timedelta(hours=24, minutes=50)
    return Sky(DUSK, DUSK, tuple(spans), 0.42, tuple(moons))


def night(*, hours: float = 14.5, with_sky: bool = True, summary: str = "A made-up night.") -> Night:
    end = DUSK + timedelta(hours=hours)
    windows = (
        Window(DUSK, DUSK + timedelta(minutes=38)),
        Window(end - timedelta(minutes=12), end),
    )
    return Night(DUSK, end, windows, SetupSource.WORKED_OUT, sky(DUSK, end) if with_sky else None, summary)


def light(left: float | None, right: float | None) -> Light:
    return Light(0.01, {"flash-left": left, "flash-right": right}, 0.2)


def judgement(
    index: int, *kinds: FindingKind, left: float | None = 1.0, right: float | None = 1.0, unsure: bool = False
) -> Judgement:
    findings = tuple(Finding(kind, 0.9, "made up") for kind in kinds)
    return Judgement(index, findings, Measurement(light(left, right), None, 0.5, 0.0), unsure=unsure)


def fault(
    part: Part, kind: FaultKind, start: datetime | None, end: datetime | None = None, confidence: float = 0.9
) -> Fault:
    return Fault(
        part, kind, start, end, confidence, (0,), "It gave nothing in 14 frames.", "Change its cells."
    )


def bursts(
    starts: Sequence[datetime], sizes: Sequence[int], gap_s: float = 0.7
) -> tuple[list[Frame], list[Event]]:
    """One event for each start, its frames a fixed gap apart."""
    frames: list[Frame] = []
    events: list[Event] = []
    kinds = tuple(EventKind)
    for number, (start, size) in enumerate(zip(starts, sizes, strict=True), 1):
        first = len(frames)
        frames += [frame(first + k, start + timedelta(seconds=gap_s * k)) for k in range(size)]
        indexes = tuple(range(first, first + size))
        lead = indexes[size // 2]
        kind = kinds[number % len(kinds)]
        events.append(Event(number, frames[first].time, frames[-1].time, indexes, lead, kind))
    return frames, events


def visits(
    count: int, of: Night, *, seed: int = 7, largest: int = 9
) -> tuple[tuple[Frame, ...], tuple[Event, ...]]:
    """So many visits at random over a night."""
    rng = Random(seed)  # noqa: S311 - made-up visits, no secret
    length = (of.end - of.start).total_seconds()
    starts = sorted(of.start + timedelta(seconds=rng.uniform(0, length)) for _ in range(count))
    frames, events = bursts(starts, [rng.randint(1, largest) for _ in range(count)])
    return tuple(frames), tuple(events)


def triage(
    of: Night, frames: Sequence[Frame], events: Sequence[Event], faults: Sequence[Fault] = ()
) -> Triage:
    """The right flash stops a third into the night."""
    dies = of.start + (of.end - of.start) / 3
    rng = Random(3)  # noqa: S311 - made-up light, no secret
    judgements = []
    for each in frames:
        dead = each.time >= dies
        kinds = [FindingKind.HALF_LIT] if dead else []
        if rng.random() < 0.2:
            kinds.append(FindingKind.EDGE)
        right = rng.uniform(0, 0.03) if dead else rng.gauss(1.0, 0.05)
        left = None if each.time.hour in {8, 9, 17} else rng.gauss(1.0, 0.06)
        judgements.append(judgement(each.index, *kinds, left=left, right=right if left else None))
    card = Card("/card", tuple(each.files for each in frames), (), len(frames), 0)
    return Triage(card, tuple(frames), of, tuple(judgements), tuple(events), tuple(faults))


def rig_faults(of: Night) -> tuple[Fault, ...]:
    third = (of.end - of.start) / 3
    return (
        fault(Part.FLASH_RIGHT, FaultKind.STOPPED, of.start + third),
        fault(Part.LENS, FaultKind.FOGGED, of.start + third * 1.7, of.start + third * 2.6),
        fault(Part.TRIGGER, FaultKind.FALSE_FIRES, of.start + third * 0.9, of.start + third * 1.4, 0.4),
        fault(Part.CLOCK, FaultKind.WRONG, None),
        fault(Part.CARD, FaultKind.DAMAGED_FILES, of.end, of.end),
    )
