"""Flash fading: its light falls over hours before it stops."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.changes import Ramp, find_ramp, walk_back
from triage.diagnose.flash_stopped import explain_stopped
from triage.diagnose.lamp import Explanation, Lamp, misfit
from triage.diagnose.timeline import Flags, Row
from triage.records.diagnosis import FaultKind

_FEWEST = 6
_SURE = 0.95
_LEAST_SURE = 0.55
_LEAST_FALL = 0.04
_NOTHING = 0.12  # output up to which a lamp may be off, stray light of the other one included
_SEEN_FALLING = 3  # fewest frames on the way down
_SHOWS = 0.9  # output from which the fall can be seen above the noise


def explain_fading(lamp: Lamp) -> Explanation | None:
    """Explain a lamp by a steady fall from one frame on, with or without a stop at the end.

    Parameters
    ----------
    lamp : Lamp
        Its frames.

    Returns
    -------
    Explanation or None
        None where the output does not fall, or falls too fast to be called fading.
    """
    everything = np.ones(len(lamp.places), np.bool_)
    stop = explain_stopped(lamp)
    best = lamp.from_its_best()
    tries = [_explain(best, everything)]
    if stop is not None:
        tries.append(_explain(best, lamp.places < stop.shown[0]))
    found = [one for one in tries if one is not None]
    return min(found, key=lambda one: one.cost) if found else None


def _explain(lamp: Lamp, alive: Flags) -> Explanation | None:
    """Fit a fall to the frames before a stop, if there is one."""
    # Frames that are off among lit ones say nothing of a slow fall.
    told = alive & ~(lamp.off & ~_falling_tail(lamp))
    if told.sum() < _FEWEST:
        return None
    output = np.minimum(lamp.output[told], 1.0)  # brighter than full is full: dusk adds to a flash
    if np.sum(output < limits.LOW + _LEAST_FALL) < _SEEN_FALLING:
        return None
    ramp = find_ramp(lamp.seconds[told], output)
    if ramp is None or not _is_fading(ramp, lamp.seconds[told], output):
        return None
    expected = np.where(alive, 1.0, 0.0)
    expected[told] = np.clip(ramp.fitted, 0.0, None)
    cost = float(misfit(lamp.output, expected).sum()) + limits.PENALTY[FaultKind.FADING]
    first = walk_back(output, lamp.burst[told], ramp.place, rising=False, least=_LEAST_FALL)
    falling = np.flatnonzero(told)[first:]
    shown = np.concatenate(
        [falling[:1], falling[lamp.output[falling] < _SHOWS], np.flatnonzero(~alive & lamp.off)]
    )
    gone = np.flatnonzero((lamp.output < limits.OFF / 2) & _falling_tail(lamp))
    lost = (ramp.before - ramp.after) / max(ramp.before, 0.1)
    return Explanation(
        kind=FaultKind.FADING,
        cost=cost,
        shown=lamp.places[np.unique(shown)],
        certainty=min(_SURE, _LEAST_SURE + 0.7 * (lost - limits.DRY_LOSS) + 0.02 * len(falling)),
        lasting=True,
        figures={
            "before": ramp.before,
            "after": max(0.0, ramp.after),
            "hours": float(lamp.seconds[told][ramp.until] - lamp.seconds[falling[0]]) / 3600.0,
            "stopped": float(lamp.places[gone[0]]) if gone.size else -1.0,
        },
    )


def _falling_tail(lamp: Lamp) -> Flags:
    """Frames from which on the lamp never was healthy again: an output may fade to almost nothing."""
    healthy = np.flatnonzero(lamp.output > limits.LOW)
    last = int(healthy[-1]) if healthy.size else -1
    return np.arange(len(lamp.output)) > last


def _is_fading(ramp: Ramp, seconds: Row, output: Row) -> bool:
    """Whether a ramp is deep enough, long enough, and seen on its way down: a stop has nothing between."""
    lost = (ramp.before - ramp.after) / max(ramp.before, 0.1)
    lasted = float(seconds[ramp.until] - seconds[max(0, ramp.place - 1)])
    way = output[ramp.place : ramp.until + 1]
    between = (way < _SHOWS * ramp.before) & (way > max(_NOTHING, ramp.after + 0.05))
    return lost >= limits.DRY_LOSS and lasted >= limits.FADING_S and int(between.sum()) >= _SEEN_FALLING
