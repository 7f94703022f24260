"""What happens in a night before a photograph: who comes when, what the weather does, what fails."""

import math
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np

from tests.benchmarks.photographs.guests import Guest

SET_UP = datetime(2026, 11, 12, 16, 12)
SUNSET = datetime(2026, 11, 12, 16, 48)
SUNRISE = datetime(2026, 11, 13, 7, 14)
COLLECTED = datetime(2026, 11, 13, 8, 40)

LUX_BY_HEIGHT = (
    (-18.0, 0.0008),
    (-12.0, 0.008),
    (-9.0, 0.15),
    (-6.0, 3.4),
    (-3.0, 50.0),
    (0.0, 400.0),
    (5.0, 4000.0),
    (12.0, 12000.0),
)
"""Light under a clear sky by the height of the sun in degrees: handbook figures for twilight, from memory."""

MOONLIT_LUX = 0.15
HEALTHY_LUX = 2600.0
"""Steady light that would expose as the healthy lamps do."""

KINDS = ("low", "middle", "middle", "tall", "round")


@dataclass(frozen=True, slots=True)
class Weather:
    """Weather and glass of a night.

    Attributes
    ----------
    wind : float
        0 to 1.
    flakes : str
        `snow`, `rain` or nothing.
    patches : bool
        The sun moves through leaves by day.
    moon : bool
        Full moon.
    """

    wind: float = 0.08
    flakes: str = ""
    patches: bool = False
    moon: bool = False


@dataclass(frozen=True, slots=True)
class Fault:
    """What fails, and when: `share` of the night from dusk on."""

    component: str
    fault: str
    share: float = 0.45


@dataclass(frozen=True, slots=True)
class Plan:
    """One night.

    Attributes
    ----------
    name : str
    photograph : int
        Which one.
    weather : Weather
    faults : tuple of Fault
    lamps : tuple of str
    day : bool
        The camera stands until noon of the next day and sets its exposure by itself.
    visits : int
    """

    name: str
    photograph: int
    weather: Weather = field(default_factory=Weather)
    faults: tuple[Fault, ...] = ()
    lamps: tuple[str, ...] = ("flash-left", "flash-right")
    day: bool = False
    visits: int = 22


@dataclass(frozen=True, slots=True)
class Take:
    """One exposure.

    Attributes
    ----------
    taken : datetime
    trip : int
        Which trip of the sensor.
    nth : int
        Which of its frames, from 0.
    guests : tuple of Guest
    powers : dict of str to float
    lux : float
        Light of the sky.
    setup : bool
    veil, blur : float
        Share of light that goes astray on the glass; blur in widths of the picture.
    moved : tuple of float
        Shift of the view in widths of the picture.
    """

    taken: datetime
    trip: int
    nth: int
    guests: tuple[Guest, ...]
    powers: dict[str, float]
    lux: float
    setup: bool = False
    veil: float = 0.0
    blur: float = 0.0004
    moved: tuple[float, float] = (0.0, 0.0)


TWO = ("flash-left", "flash-right")
WINDY, SNOW, RAIN = Weather(wind=0.8), Weather(flakes="snow"), Weather(flakes="rain", wind=0.3)

