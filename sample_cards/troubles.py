"""What fails in a night: each fault changes the frames it touches, and says which they are."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from sample_cards.flash_faults import Moment, outputs
from sample_cards.night import Shot, TrueFault
from sample_cards.plan import Fault

CLOCK_START = datetime(2020, 1, 1)
"""Where the camera's clock begins when it lost its time."""


@dataclass(slots=True)
class Draft:
    """A frame as it is being told.

    Attributes
    ----------
    shot : Shot
        The exposure.
    in_burst : int
        Which of its burst, from 0.
    quiet_s : float
        Seconds since the frame before.
    share : float
        Where in the night, 0 to 1.
    by_night : bool
        Dark enough for a failing flash to show.
    """

    shot: Shot
    in_burst: int
    quiet_s: float
    share: float = 0.0
    by_night: bool = True


Touched = list[int]


def _during(drafts: list[Draft], fault: Fault) -> Touched:
    until = 9.0 if fault.until is None else fault.until
    return [index for index, draft in enumerate(drafts) if fault.at <= draft.share <= until]


def _change(draft: Draft, **values: object) -> None:
    draft.shot = replace(draft.shot, conditions=replace(draft.shot.conditions, **values))  # type: ignore[arg-type]


def _flash(drafts: list[Draft], fault: Fault, rng: np.random.Generator) -> Touched:
    """Fail one flash, or all of them together."""
    until = 9.0 if fault.until is None else fault.until
    quiet = [draft.quiet_s for draft in drafts]
    moments = [
        Moment(draft.share - fault.at if draft.share <= until else -1.0, draft.in_burst, quiet[index])
        for index, draft in enumerate(drafts)
    ]
    failing = {"flash-left": (0,), "flash-right": (1,), "flash-3": (2,)}.get(fault.component, (0, 1, 2))
    touched = []
    for index, (draft, output) in enumerate(zip(drafts, outputs(fault.fault, moments, rng), strict=True)):
        powers = tuple(
            round(power * (output if which in failing else 1.0), 4)
            for which, power in enumerate(draft.shot.powers)
        )
        draft.shot = replace(draft.shot, powers=powers)
        if output < 0.85 and draft.by_night and not draft.shot.setup:
            touched.append(index)
    return touched


def _fog(drafts: list[Draft], fault: Fault, _rng: np.random.Generator) -> Touched:
    """Mist the glass over within a fifth of the night; it clears as slowly."""
    touched = []
    until = 9.0 if fault.until is None else fault.until
    for index, draft in enumerate(drafts):
        grown = min(draft.share - fault.at, until - draft.share) / 0.2
        veil = fault.much * float(np.clip(grown, 0.0, 1.0))
        frost = fault.fault == "frosted"
        _change(draft, veil=round(veil, 3), frost=frost)
        if veil >= 0.2:
            touched.append(index)
    return touched


def _wet(drafts: list[Draft], fault: Fault, _rng: np.random.Generator) -> Touched:
    """Let drops gather on the glass within a seventh of the night; they dry as slowly."""
    touched = []
    until = 9.0 if fault.until is None else fault.until
    for index, draft in enumerate(drafts):
        grown = min(draft.share - fault.at, until - draft.share) / 0.15
        drops = fault.much * float(np.clip(grown, 0.0, 1.0))
        _change(draft, drops=round(drops, 3))
        if drops >= 0.3:
            touched.append(index)
    return touched


def _moved(drafts: list[Draft], fault: Fault, rng: np.random.Generator) -> Touched:
    touched = _during(drafts, fault)
    way = 1.0 if rng.random() < 0.5 else -1.0
    for index in touched:
        turn = fault.much * way
        _change(drafts[index], yaw_deg=turn, pitch_deg=-0.35 * fault.much, roll_deg=0.5 * turn)
    return touched


def _soft(drafts: list[Draft], fault: Fault, _rng: np.random.Generator) -> Touched:
    touched = _during(drafts, fault)
    for index in touched:
        _change(drafts[index], focus_m=fault.much)
    return touched


def _clock_reset(drafts: list[Draft], fault: Fault, _rng: np.random.Generator) -> Touched:
    touched = _during(drafts, fault)
    if touched:
        error = CLOCK_START + timedelta(minutes=3) - drafts[touched[0]].shot.taken
        for index in touched:
            _change(drafts[index], clock_error=error)
    return touched


