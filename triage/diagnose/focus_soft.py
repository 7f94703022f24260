"""Focus soft: the fixed scene itself is soft from a point on, or from the start."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.changes import find_step
from triage.diagnose.timeline import Places, Timeline
from triage.diagnose.words import counted, when
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.percent import percent

_BY_FRAMES = (0.0, 0.4, 0.55, 0.68, 0.78, 0.85, 0.9, 0.93)
_BLIND = 0.6
_HAZE = 0.35  # fog softens too, and is named as what it is
_NOISES = 5.0  # a loss must exceed the scatter of the figure this many times
_START_FRAMES, _START_TRIPS = 8, 4
_FROM_THE_START = 0.65


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
    """Name the focus where no subject of the night was sharp: the card has nothing sharp to compare with.

    What natural scenes and animals show falls off with its fineness by a law (Field 1987, Journal of the Optical
    Society of America A 4:2379-2394, from memory), so that fine over middle detail of a subject tells blur without
    a sharp frame: about 0.5 for a sharp one (people and a hand of open sequences: medians of 0.54 and 0.50).
    """
    measured = [timeline.judgements[place].measurement for place in places]
    sharpness = np.array(
        [
            one.subject_sharpness
            if one is not None and one.subject_sharpness is not None and timeline.subject[place]
            else np.nan
            for place, one in zip(places, measured, strict=True)
        ]
    )
    told = np.isfinite(sharpness) & ~(timeline.haze[places] >= limits.HAZY)
    shown = places[told]
    if len(shown) < _START_FRAMES or len(np.unique(timeline.burst[shown])) < _START_TRIPS:
        return None
    usual, best = (float(np.percentile(sharpness[told], share)) for share in (50, 90))
    if usual > limits.SOFT_SUBJECTS or best > limits.SHARPEST_SOFT_SUBJECT:
        return None
    return _fault(
        timeline,
        shown,
        confidence=_FROM_THE_START,
        say=(
            f"On none of {counted(len(shown), 'frame')} with a subject is it sharp, from "
            f"{when(timeline, int(shown[0]))} on: its fine detail has {percent(usual)} of the strength of coarser "
            f"detail, {percent(best)} at best, where about half is usual. The focus was not where the animals pass, or "
            "the glass is smeared: a look at the glass, then at a test frame at full size, decides."
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
