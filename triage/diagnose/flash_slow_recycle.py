"""Flash slow to recharge: in every burst the first frame is lit, the following ones are dim or dark."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.lamp import Explanation, Lamp, certainty, misfit
from triage.diagnose.timeline import Flags, Row
from triage.records.diagnosis import FaultKind

_BY_BURSTS = (0.3, 0.6, 0.8, 0.88, 0.93, 0.96)
_TOO_SOON_S = (0.4, 0.7, 1.1, 1.6, 2.2, 3.2, 4.5, 6.5, 10.0, 15.0, limits.RECYCLE_S)
_ANY_DIM = 0.5  # cost of a dim frame: any output below the weak limit is as good as another
_KEEPS = 0.7


def explain_slow_recycle(lamp: Lamp) -> Explanation | None:
    """Explain a lamp by not being charged again within one length of pause, from one trip of the night on.

    Parameters
    ----------
    lamp : Lamp
        Its frames.

    Returns
    -------
    Explanation or None
        None where no length does it.
    """
    low = lamp.low
    if not low.any() or low.all():
        return None
    lit, dim = misfit(lamp.output, 1.0), _dim_cost(lamp.output)
    best: tuple[float, Flags, float] | None = None
    for too_soon in _TOO_SOON_S:
        hurried = lamp.gap <= too_soon
        if not hurried.any():
            continue
        # From which frame on: running sums give every answer in one pass.
        before = np.concatenate([[0.0], np.cumsum(lit)])
        after = np.concatenate([np.cumsum(np.where(hurried, dim, lit)[::-1])[::-1], [0.0]])
        place = int(np.argmin(before + after))
        cost = float(before[place] + after[place])
        if best is None or cost < best[0] - 1e-9:
            best = (cost, hurried & (np.arange(len(low)) >= place), too_soon)
    if best is None:
        return None
    cost, affected, too_soon = best
    shown = affected & low
    if not shown.any() or np.mean(low[affected]) < _KEEPS or not _leaders_lit(lamp, affected):
        return None
    return Explanation(
        kind=FaultKind.SLOW_RECYCLE,
        cost=cost + limits.PENALTY[FaultKind.SLOW_RECYCLE],
        shown=lamp.places[shown],
        certainty=certainty(lamp.bursts(shown), _BY_BURSTS),
        lasting=bool(low[affected][-1]),
        figures={
            "bursts": float(lamp.bursts(shown)),
            "frames": float(shown.sum()),
            "too_soon_s": float(np.max(lamp.gap[shown])),
            "level": float(np.median(lamp.output[shown])),
            "first": float(np.median(lamp.output[~affected])) if np.any(~affected) else float("nan"),
        },
    )


def _leaders_lit(lamp: Lamp, affected: Flags) -> bool:
    """Whether the frames that were given time, since it began, are lit: else the lamp is weak altogether."""
    since = np.arange(len(affected)) >= np.flatnonzero(affected)[0]
    leaders = lamp.output[since & ~affected]
    return not leaders.size or float(np.median(leaders)) > limits.LOW


def _dim_cost(output: Row) -> Row:
    return np.where(output < limits.LOW, _ANY_DIM, _ANY_DIM + misfit(output, limits.LOW))