TROUBLES: tuple[tuple[str, Weather, tuple[Fault, ...], tuple[str, ...], bool], ...] = (
    ("calm", Weather(), (), TWO, False),
    ("left-stops", Weather(), (Fault("flash-left", "stopped"),), TWO, False),
    ("right-misfires", Weather(), (Fault("flash-right", "misfires", 0.0),), TWO, False),
    ("all-stop", Weather(), (Fault("flash-link", "stopped", 0.55),), TWO, False),
    ("slow-wake", Weather(), (Fault("flash-link", "slow-wake", 0.0),), TWO, False),
    ("left-slow-recycle", Weather(), (Fault("flash-left", "slow-recycle", 0.0),), TWO, False),
    ("right-fades", Weather(), (Fault("flash-right", "fading", 0.25),), TWO, False),
    ("fogs", Weather(), (Fault("lens", "fogged", 0.4),), TWO, False),
    ("knocked", Weather(), (Fault("aim", "moved", 0.5),), TWO, False),
    ("focus-slips", Weather(), (Fault("focus", "soft", 0.4),), TWO, False),
    ("wind-false-fires", WINDY, (Fault("trigger", "false-fires", 0.0),), TWO, False),
    ("camera-stops", Weather(), (Fault("camera", "stopped-early", 0.5),), TWO, False),
    ("windy", WINDY, (), TWO, False),
    ("snow", SNOW, (), TWO, False),
    ("rain", RAIN, (), TWO, False),
    ("sunny-day", Weather(patches=True, wind=0.3), (), TWO, True),
    ("third-stops", Weather(), (Fault("flash-3", "stopped"),), (*TWO, "flash-3"), False),
    ("one-flash", Weather(), (), ("flash-right",), False),
    (
        "left-stops-fogs",
        Weather(),
        (Fault("flash-left", "stopped", 0.3), Fault("lens", "fogged", 0.65)),
        TWO,
        False,
    ),
    (
        "knocked-right-stops",
        Weather(),
        (Fault("aim", "moved", 0.35), Fault("flash-right", "stopped", 0.65)),
        TWO,
        False,
    ),
    ("right-stops-early", Weather(), (Fault("flash-right", "stopped", 0.06),), TWO, False),
    ("moonlit", Weather(moon=True), (), TWO, False),
    ("windy-left-stops", WINDY, (Fault("flash-left", "stopped", 0.6),), TWO, False),
    ("snow-right-stops", SNOW, (Fault("flash-right", "stopped", 0.5),), TWO, False),
    ("left-slow-wake", Weather(), (Fault("flash-left", "slow-wake", 0.0),), TWO, False),
    ("all-slow-recycle", Weather(), (Fault("flash-link", "slow-recycle", 0.0),), TWO, False),
    ("windy-day", Weather(wind=0.7), (), TWO, True),
)


def plans(photographs: int) -> tuple[Plan, ...]:
    """Deal the troubles out over the photographs."""
    return tuple(
        Plan(name, index % photographs, weather, faults, lamps, day)
        for index, (name, weather, faults, lamps, day) in enumerate(TROUBLES)
    )


def sky_lux(when: datetime, *, moon: bool) -> float:
    """Return the light of the sky: the sun climbs a degree in 6.3 minutes near the horizon, less when high."""
    below = max((SUNSET - when) / timedelta(minutes=6.3), (when - SUNRISE) / timedelta(minutes=6.3))
    height = below if below < 5 else 5 + 9 * (1 - math.exp(-(below - 5) / 14))
    degrees, lux = zip(*LUX_BY_HEIGHT, strict=True)
    logarithm = float(np.interp(height, degrees, np.log10(lux)))
    return float(10**logarithm) + (MOONLIT_LUX if moon else 0.0)


def night_of(plan: Plan, rng: np.random.Generator) -> tuple[tuple[Take, ...], dict[Fault, datetime]]:
    """Let a night pass: every exposure, and when each fault began."""
    end = COLLECTED + timedelta(hours=5) if plan.day else COLLECTED
    dusk = SUNSET + timedelta(minutes=30)
    begins = {fault: dusk + (SUNRISE - dusk) * fault.share for fault in plan.faults}
    moments = _trips(plan, end, rng)
    quiet = next((begins[fault] for fault in plan.faults if fault.component == "camera"), None)
    takes: list[Take] = _operator(SET_UP, 0, rng, plan, frames=6)
    for trip, moment in enumerate(moments, start=1):
        if quiet is None or moment < quiet:
            takes += _visit(moment, trip, plan, rng)
    if quiet is None:
        takes += _operator(end, len(moments) + 1, rng, plan, frames=2)
    worn: list[Take] = []
    last = takes[0].taken
    for take in takes:
        worn.append(_worn(take, begins, take.taken - last, rng, plan))
        last = take.taken
    return tuple(worn), _first_shown(begins, worn)


def _trips(plan: Plan, end: datetime, rng: np.random.Generator) -> list[datetime]:
    """Choose moments: by night anything at any time, at least nine minutes apart."""
    start = SET_UP + timedelta(minutes=32)
    count = plan.visits * (2 if any(fault.component == "trigger" for fault in plan.faults) else 1)
    moments: list[datetime] = []
    while len(moments) < count:
        moment = start + (end - timedelta(minutes=15) - start) * float(rng.random())
        if all(abs(moment - other) > timedelta(minutes=9 if count < 30 else 4) for other in moments):
            moments.append(moment)
    return sorted(moments)


