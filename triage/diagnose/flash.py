"""Which fault each flash has, if any, and whether it is one fault of all of them together."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from triage.diagnose import limits
from triage.diagnose.flash_fading import explain_fading
from triage.diagnose.flash_misfires import explain_misfires
from triage.diagnose.flash_slow_recycle import explain_slow_recycle
from triage.diagnose.flash_slow_wake import explain_slow_wake
from triage.diagnose.flash_stopped import explain_out_for_a_while, explain_stopped
from triage.diagnose.flash_words import put_in_words
from triage.diagnose.lamp import Explanation, Lamp, healthy_cost, lamps_of
from triage.diagnose.timeline import Flags, Timeline
from triage.records.diagnosis import Fault, FaultKind, Part

_EXPLAIN = (
    explain_stopped,
    explain_out_for_a_while,
    explain_fading,
    explain_slow_wake,
    explain_slow_recycle,
    explain_misfires,
)
_WORTH_SAYING = 0.3
_DOUBTFUL = 0.45  # what hardly shortens the account is less likely than not
_FEWEST_DARK = 2


def find_flash_faults(timeline: Timeline) -> list[Fault]:
    """Find the faults of the flashes and of what fires them.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    list of Fault
        At most one for each flash, and one for all together.
    """
    lamps = lamps_of(timeline)
    if not lamps:
        return _never_any_light(timeline)
    if len(lamps) == 1:
        return _faults(timeline, [(lamps[0], *_best(lamps[0]))], single=True)
    link, shared = _shown_by_all(lamps)
    together, sure = _best(link) if link is not None else (None, 0.0)
    found: list[tuple[Lamp, Explanation | None, float]] = []
    if link is not None and together is not None:
        found.append((link, together, sure))
    for lamp in lamps:
        own = lamp if together is None else lamp.only(~shared[lamp.places])
        if not own.places.size:
            continue
        explanation, sure = _best(own)
        # What is left of the kind that all show together is the same fault again, seen through noise.
        if explanation is not None and (together is None or together.kind is not explanation.kind):
            found.append((own, explanation, sure))
    return _faults(timeline, found)


def _best(lamp: Lamp) -> tuple[Explanation | None, float]:
    """Let the explanations compete; give the cheapest and how sure it is."""
    candidates = [found for explain in _EXPLAIN if (found := explain(lamp)) is not None]
    if not candidates:
        return None, 0.0
    candidates.sort(key=lambda one: one.cost)
    best = candidates[0]
    gain = healthy_cost(lamp) - best.cost
    if gain < limits.LEAST_GAIN and not _dark_all_night(lamp):
        return _doubtful(candidates, gain)
    sure = best.certainty
    if len(candidates) > 1:
        # The next best explanation takes its share, by the ratio of likelihoods.
        sure *= 1.0 / (1.0 + math.exp(-max(0.0, candidates[1].cost - best.cost)))
    return best, sure


def _doubtful(candidates: Sequence[Explanation], gain: float) -> tuple[Explanation | None, float]:
    """Say with little confidence what hardly shortens the account: a few misses do leave dark frames."""
    missed = next((one for one in candidates if one.kind is FaultKind.MISFIRES), None)
    if missed is not None and missed.figures["missed"] >= _FEWEST_DARK:
        return missed, min(_DOUBTFUL, missed.certainty)
    if gain <= 0.0:
        return None, 0.0
    return candidates[0], min(_DOUBTFUL, candidates[0].certainty) * gain / limits.LEAST_GAIN


def _dark_all_night(lamp: Lamp) -> bool:
    return bool(lamp.off.all())


def _shown_by_all(lamps: Sequence[Lamp]) -> tuple[Lamp | None, Flags]:
    """Find the frames that all flashes are weak on; where they are most of the weak ones, make one lamp."""
    size = max(int(lamp.places[-1]) for lamp in lamps) + 1
    output = np.full((len(lamps), size), np.nan)
    for row, lamp in enumerate(lamps):
        output[row, lamp.places] = lamp.output
    told = np.isfinite(output).all(axis=0)
    # Once one of them has stopped for good, its darkness is its own and says nothing about the others.
    before_stop = told & ~_stopped_alone(lamps, size)
    low = output < limits.LOW
    together = before_stop & low.all(axis=0)
    either = before_stop & low.any(axis=0)
    nothing = np.zeros(size, np.bool_)
    if together.sum() < _FEWEST_DARK or together.sum() < limits.COMMON * either.sum():
        return None, nothing
    keep = before_stop & ~(either & ~together)
    base = lamps[0]
    chosen = keep[base.places]
    places = base.places[chosen]
    link = replace(base.only(chosen), part=Part.FLASH_LINK, output=output[:, places].mean(axis=0))
    return replace(link, worked_before=any(lamp.worked_before for lamp in lamps)), together


def _stopped_alone(lamps: Sequence[Lamp], size: int) -> Flags:
    """Frames from the stop of one flash on, where another one was still lit after it."""
    alone = np.zeros(size, np.bool_)
    for lamp in lamps:
        stop = explain_stopped(lamp)
        if stop is None:
            continue
        start = int(stop.shown[0])
        others = [other for other in lamps if other is not lamp]
        lit = [np.sum(~other.off & (other.places >= start)) for other in others]
        if max(lit) >= max(2, 0.3 * stop.shown.size):
            alone[start:] = True
    return alone


def _faults(
    timeline: Timeline, found: Sequence[tuple[Lamp, Explanation | None, float]], *, single: bool = False
) -> list[Fault]:
    faults = []
    for lamp, explanation, sure in found:
        if explanation is None or sure < _WORTH_SAYING:
            continue
        say, remedy = put_in_words(timeline, lamp, explanation, single=single)
        shown = explanation.shown
        faults.append(
            Fault(
                part=lamp.part,
                kind=explanation.kind,
                start=timeline.time(int(shown[0])),
                end=None if explanation.lasting else timeline.time(int(shown[-1])),
                confidence=round(sure, 3),
                evidence=timeline.indexes(shown),
                say=say,
                remedy=remedy,
            )
        )
    return faults


def _never_any_light(timeline: Timeline) -> list[Fault]:
    """Name the link where no flash lit a single frame and the night was dark."""
    dark = np.flatnonzero(timeline.dark & ~timeline.setup & ~timeline.damaged)
    if dark.size < _FEWEST_DARK:
        return []
    output = np.zeros(dark.size)
    lamp = Lamp(
        Part.FLASH_LINK,
        dark,
        output,
        timeline.gap[dark],
        timeline.seconds[dark],
        timeline.burst[dark],
    )
    explanation = explain_stopped(lamp)
    return [] if explanation is None else _faults(timeline, [(lamp, explanation, explanation.certainty)])
