"""Flash stopped: its light is there, then from one frame on it is gone for good."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.lamp import Explanation, Lamp, certainty, misfit
from triage.records.diagnosis import FaultKind

_BY_FRAMES = (0.4, 0.6, 0.75, 0.85, 0.9, 0.93, 0.95, 0.97)
_ONE_BURST = 0.7  # a single trip without light may be one that the next would have righted
_GONE = 0.85  # share of the frames from the stop on that must be without light


def explain_stopped(lamp: Lamp) -> Explanation | None:
    """Explain a lamp by one frame from which on it gives nothing.

    Parameters
    ----------
    lamp : Lamp
        Its frames.

    Returns
    -------
    Explanation or None
        None where its light is still there at the end.

    Notes
    -----
    The change point is the least-absolute-deviation one between two known levels, 1 and 0 (Bai 1995,
    Econometric Theory 11:403-436, from memory), which one pass over running sums finds exactly.
    """
    off = lamp.off
    if not off.size or not off[-1]:
        return None
    lit_cost = np.concatenate([[0.0], np.cumsum(misfit(lamp.output, 1.0))])
    dark_cost = np.concatenate([np.cumsum(misfit(lamp.output, 0.0)[::-1])[::-1], [0.0]])
    place = int(np.argmin(lit_cost[:-1] + dark_cost[:-1]))
    place += int(np.argmax(off[place:]))
    if np.mean(off[place:]) < _GONE:
        return None
    gone = off & (np.arange(len(off)) >= place)
    sure = certainty(int(gone.sum()), _BY_FRAMES)
    if lamp.bursts(gone) == 1:
        sure = min(sure, _ONE_BURST)
    return Explanation(
        kind=FaultKind.STOPPED,
        cost=float(lit_cost[place] + dark_cost[place]) + limits.PENALTY[FaultKind.STOPPED],
        shown=lamp.places[gone],
        certainty=sure,
        lasting=True,
        figures={
            "lit": float((~off[:place]).sum()),
            "gone": float(gone.sum()),
            "level": float(np.median(lamp.output[gone])),
        },
    )
