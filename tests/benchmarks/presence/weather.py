"""Nights of wind, sun, snow and rain before the photographs that may be looked at."""

from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from tests.benchmarks.photographs.card import made
from tests.benchmarks.photographs.plan import TWO, Fault, Plan, Weather, plans

SIZE = (900, 600)

KINDS: tuple[tuple[str, Weather, tuple[Fault, ...], bool], ...] = (
    ("windy", Weather(wind=0.8), (), False),
    ("wff", Weather(wind=0.6), (Fault("trigger", "false-fires", 0.0),), False),
    ("breeze", Weather(wind=0.35), (Fault("flash-right", "stopped", 0.5),), False),
    ("wday", Weather(wind=0.7), (), True),
    ("sday", Weather(patches=True, wind=0.3), (), True),
    ("snow", Weather(flakes="snow", wind=0.15), (), False),
    ("rain", Weather(flakes="rain", wind=0.3), (), False),
)


def cards(photographs: Sequence[Path], cache: Path, workers: int) -> list[tuple[Path, str]]:
    """Make the cards before every second photograph, where they are not there yet; return folder and name of each."""
    nights = [plan for plan in plans(len(photographs)) if plan.photograph % 2 == 0]
    nights += [
        Plan(f"wx-{kind}-{number}", number, weather, faults, TWO, day)
        for number in range(0, len(photographs), 2)
        for kind, weather, faults, day in KINDS
    ]
    make = partial(_made, photographs=photographs, cache=cache)
    with ProcessPoolExecutor(workers) as pool:
        return list(zip(pool.map(make, nights), [plan.name for plan in nights], strict=True))


def _made(plan: Plan, photographs: Sequence[Path], cache: Path) -> Path:
    return made(plan, photographs[plan.photograph], SIZE, cache / plan.name)
