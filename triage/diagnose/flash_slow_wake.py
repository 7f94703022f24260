"""Flash slow to wake: after a long quiet spell the first frame is dark, the next ones are lit."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.lamp import Explanation, Lamp, certainty, misfit
from triage.diagnose.timeline import Flags, Row
from triage.records.diagnosis import FaultKind

_BY_WAKES = (0.3, 0.55, 0.75, 0.85, 0.9, 0.94, 0.96)
_WAKING_S = (0.0, 0.6, 1.2, 2.5, 4.0, 6.0)  # how long it may take after the first trip
_FEWEST = 2  # wakings that began dark; one may be any miss
_SOON_S = 60.0
_MOST_TRIED = 24
_KEEPS = 0.75  # share of the wakings that must show it


def explain_slow_wake(lamp: Lamp) -> Explanation | None:
    """Explain a lamp by falling asleep in every pause longer than one length.

    Parameters
    ----------
    lamp : Lamp
        Its frames.

    Returns
    -------
    Explanation or None
        None where no pause does it.
    """
    off = lamp.off
    if not off.any() or off.all():
        return None
    best: tuple[float, float, float, Flags] | None = None
    for quiet in _quiet_lengths(lamp):
        since = _since_waking(lamp, quiet)
        for waking in _WAKING_S:
            asleep = since <= waking
            cost = float(misfit(lamp.output, np.where(asleep, 0.0, 1.0)).sum())
            # Half-awake frames at the end of waking are as good as dark ones.
            if best is None or cost < best[0] - 1e-9:
                best = (cost, quiet, waking, asleep)
    if best is None:
        return None
    cost, quiet, waking, asleep = best
    shown = off & asleep
    wakes = asleep & (lamp.gap > quiet)
    if (off & wakes).sum() < _FEWEST or np.mean(off[wakes]) < _KEEPS or not _woke(lamp, asleep, quiet):
        return None
    return Explanation(
        kind=FaultKind.SLOW_WAKE,
        cost=cost + limits.PENALTY[FaultKind.SLOW_WAKE],
        shown=lamp.places[shown],
        certainty=certainty(int((off & wakes).sum()), _BY_WAKES),
        lasting=False,
        figures={
            "wakes": float(wakes.sum()),
            "dark": float((off & wakes).sum()),
            "quiet_s": float(np.min(lamp.gap[wakes])),
            "longest_s": float(np.max(lamp.gap[wakes & np.isfinite(lamp.gap)], initial=0.0)),
            "awake_s": float(np.max(lamp.gap[~asleep & ~lamp.low & np.isfinite(lamp.gap)], initial=0.0)),
            "waking_s": waking,
        },
    )


def _quiet_lengths(lamp: Lamp) -> list[float]:
    """Choose lengths of pause to try: between each two that the card has."""
    long = np.unique(lamp.gap[np.isfinite(lamp.gap) & (lamp.gap > limits.QUIET_S)])
    lengths = [limits.QUIET_S, *((long[:-1] + long[1:]) / 2.0)]
    if len(lengths) > _MOST_TRIED:
        lengths = [lengths[int(place)] for place in np.linspace(0, len(lengths) - 1, _MOST_TRIED)]
    return [float(length) for length in lengths]


def _since_waking(lamp: Lamp, quiet: float) -> Row:
    """Measure the time since the first frame after the last long pause; infinite before any."""
    woken = np.where(lamp.gap > quiet, lamp.seconds, -np.inf)
    return lamp.seconds - np.maximum.accumulate(woken)


def _woke(lamp: Lamp, asleep: Flags, quiet: float) -> bool:
    """Whether any trip that began dark was lit within the minute; without one, nothing has woken."""
    lit = ~lamp.low & ~asleep & (_since_waking(lamp, quiet) <= _SOON_S)
    began = np.where(lamp.gap > quiet, lamp.off, False)
    start = np.maximum.accumulate(np.where(lamp.gap > quiet, np.arange(len(lamp.gap)), 0))
    return bool(np.any(lit & began[start]))
