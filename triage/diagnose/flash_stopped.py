"""Flash stopped: its light is there, then from one frame on it is gone, for good or until somebody mends it."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.lamp import Explanation, Lamp, certainty, misfit
from triage.diagnose.timeline import Row
from triage.records.diagnosis import FaultKind

_BY_FRAMES = (0.4, 0.6, 0.75, 0.85, 0.9, 0.93, 0.95, 0.97)
_ONE_BURST = 0.7  # a single trip without light may be one that the next would have righted
_AWHILE_FRAMES, _AWHILE_TRIPS = 4, 3
_SECOND_END = 3.0  # what a second change point must earn beside the first
_BACK_TRIPS, _STRAY = 3, 0.15  # trips, and share of frames without light, that show it was back
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


def explain_out_for_a_while(lamp: Lamp) -> Explanation | None:
    """Explain a lamp by one stretch without light, lit before and after it.

    Parameters
    ----------
    lamp : Lamp
        Its frames.

    Returns
    -------
    Explanation or None
        None where there is no such stretch, or it is a matter of a trip or two, which any miss may be.

    Notes
    -----
    The stretch is the one that gains most on a healthy lamp: the segment of largest sum (Bentley 1984,
    Communications of the ACM 27:865-873, from memory).
    """
    off = lamp.off
    if not off.any():
        return None
    lit, dark = misfit(lamp.output, 1.0), misfit(lamp.output, 0.0)
    first, last = _best_segment(lit - dark)
    if not _came_back(lamp, last):
        return None
    inside = np.zeros(len(off), np.bool_)
    inside[first : last + 1] = True
    gone = off & inside
    if gone.sum() < _AWHILE_FRAMES or lamp.bursts(gone) < _AWHILE_TRIPS or np.mean(off[inside]) < _GONE:
        return None
    return Explanation(
        kind=FaultKind.STOPPED,
        cost=float(np.where(inside, dark, lit).sum()) + limits.PENALTY[FaultKind.STOPPED] + _SECOND_END,
        shown=lamp.places[gone],
        certainty=certainty(int(gone.sum()), _BY_FRAMES),
        lasting=False,
        figures={
            "lit": float((~off[:first]).sum()),
            "gone": float(gone.sum()),
            "level": float(np.median(lamp.output[gone])),
            "again": float(lamp.places[last + 1]),
        },
    )


def _came_back(lamp: Lamp, last: int) -> bool:
    """Whether a lamp was lit again after a stretch, but for a stray frame: somebody may stand before it.

    One that stays weak to the end shows nothing of the kind.
    """
    after = np.arange(len(lamp.output)) > last
    if not after.any() or not lamp.off[-1]:
        return bool(after.any())
    stray = np.count_nonzero(after & lamp.off)
    return bool(lamp.bursts(after & ~lamp.low) >= _BACK_TRIPS and stray <= _STRAY * np.count_nonzero(after))


def _best_segment(gain: Row) -> tuple[int, int]:
    """Find the first and last position of the stretch with the largest sum."""
    sums = np.concatenate([[0.0], np.cumsum(gain)])
    lowest = np.minimum.accumulate(sums[:-1])
    last = int(np.argmax(sums[1:] - lowest))
    return int(np.argmin(sums[: last + 1])), last
