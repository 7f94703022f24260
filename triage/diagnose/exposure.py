"""How many stops more or less light the next night wants."""

from collections.abc import Sequence

import numpy as np

from triage.diagnose import limits
from triage.diagnose.optics import stops
from triage.diagnose.timeline import Flags, Timeline
from triage.diagnose.words import counted
from triage.records.diagnosis import Fault, Part
from triage.records.finding import FindingKind
from triage.records.percent import percent

_FEWEST = 3
_SHARE = 0.15  # of the frames that could show it
_MUCH = 0.5  # share of a subject burnt out from which one stop less may not be enough
_LEAST_STOPS = 1 / 3  # what cameras and flashes can be set by
_FLASHES = {Part.FLASH_LEFT, Part.FLASH_RIGHT, Part.FLASH_3, Part.FLASH_LINK, Part.LENS}


def exposure_advice(timeline: Timeline, faults: Sequence[Fault]) -> list[str]:
    """Say in stops what to change where frames are dim or subjects burnt out, though no part failed.

    Parameters
    ----------
    timeline : Timeline
        The night.
    faults : sequence of Fault
        The likely ones: frames they explain are left out.

    Returns
    -------
    list of str
        Sentences; none where all is well.
    """
    explained = {index for fault in faults if fault.part in _FLASHES for index in fault.evidence}
    free = ~timeline.setup & ~timeline.damaged
    free[list(explained)] = False
    return [said for said in (_dim(timeline, free), _clipped(timeline, free)) if said is not None]


def _found(timeline: Timeline, kind: FindingKind) -> Flags:
    return np.array([judgement.has(kind) for judgement in timeline.judgements], np.bool_)


def _dim(timeline: Timeline, free: Flags) -> str | None:
    """Tell how far flashes that fired stayed under their healthy light."""
    asked = free & timeline.needs_flash
    dim = asked & _found(timeline, FindingKind.DIM)
    number = int(dim.sum())
    if number < _FEWEST or number < _SHARE * asked.sum() or not timeline.outputs:
        return None
    outputs = np.stack([output[dim] for output in timeline.outputs.values()])
    told = outputs[:, np.isfinite(outputs).all(axis=0)]
    if not told.size:
        return None
    light = float(np.median(told.max(axis=0)))
    under = -stops(max(light, limits.OFF / 4))
    if under < _LEAST_STOPS:
        return None
    return (
        f"{counted(number, 'frame')} with all flashes firing got {under:.1f} stops less light than the healthy ones "
        f"of this card: ISO {_times(under)} times as high, or {_thirds(under)} more flash power, makes up for it. "
        "Charged cells and longer pauses in a burst may do so without; more power spends the cells sooner and "
        "glares more."
    )


def _clipped(timeline: Timeline, free: Flags) -> str | None:
    """Tell how much of the subjects is burnt out; how far above white it went, no picture knows."""
    shown = free & timeline.subject & timeline.needs_flash
    burnt = shown & _found(timeline, FindingKind.CLIPPED)
    number = int(burnt.sum())
    if number < _FEWEST or number < _SHARE * shown.sum():
        return None
    share = float(
        np.median(
            [
                found.clipped
                for place in np.flatnonzero(burnt)
                if (found := timeline.judgements[place].measurement)
            ]
        )
    )
    less, to = (2, "a quarter") if share >= _MUCH else (1, "half")
    return (
        f"On {number} of {counted(int(shown.sum()), 'night frame')} with a subject, {percent(share)} of it is pure "
        f"white. How far beyond white it went no picture can tell: take {counted(less, 'stop')} off, by {to} the "
        "flash power or the ISO, and look again. Less power also spares the cells and the animals."
    )


def _times(under: float) -> str:
    return f"{2.0**under:.1f}".removesuffix(".0")


def _thirds(under: float) -> str:
    """Say stops in the thirds that flashes are set by."""
    thirds = max(1, round(3 * under))
    whole, part = divmod(thirds, 3)
    words = " ".join(word for word in (str(whole) if whole else "", ("", "1/3", "2/3")[part]) if word)
    return f"{words} {'stop' if thirds <= 3 else 'stops'}"
