"""Focus soft: the fixed scene itself is soft from a point on, or from the start."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.changes import find_step
from triage.diagnose.timeline import Flags, Places, Timeline
from triage.diagnose.words import counted, percent, when
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.finding import FindingKind

_BY_FRAMES = (0.0, 0.4, 0.55, 0.68, 0.78, 0.85, 0.9, 0.93)
_BLIND = 0.6
_HAZE = 0.35  # fog softens too, and is named as what it is
_NOISES = 5.0  # a loss must exceed the scatter of the figure this many times
_START_SHARE = 0.75
_START_FRAMES = 6


def find_soft_focus(timeline: Timeline) -> Fault | None:
    """Find a lasting loss of the still scene's own sharpness.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Fault or None
        None where the scene stays sharp, or fog explains the loss.
    """
    told = np.isfinite(timeline.sharpness) & ~timeline.setup & ~timeline.damaged
    told &= ~(timeline.blind >= _BLIND) & ~(timeline.haze >= _HAZE)
    places = np.flatnonzero(told)
    if len(places) < 4:
        return None
    sharpness = timeline.sharpness[places]
    step = find_step(sharpness)
    if step is None or step.after[0] >= limits.SOFT * step.before[0]:
        return _soft_from_the_start(timeline, places)
    scatter = np.concatenate([sharpness[: step.place] - step.before, sharpness[step.place :] - step.after])
    if step.size < _NOISES * 1.4826 * float(np.median(np.abs(scatter))):
        return None
    limit = (step.before[0] + step.after[0]) / 2.0
    after, before = sharpness[step.place :] < limit, sharpness[: step.place] >= limit
    kept = float(min(np.mean(after), np.mean(before)))
    if kept < 0.8:
        return None
    shown = places[step.place :]
    fewest = min(step.place, len(shown))
    lost = 1.0 - float(step.after[0] / step.before[0])
    # At the limit it is as likely as not a loss worth the name; twice as much is one.
    sure = _BY_FRAMES[min(fewest, len(_BY_FRAMES)) - 1] * min(
        1.0, 0.5 + 0.5 * lost / (2.0 - 2.0 * limits.SOFT)
    )
    return _fault(
        timeline,
        shown,
        confidence=round(min(0.96, sure * kept), 3),
        say=(
            f"The still scene kept only {percent(1.0 - lost)} of its sharpness from "
            f"{when(timeline, int(shown[0]))} on, on "
            f"{counted(len(shown), 'frame')}, without haze: the focus changed, or the camera began to shake."
        ),
    )


def _soft_from_the_start(timeline: Timeline, places: Places) -> Fault | None:
    """Name the focus where nearly every frame was found soft: the card has nothing sharp to compare with."""
    soft = np.array([timeline.judgements[place].has(FindingKind.SOFT) for place in places], np.bool_)
    low: Flags = timeline.sharpness[places] < limits.SOFT
    shown = places[soft & low]
    if len(shown) < _START_FRAMES or len(shown) < _START_SHARE * len(places):
        return None
    return _fault(
        timeline,
        shown,
        confidence=round(0.5 + 0.35 * len(shown) / len(places), 3),
        say=(
            f"{counted(len(shown), 'frame')} of {len(places)} are soft all over, from "
            f"{when(timeline, int(shown[0]))} on: the "
            "focus was not where the animals pass."
        ),
    )


def _fault(timeline: Timeline, shown: Places, *, confidence: float, say: str) -> Fault:
    return Fault(
        part=Part.FOCUS,
        kind=FaultKind.SOFT,
        start=timeline.time(int(shown[0])),
        end=None,
        confidence=confidence,
        evidence=timeline.indexes(shown),
        say=say,
        remedy=(
            "Focus by hand on something standing where the animals pass, switch autofocus off, tape the "
            "ring, and "
            "check a test frame at full size before leaving."
        ),
    )
