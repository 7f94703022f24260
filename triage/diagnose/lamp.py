"""One flash's output over the night, and what an explanation of it costs.

Every flash fault predicts which frames are lit. The explanations compete: each pays for the frames it
predicts wrongly and for its own freedom, and the cheapest wins (minimum description length; Rissanen 1978,
Automatica 14:465-471, from memory). So a flash that sleeps, one that recharges slowly, one that misfires and
one that died are told apart by the same frames, and none has to be ruled out first.
"""

from dataclasses import dataclass, replace

import numpy as np

from triage.diagnose import limits
from triage.diagnose.timeline import Flags, Places, Row, Timeline
from triage.records.diagnosis import FaultKind, Part

_TRIPS_AT_ITS_BEST = 3
_MOST = 1.15  # an output above its healthy one is healthy; more is a subject near the flash


@dataclass(frozen=True, slots=True)
class Lamp:
    """The frames of the night that tell about one flash, or about all of them together.

    Attributes
    ----------
    part : Part
        Which flash, or ``flash-link`` for all together.
    places : ndarray of int, shape (M,)
        Positions of the frames that needed flash, outside setup, in order.
    output : ndarray of float, shape (M,)
        Output in units of its usual one on this card, 0 to 1.15.
    gap : ndarray of float, shape (M,)
        Pause before each frame in seconds, whatever the frame before was.
    seconds : ndarray of float, shape (M,)
        Time since the card's first frame.
    burst : ndarray of int, shape (M,)
        Trip each frame belongs to.
    worked_before : bool
        Whether it gave light in setup, before the night.
    unbounded : ndarray of float, shape (M,), or None
        Output before it is bounded at 1.15, where a flash may have begun far above its usual.
    """

    part: Part
    places: Places
    output: Row
    gap: Row
    seconds: Row
    burst: Places
    worked_before: bool = False
    unbounded: Row | None = None

    @property
    def off(self) -> Flags:
        """Frames on which it gave (almost) nothing."""
        return self.output < limits.OFF

    @property
    def low(self) -> Flags:
        """Frames on which it was clearly weak, or off."""
        return self.output < limits.LOW

    def only(self, chosen: Flags) -> "Lamp":
        """Keep some of its frames."""
        return Lamp(
            self.part,
            self.places[chosen],
            self.output[chosen],
            self.gap[chosen],
            self.seconds[chosen],
            self.burst[chosen],
            self.worked_before,
            None if self.unbounded is None else self.unbounded[chosen],
        )

    def from_its_best(self) -> "Lamp":
        """Take its output in units of the best it kept up for some trips, where that is far above its usual.

        A flash that fades from the first hour on spends most of the night below the light it began with, so that
        its usual is no healthy one.
        """
        if self.unbounded is None:
            return self
        best = [float(np.median(self.unbounded[self.burst == trip])) for trip in np.unique(self.burst)]
        level = sorted(best)[-min(len(best), _TRIPS_AT_ITS_BEST)]
        if level <= _MOST:
            return self
        return replace(self, output=np.clip(self.unbounded / level, 0.0, _MOST))

    def bursts(self, chosen: Flags) -> int:
        """How many trips some of the frames come from."""
        return len(np.unique(self.burst[chosen]))


@dataclass(frozen=True, slots=True)
class Explanation:
    """What one kind of fault makes of a lamp.

    Attributes
    ----------
    kind : FaultKind
        The kind.
    cost : float
        Log likelihood it costs, its own freedom included.
    shown : ndarray of int
        Positions of the frames that show it, in order.
    certainty : float
        Most that can be said with so many frames, 0 to 1.
    lasting : bool
        Whether it lasted to the end of the card.
    figures : dict of str to float
        What its sentence needs.
    """

    kind: FaultKind
    cost: float
    shown: Places
    certainty: float
    lasting: bool
    figures: dict[str, float]


def lamps_of(timeline: Timeline) -> tuple[Lamp, ...]:
    """Take each flash's own frames out of the night.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    tuple of Lamp
        In the order left, right, third; without those that no frame tells about.
    """
    lamps = []
    for part, output in timeline.outputs.items():
        told = timeline.needs_flash & np.isfinite(output)
        night = told & ~timeline.setup
        if not np.any(night):
            continue
        usual = _in_usual_units(output[night])
        test_shots = output[told & timeline.setup]
        lamps.append(
            Lamp(
                part=part,
                places=np.flatnonzero(night),
                output=np.clip(usual, 0.0, _MOST),
                gap=timeline.gap[night],
                seconds=timeline.seconds[night],
                burst=timeline.burst[night],
                unbounded=usual,
                worked_before=bool(test_shots.size) and float(np.median(test_shots)) > limits.LOW,
            )
        )
    return tuple(lamps)


def _in_usual_units(output: Row) -> Row:
    lit = output[output > limits.OFF]
    usual = float(np.clip(np.percentile(lit, 75), 0.6, 1.3)) if lit.size else 1.0
    return np.maximum(output / usual, 0.0)


def misfit(output: Row, expected: Row | float) -> Row:
    """Weigh how badly each output fits what was expected.

    Parameters
    ----------
    output : ndarray of float, shape (M,)
        Measured, in usual units.
    expected : ndarray of float, shape (M,), or float
        Expected; being brighter than a full 1 is no misfit.

    Returns
    -------
    ndarray of float, shape (M,)
        Units of log likelihood (Laplace law), bounded, so that a wild value counts little.
    """
    error = np.where(
        np.asarray(expected) >= 1.0, np.maximum(expected - output, 0.0), np.abs(output - expected)
    )
    return np.minimum(error / limits.NOISE, limits.WILD)


def healthy_cost(lamp: Lamp) -> float:
    """Tell what it costs to call a lamp healthy all night."""
    return float(misfit(lamp.output, 1.0).sum())


def certainty(number: int, table: tuple[float, ...]) -> float:
    """Look up how sure so many frames can make one, in a table from one frame up; its last value holds on."""
    return table[min(number, len(table)) - 1] if number else 0.0
