"""How flashes fail: their output over the night."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Moment:
    """What a failing flash knows of an exposure.

    Attributes
    ----------
    since : float
        Share of the night since the fault began.
    in_burst : int
        Which frame of its burst it is, from 0.
    quiet_s : float
        Seconds since the burst before.
    """

    since: float
    in_burst: int
    quiet_s: float


FADES_OVER = 0.38
"""Share of the night over which a fading flash sinks to nothing."""

SLEEPS_AFTER_S = 1200.0
"""After so many quiet seconds a flash that is slow to wake has gone to sleep."""

Output = Callable[[Moment, np.random.Generator], float]


def _stopped(_moment: Moment, _rng: np.random.Generator) -> float:
    return 0.0


def _fading(moment: Moment, _rng: np.random.Generator) -> float:
    left = 1.0 - moment.since / FADES_OVER
    return left if left > 0.08 else 0.0


def _misfires(_moment: Moment, rng: np.random.Generator) -> float:
    return 0.0 if rng.random() < 0.42 else 1.0


def _slow_wake(moment: Moment, _rng: np.random.Generator) -> float:
    return 0.0 if moment.in_burst == 0 and moment.quiet_s >= SLEEPS_AFTER_S else 1.0


def _slow_recycle(moment: Moment, _rng: np.random.Generator) -> float:
    return (1.0, 0.34, 0.16)[min(moment.in_burst, 2)]


OUTPUTS: dict[str, Output] = {
    "stopped": _stopped,
    "fading": _fading,
    "misfires": _misfires,
    "slow-wake": _slow_wake,
    "slow-recycle": _slow_recycle,
}
"""Output in units of the healthy one, by the fault's word."""


def outputs(fault: str, moments: Sequence[Moment], rng: np.random.Generator) -> list[float]:
    """Return the output at each moment; before the fault began (`since` below 0) it is whole."""
    output = OUTPUTS[fault]
    return [1.0 if moment.since < 0 else output(moment, rng) for moment in moments]