def _clock_wrong(drafts: list[Draft], fault: Fault, _rng: np.random.Generator) -> Touched:
    touched = _during(drafts, fault)
    for index in touched:
        _change(drafts[index], clock_error=timedelta(hours=fault.much))
    return touched


def _stops(drafts: list[Draft], fault: Fault, _rng: np.random.Generator) -> Touched:
    """End the card: nothing is taken, or nothing can be written, any more."""
    kept = [draft for draft in drafts if draft.share <= fault.at]
    if fault.component == "card":
        kept[-1].shot = replace(kept[-1].shot, keeps=0.55)
    drafts[:] = kept
    return [len(kept) - 1]


def _damaged(drafts: list[Draft], fault: Fault, rng: np.random.Generator) -> Touched:
    touched = [index for index in _during(drafts, fault) if rng.random() < 0.3]
    for index in touched:
        keeps = 0.0 if rng.random() < 0.25 else float(rng.uniform(0.2, 0.9))
        drafts[index].shot = replace(drafts[index].shot, keeps=keeps)
    return touched


def _missing(drafts: list[Draft], fault: Fault, rng: np.random.Generator) -> Touched:
    touched = [
        index for index in _during(drafts, fault) if drafts[index].in_burst == 0 and rng.random() < 0.45
    ]
    for index in touched:
        drafts[index].shot = replace(drafts[index].shot, skips=int(rng.integers(2, 9)))
    return touched


def _as_told(drafts: list[Draft], fault: Fault, _rng: np.random.Generator) -> Touched:
    """Leave the frames: the story has been told with this fault in it."""
    return [index for index in _during(drafts, fault) if not drafts[index].shot.setup]


Trouble = Callable[[list[Draft], Fault, np.random.Generator], Touched]

TROUBLES: dict[tuple[str, str], Trouble] = {
    ("lens", "fogged"): _fog,
    ("lens", "frosted"): _fog,
    ("lens", "wet"): _wet,
    ("aim", "moved"): _moved,
    ("focus", "soft"): _soft,
    ("clock", "reset"): _clock_reset,
    ("clock", "wrong"): _clock_wrong,
    ("camera", "stopped-early"): _stops,
    ("card", "full"): _stops,
    ("card", "damaged-files"): _damaged,
    ("card", "missing-numbers"): _missing,
    ("trigger", "false-fires"): _as_told,
    ("trigger", "late"): _as_told,
}
"""What does it, by part and fault; flashes have their own."""


def _last(fault: Fault) -> bool:
    """Whether the fault changes when frames seem to be taken, which the others must not see."""
    return fault.component == "clock"


def _ends(fault: Fault) -> bool:
    return (fault.component, fault.fault) in {("camera", "stopped-early"), ("card", "full")}


def go_wrong(
    told: Sequence[Draft], faults: Sequence[Fault], rng: np.random.Generator
) -> tuple[list[Shot], tuple[TrueFault, ...]]:
    """Let things fail.

    Parameters
    ----------
    told : sequence of Draft
        The frames of a sound night, in order.
    faults : sequence of Fault
        What fails.
    rng : numpy.random.Generator
        Random state.

    Returns
    -------
    tuple
        The exposures, and the faults by the camera's clock, each from the first frame that shows it to the last.
    """
    drafts = [replace(draft) for draft in told]
    marks: list[tuple[Fault, Touched]] = []
    for fault in sorted(faults, key=lambda one: (_last(one), not _ends(one))):
        trouble = TROUBLES.get((fault.component, fault.fault), _flash)
        marks.append((fault, trouble(drafts, fault, rng)))
    shots = [draft.shot for draft in drafts]
    true = []
    for fault, touched in marks:
        if not touched:
            message = f"{fault.component} {fault.fault} at {fault.at} touches no frame"
            raise ValueError(message)
        first, last = shots[touched[0]].clock, shots[touched[-1]].clock
        word = "fogged" if fault.component == "lens" else fault.fault
        end = None if fault.until is None else last
        # Drops leave most of the picture as it was: worth a word, but nobody is wrong to keep silent.
        true.append(TrueFault(fault.component, word, first, end, minor=fault.fault == "wet"))
    return shots, tuple(sorted(true, key=lambda one: one.start))
