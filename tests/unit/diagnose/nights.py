"""Nights made of figures, with known faults: what measuring would give, noise, gaps and wild values included.

Visits come at random over the night in bursts of one to five frames; the light falls at dusk and comes back
at dawn; outputs scatter by 7 %, some are missing and a few are wild; some trips are empty. Every number here
is common practice, no source. The seed makes a night; the same seed makes the same one.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np

from triage.diagnose.diagnose import diagnose
from triage.events.group import group_events
from triage.records.card import Card, CardFile, FileKind
from triage.records.finding import Finding, FindingKind, Judgement
from triage.records.frame import Capture, Frame
from triage.records.measurement import Box, Light, Measurement, Side, Subject
from triage.records.night import Night, SetupSource, Sky, SkySpan, Window
from triage.records.result import Options

DUSK = datetime(2026, 10, 3, 17, 30)
DAWN = DUSK + timedelta(hours=13)
SIDES = ("flash-left", "flash-right")
PLAIN = Capture(width=6000, height=4000)


@dataclass
class Shot:
    """One frame in the making."""

    second: float
    burst: int
    in_burst: int
    gap: float
    setup: bool = False
    outputs: dict[str, float] = field(default_factory=lambda: dict.fromkeys(SIDES, 1.0))
    ambient: float = 0.0
    haze: float = 0.03
    shift: tuple[float, float] = (0.0, 0.0)
    sharpness: float = 0.9
    subject: bool = True
    cut: bool = False
    box: Box | None = None
    clipped: float = 0.0
    lean: float | None = None
    problem: str | None = None
    number: int = 0
    time: datetime = DUSK


@dataclass
class Made:
    """A night as the diagnosis gets it, and where its fault begins."""

    card: Card
    frames: tuple[Frame, ...]
    judgements: tuple[Judgement, ...]
    night: Night
    onset: datetime | None = None

    def faults(self):
        """Diagnose it."""
        return self.diagnosis()[0]

    def review(self, **words):
        """Say what went right."""
        return self.diagnosis(**words)[1]

    def diagnosis(self, **words):
        """Tell both."""
        said = Options(**words)
        return diagnose(self.card, self.frames, self.judgements, self.events(), self.night, options=said)

    def events(self):
        """Group it."""
        return group_events(self.frames, self.judgements)


Spoil = Callable[[list[Shot], np.random.Generator], int | None]
"""Changes shots in place; gives the position of the first one that shows the fault, if it has one."""


def _ambient(second: float) -> float:
    """Light falls by half every three minutes after sunset (an order of magnitude in ten), and comes back."""
    before_dawn = (DAWN - DUSK).total_seconds() - second
    return float(0.9 * 0.5 ** (min(max(0.0, second - 1800), max(0.0, before_dawn)) / 240.0))


def shoot(
    rng: np.random.Generator, *, visits: int | None = None, retrieval: bool = True, days: float = 0.0
) -> list[Shot]:
    """Make the shots of a healthy night."""
    length = (DAWN - DUSK).total_seconds() + 86400 * days
    count = int(rng.integers(6, 30)) if visits is None else visits
    starts = np.sort(rng.uniform(2400, length - 600, count))
    moments: list[tuple[float, bool]] = [(float(second), True) for second in (0.0, 25.0, 26.0, 300.0)]
    for start in starts:
        second = float(start)
        for _ in range(int(rng.integers(1, 4))):
            for _ in range(int(rng.integers(1, 6))):
                moments.append((second, False))
                second += float(rng.uniform(0.5, 1.5))
            second += float(rng.uniform(6, 25))
    if retrieval:
        moments += [(length + 60 + second, True) for second in (0.0, 3.0, 20.0)]
    moments.sort()
    shots, burst, in_burst, last = [], -1, 0, -1e9
    empty = False
    for second, setup in moments:
        gap = second - last
        if gap > 5:
            burst, in_burst = burst + 1, 0
            empty = bool(rng.random() < 0.25)
        shots.append(
            Shot(second, burst, in_burst, gap, setup, ambient=_ambient(second % 86400), subject=not empty)
        )
        shots[-1].cut = bool(rng.random() < 0.15)
        in_burst += 1
        last = second
    for number, shot in enumerate(shots, start=1):
        shot.number, shot.time = number, DUSK + timedelta(seconds=shot.second)
    return shots


def develop(
    shots: list[Shot],
    rng: np.random.Generator,
    *,
    noise: float = 0.07,
    onset: int | None = None,
    sky: bool = True,
    capture: Capture = PLAIN,
) -> Made:
    """Turn shots into records, as measured."""
    frames, judgements = [], []
    for index, shot in enumerate(shots):
        path = f"DCIM/{100 + (shot.number - 1) // 9999}NIGHT/NGT_{(shot.number - 1) % 9999 + 1:04d}.JPG"
        frames.append(
            Frame(
                index=index,
                key=f"{index:032x}",
                files=(CardFile(path, FileKind.JPEG, 3_000_000, 0),),
                capture=replace(capture, taken=shot.time),
                time=shot.time,
                problem=shot.problem,
            )
        )
        judgements.append(_judge(index, shot, rng, noise))
    card = Card(
        "/cards/night", tuple(frame.files for frame in frames), (), len(frames), 3_000_000 * len(frames)
    )
    setup = [shot for shot in shots if shot.setup]
    parts = [[s for s in setup if s.second < 1e4], [s for s in setup if s.second > 1e4]]
    windows = [Window(part[0].time, part[-1].time) for part in parts if part]
    times = [frame.time for frame in frames]
    night = Night(
        min(times), max(times), tuple(windows), SetupSource.WORKED_OUT, _sky(shots) if sky else None, ""
    )
    return Made(card, tuple(frames), tuple(judgements), night, None if onset is None else frames[onset].time)


def _sky(shots: list[Shot]) -> Sky:
    """The sky over the true times."""
    spans = []
    edges = [
        (-2.0, "day"),
        (0.5, "civil"),
        (1.0, "nautical"),
        (1.6, "astronomical"),
        (2.2, "night"),
        (10.8, "astronomical"),
    ]
    edges += [(11.4, "nautical"), (12.0, "civil"), (12.5, "day"), (24.0, "day")]
    for (start, kind), (end, _) in itertools.pairwise(edges):
        spans.append(SkySpan(DUSK + timedelta(hours=start), DUSK + timedelta(hours=end), kind))
    return Sky(DUSK + timedelta(hours=0.5), DUSK + timedelta(hours=12.5), tuple(spans), 0.4, ())


def _findings(shot: Shot, lit: float) -> list[FindingKind]:
    weakest = min(shot.outputs.values())
    night = shot.ambient < 0.3
    true = {
        FindingKind.SETUP: shot.setup,
        FindingKind.DARK: lit < 0.12,
        FindingKind.HALF_LIT: lit >= 0.12 and night and weakest < 0.2,
        FindingKind.CLIPPED: shot.clipped > 0,
        FindingKind.DIM: 0.12 <= lit < 0.6 and weakest > 0.2,
    }
    return [kind for kind, holds in true.items() if holds]


def _judge(index: int, shot: Shot, rng: np.random.Generator, noise: float) -> Judgement:
    if shot.problem is not None:
        return Judgement(index, (Finding(FindingKind.DAMAGED, 1.0, shot.problem),), None)
    shared = rng.normal(0, noise / 2)
    told: dict[str, float | None] = {}
    for name, output in shot.outputs.items():
        value = output * (1 + shared + rng.normal(0, noise)) + abs(rng.normal(0, 0.02))
        value = rng.uniform(0.4, 1.3) * output if rng.random() < 0.01 else value  # wild
        told[name] = None if rng.random() < 0.03 or shot.ambient > 0.8 else float(max(0.0, value))
    ambient = float(max(0.0, shot.ambient * rng.normal(1, 0.05) + abs(rng.normal(0, 0.005))))
    lit = max([shot.ambient, *shot.outputs.values()])
    findings = _findings(shot, lit)
    blind = 0.95 if lit < 0.12 else 0.05
    presence = 0.97 if shot.subject else 0.02
    subject = None
    if shot.subject and lit >= 0.12:
        box = shot.box or (Box(0.0, 0.4, 0.2, 0.7) if shot.cut else Box(0.4, 0.4, 0.6, 0.7))
        subject = Subject(box, 0.97, (Side.LEFT,) if shot.cut else ())
        if shot.cut:
            findings.append(FindingKind.EDGE)
    elif not shot.subject and lit >= 0.12:
        findings.append(FindingKind.EMPTY)
    measurement = Measurement(
        Light(ambient, told, lit * 0.2, shot.lean),
        subject,
        presence if lit >= 0.12 else 0.3,
        blind,
        scene_sharpness=None
        if blind > 0.5 or rng.random() < 0.05
        else float(shot.sharpness * rng.normal(1, 0.06)),
        clipped=shot.clipped,
        haze=None if blind > 0.5 else float(np.clip(shot.haze + rng.normal(0, 0.02), 0, 1)),
        shift_row=float(shot.shift[0] + rng.normal(0, 0.0015)),
        shift_col=float(shot.shift[1] + rng.normal(0, 0.0015)),
    )
    return Judgement(
        index, tuple(Finding(kind, 0.92, "") for kind in findings), measurement, unsure=blind > 0.5
    )


def make_night(
    seed: int,
    spoil: Spoil | None = None,
    *,
    noise: float = 0.07,
    sky: bool = True,
    capture: Capture = PLAIN,
    **shooting,
) -> Made:
    """Make a night from a seed, spoilt or not."""
    rng = np.random.default_rng(seed)
    shots = shoot(rng, **shooting)
    onset = spoil(shots, rng) if spoil else None
    return develop(shots, rng, noise=noise, onset=onset, sky=sky, capture=capture)


def at_night(shots: list[Shot]) -> list[int]:
    """Positions of frames that need flash and are not set-up."""
    return [place for place, shot in enumerate(shots) if not shot.setup and shot.ambient < 0.25]


def some_moment(shots: list[Shot], rng: np.random.Generator, low: float = 0.15, high: float = 0.8) -> int:
    """A position among the night frames, not too near the ends; an abrupt fault begins there."""
    places = at_night(shots)
    return places[int(len(places) * rng.uniform(low, high))]


# --- faults -------------------------------------------------------------------------------------------------


def stop(*names: str) -> Spoil:
    def spoil(shots, rng):
        onset = some_moment(shots, rng)
        for shot in shots[onset:]:
            shot.outputs.update(dict.fromkeys(names, 0.0))
        return onset

    return spoil


def dead_from_the_start(*names: str) -> Spoil:
    def spoil(shots, rng):
        for shot in shots:
            shot.outputs.update(dict.fromkeys(names, 0.0))
        return at_night(shots)[0]

    return spoil


def fade(*names: str) -> Spoil:
    def spoil(shots, rng):
        onset = some_moment(shots, rng, 0.1, 0.5)
        start = shots[onset].second
        last = shots[at_night(shots)[-1]].second
        hours = max(1.0, min(rng.uniform(3, 7), 1.1 * (last - start) / 3600))
        for shot in shots[onset:]:
            share = max(0.0, 1.0 - (shot.second - start) / (3600 * hours))
            shot.outputs.update(dict.fromkeys(names, share))
        return onset

    return spoil


def misfire(*names: str) -> Spoil:
    def spoil(shots, rng):
        rate = rng.uniform(0.15, 0.4)
        missed = [place for place in at_night(shots) if rng.random() < rate]
        for place in missed:
            shots[place].outputs.update(dict.fromkeys(names, 0.0))
        return missed[0] if missed else None

    return spoil


def sleep(*names: str) -> Spoil:
    def spoil(shots, rng):
        quiet = rng.choice([60, 300, 900])
        slept = [place for place, shot in enumerate(shots) if shot.gap > quiet]
        for place in slept:
            shots[place].outputs.update(dict.fromkeys(names, 0.0))
        return next((place for place in slept if place in set(at_night(shots))), None)

    return spoil


def recharge(*names: str) -> Spoil:
    def spoil(shots, rng):
        slow = [place for place, shot in enumerate(shots) if shot.in_burst and not shot.setup]
        for place in slow:
            level = float(rng.uniform(0.0, 0.45))
            shots[place].outputs.update(dict.fromkeys(names, level))
        return next((place for place in slow if place in set(at_night(shots))), None)

    return spoil


def fog(shots, rng):
    onset = some_moment(shots, rng, 0.15, 0.6)
    start, rise, level = shots[onset].second, rng.uniform(300, 3600), rng.uniform(0.4, 0.8)
    for shot in shots[onset:]:
        share = min(1.0, (shot.second - start) / rise + 0.15)
        cleared = shot.setup
        shot.haze = 0.03 if cleared else 0.03 + level * share
        shot.sharpness = 0.9 * (1 - 0.5 * shot.haze)
    return onset


def move(shots, rng):
    onset = some_moment(shots, rng)
    shift = tuple(rng.choice([-1, 1]) * rng.uniform(0.02, 0.08) for _ in range(2))
    for shot in shots[onset:]:
        shot.shift = shift
        shot.cut = shot.cut or rng.random() < 0.3
    return onset


def soften(shots, rng):
    onset = some_moment(shots, rng)
    factor = rng.uniform(0.25, 0.5)
    for shot in shots[onset:]:
        shot.sharpness *= factor
    return onset


def late(shots, rng):
    visit, whole = -1, False
    for shot in shots:
        if shot.gap > 45:
            visit, whole = visit + 1, bool(rng.random() < 0.1)
        shot.cut = not whole
    return next(place for place, shot in enumerate(shots) if shot.cut and shot.subject and not shot.setup)


def reset_clock(shots, rng):
    onset = some_moment(shots, rng)
    start = shots[onset].second
    for shot in shots[onset:]:
        shot.time = datetime(2020, 1, 1) + timedelta(seconds=shot.second - start)
    return onset


def wrong_clock(shots, rng):
    hours = float(rng.choice([-1, 1])) * float(rng.uniform(4, 11))
    for shot in shots:
        shot.time += timedelta(hours=hours)


def damage(shots, rng):
    places = sorted(int(place) for place in rng.choice(len(shots) - 1, 3, replace=False))
    for place in places:
        shots[place].problem = "the picture data end too early"
    return places[0]


def lose_numbers(shots, rng):
    onset = some_moment(shots, rng)
    lost = int(rng.integers(2, 6))
    for shot in shots[onset:]:
        shot.number += lost
    return onset


def blow(shots, rng):
    """Wind: a hundred empty trips within two hours."""
    start = shots[some_moment(shots, rng, 0.2, 0.7)].second
    extra = [replace(shots[-1], setup=False, subject=False, cut=False, problem=None) for _ in range(60)]
    seconds = np.sort(rng.uniform(start, start + 5400, len(extra)))
    for shot, second in zip(extra, seconds, strict=True):
        shot.second, shot.outputs = float(second), dict.fromkeys(SIDES, 1.0)
        shot.ambient, shot.time = _ambient(float(second)), DUSK + timedelta(seconds=float(second))
    first = extra[0]
    shots += extra
    shots.sort(key=lambda shot: shot.second)
    for number, shot in enumerate(shots, start=1):
        shot.number = number
    return shots.index(first)


def cut_short(shots, rng):
    """Stop the camera: no frames after a moment in the first half of the night."""
    onset = some_moment(shots, rng, 0.45, 0.6)
    del shots[onset + 1 :]
    return onset