def _operator(at: datetime, trip: int, rng: np.random.Generator, plan: Plan, *, frames: int) -> list[Take]:
    takes = []
    for nth in range(frames):
        taken = at + timedelta(seconds=nth * 55 + float(rng.uniform(0, 20)))
        x, far = float(rng.uniform(0.15, 0.85)), float(rng.uniform(1.6, 5.0))
        guest = Guest(
            "person",
            x,
            far,
            bool(rng.random() < 0.5),
            float(rng.uniform(0.05, 0.4)),
            int(rng.integers(1 << 30)),
            1.15,
        )
        there = (guest,) if nth < frames - 1 or rng.random() < 0.5 else ()
        takes.append(_take(taken, trip, nth, there, plan, rng, setup=True))
    return takes


def _visit(moment: datetime, trip: int, plan: Plan, rng: np.random.Generator) -> list[Take]:
    """Somebody crosses and is seen in all, or the first, of a burst's frames; or the sensor fired for nothing."""
    false_fires = any(fault.component == "trigger" for fault in plan.faults)
    nobody = rng.random() < (0.75 if false_fires else 0.25)
    leftward = bool(rng.random() < 0.5)
    kind = str(rng.choice(KINDS))
    far = float(rng.uniform(2.4, 6.5))
    coat, seed, scale = (
        float(rng.choice([0.06, 0.12, 0.2, 0.35])),
        int(rng.integers(1 << 30)),
        float(rng.uniform(0.8, 1.2)),
    )
    x = float(np.clip(rng.normal(0.5, 0.2), 0.02, 0.98))
    stride = float(rng.choice([0.0, 0.03, 0.12])) * (-1 if leftward else 1)
    takes = []
    for nth in range(int(rng.integers(1, 5))):
        taken = moment + timedelta(seconds=1.3 * nth + float(rng.uniform(0, 0.1)))
        guest = Guest(kind, x + stride * nth, far, leftward, coat, seed, scale)
        takes.append(
            _take(taken, trip, nth, () if nobody or not -0.3 < guest.x < 1.3 else (guest,), plan, rng)
        )
    return takes


def _take(
    taken: datetime,
    trip: int,
    nth: int,
    guests: tuple[Guest, ...],
    plan: Plan,
    rng: np.random.Generator,
    *,
    setup: bool = False,
) -> Take:
    powers = {lamp: float(np.clip(rng.normal(1.0, 0.015), 0.95, 1.05)) for lamp in plan.lamps}
    return Take(taken, trip, nth, guests, powers, sky_lux(taken, moon=plan.weather.moon), setup)


def _worn(
    take: Take, begins: dict[Fault, datetime], pause: timedelta, rng: np.random.Generator, plan: Plan
) -> Take:
    """Let the faults do their work on an exposure."""
    powers = dict(take.powers)
    veil, blur, moved = take.veil, take.blur, take.moved
    for fault, begin in begins.items():
        since = (take.taken - begin) / timedelta(hours=1)
        if since < 0 or (take.setup and take.trip == 0):
            continue
        hit = plan.lamps if fault.component == "flash-link" else (fault.component,)
        for lamp in hit if fault.component.startswith("flash") else ():
            powers[lamp] *= _left(fault.fault, since, take, pause, rng)
        if fault.fault == "fogged":
            veil = min(0.75, since * 0.5)
        elif fault.fault == "moved":
            moved = (0.06, -0.025)
        elif fault.fault == "soft":
            blur = 0.006
    if take.setup:
        return replace(take, powers=powers)
    return replace(take, powers=powers, veil=veil, blur=blur, moved=moved)


def _left(fault: str, since: float, take: Take, pause: timedelta, rng: np.random.Generator) -> float:
    """Share of its light that a lamp still gives."""
    if fault == "stopped":
        return 0.0
    if fault == "fading":
        return max(0.0, 1.0 - since / 6.0)
    if fault == "misfires":
        return 0.0 if rng.random() < 0.35 else 1.0
    if fault == "slow-wake":
        return 0.0 if pause > timedelta(minutes=25) else 1.0
    return 1.0 if take.nth == 0 else (0.04, 0.25, 0.04)[take.nth % 3]


def _first_shown(begins: dict[Fault, datetime], takes: list[Take]) -> dict[Fault, datetime]:
    """Return when each fault first shows: on the first exposure that has it; a silence, with the last before it."""
    shown = {}
    for fault, begin in begins.items():
        lamps = [lamp for lamp in takes[0].powers if fault.component in {lamp, "flash-link"}]
        limit = 0.9 if fault.fault == "fading" else 0.6
        hit = [
            take.taken
            for take in takes
            if take.taken >= begin and (not lamps or min(take.powers[lamp] for lamp in lamps) < limit)
        ]
        shown[fault] = hit[0] if hit else takes[-1].taken
    return shown
