"""Flash fading: its light falls over hours before it stops."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.changes import Ramp, find_ramp
from triage.diagnose.flash_stopped import explain_stopped
from triage.diagnose.lamp import Explanation, Lamp, misfit
from triage.diagnose.timeline import Flags, Row
from triage.records.diagnosis import FaultKind

_FEWEST = 6
_SURE = 0.95
_LEAST_SURE = 0.55
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
    stop = explain_stopped(lamp)
    alive = lamp.places < stop.shown[0] if stop is not None else np.ones(len(lamp.places), np.bool_)
    # Frames that are off among lit ones say nothing of a slow fall.
    told = alive & ~(lamp.off & ~_falling_tail(lamp))
    if told.sum() < _FEWEST:
        return None
    ramp = find_ramp(lamp.seconds[told], lamp.output[told])
    if ramp is None or not _is_fading(ramp, lamp.seconds[told]):
        return None
    expected = np.where(alive, 0.0, 0.0)
    expected[told] = np.clip(ramp.fitted, 0.0, None)
    between = alive & ~told
    expected[between] = 1.0
    cost = float(misfit(lamp.output, expected).sum()) + limits.PENALTY[FaultKind.FADING]
    falling = np.flatnonzero(told)[ramp.place :]
    shown = falling[lamp.output[falling] < _SHOWS]
    if stop is not None:
        shown = np.concatenate([shown, np.flatnonzero(~alive & lamp.off)])
    shown = np.unique(np.concatenate([falling[:1], shown])).astype(np.intp)
    lost = (ramp.before - ramp.after) / max(ramp.before, 0.1)
    return Explanation(
        kind=FaultKind.FADING,
        cost=cost,
        shown=lamp.places[shown],
        certainty=min(_SURE, _LEAST_SURE + 0.7 * (lost - limits.DRY_LOSS) + 0.02 * len(falling)),
        lasting=True,
        figures={
            "before": ramp.before,
            "after": max(0.0, ramp.after),
            "hours": float(lamp.seconds[told][ramp.until] - lamp.seconds[told][ramp.place]) / 3600.0,
            "stopped": float(stop.shown[0]) if stop is not None else -1.0,
        },
    )


def _falling_tail(lamp: Lamp) -> Flags:
    """Frames from which on the lamp never was healthy again: an output may fade to almost nothing."""
    healthy = np.flatnonzero(lamp.output > limits.LOW)
    last = int(healthy[-1]) if healthy.size else -1
    return np.arange(len(lamp.output)) > last


def _is_fading(ramp: Ramp, seconds: Row) -> bool:
    lost = (ramp.before - ramp.after) / max(ramp.before, 0.1)
    lasted = float(seconds[ramp.until] - seconds[max(0, ramp.place - 1)])
    return lost >= limits.DRY_LOSS and lasted >= limits.FADING_S
