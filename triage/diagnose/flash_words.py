"""What is said of a flash fault, and what to do about it before dusk.

Remedies keep to the maker's word on cells and never ask for more light than before.
"""

from collections.abc import Callable

import numpy as np

from triage.diagnose.lamp import Explanation, Lamp
from triage.diagnose.timeline import Timeline
from triage.diagnose.words import counted, duration, lamp_name, when
from triage.records.diagnosis import FaultKind, Part
from triage.records.percent import percent

_CELLS = "charged cells of one kind, charged and carried as their maker says"


def put_in_words(
    timeline: Timeline, lamp: Lamp, explanation: Explanation, *, single: bool = False
) -> tuple[str, str]:
    """Say what happened to a flash, with figures, and what to do before dusk.

    Parameters
    ----------
    timeline : Timeline
        The night.
    lamp : Lamp
        The flash, or all together.
    explanation : Explanation
        What is wrong with it.
    single : bool, optional
        Whether the rig has only this one flash, which cannot be told from what fires it.

    Returns
    -------
    say, remedy : str
        Sentences.
    """
    say, remedy = _WORDS[explanation.kind](timeline, lamp, explanation)
    if single and explanation.kind is not FaultKind.FADING:
        say += " With one flash, the pictures cannot tell it from what fires it."
        remedy += " Press its test button first: if it flashes, look at the cable or the radio."
    return say[0].upper() + say[1:], remedy


def _stopped(timeline: Timeline, lamp: Lamp, explanation: Explanation) -> tuple[str, str]:
    shown, figures = explanation.shown, explanation.figures
    gone = counted(shown.size, "frame")
    time = when(timeline, int(shown[0]))
    until = ""
    if "again" in figures:
        until = f", and lit again at {when(timeline, int(figures['again']))}"
    if lamp.part is Part.FLASH_LINK:
        if figures["lit"]:
            had = f"all flashes stopped at the same frame, at {time}"
        else:
            had = f"no flash gave light on any night frame, from {time} on"
        say = (
            f"{had}: {gone} without flash{until}. Either what fires them (cable, radio, sender) failed, or all of "
            "them at once; "
            "the pictures cannot tell which, and the first is likelier."
        )
        remedy = (
            "Press the test button of each flash. If they flash, the link is at fault: check plugs, "
            "channel and the "
            f"sender's cells, then fire a test frame. If they stay dark, put in {_CELLS}."
        )
        return say, remedy
    name = lamp_name(lamp.part)
    others = _others_lit(timeline, lamp, explanation)
    if figures["lit"]:
        last = when(timeline, _last_lit(lamp, explanation))
        fires = counted(int(figures["lit"]), "fire")
        had = f"{name} gave light until {last}, {fires} of the night, and none from {time} on ({gone}){until}"
    else:
        before = ", though it lit the test shots" if lamp.worked_before else ""
        had = f"{name} gave no light on any of {counted(lamp.places.size, 'night frame')}{before}"
    remedy = (
        f"Press its test button. If it stays dark, put in {_CELLS}; if it flashes, check its own plug or "
        "receiver. "
        "Then fire a test frame."
    )
    return had + others + ".", remedy


def _others_lit(timeline: Timeline, lamp: Lamp, explanation: Explanation) -> str:
    outputs = [
        output[explanation.shown] for part, output in timeline.outputs.items() if part is not lamp.part
    ]
    lit = [float(np.nanmedian(one)) for one in outputs if np.any(np.isfinite(one))]
    if lit and max(lit) > 0.5:
        return f", while the other side kept {percent(max(lit))} of its usual light"
    return ""


def _last_lit(lamp: Lamp, explanation: Explanation) -> int:
    return int(lamp.places[(lamp.places < explanation.shown[0]) & ~lamp.off][-1])


def _fading(timeline: Timeline, lamp: Lamp, explanation: Explanation) -> tuple[str, str]:
    figures = explanation.figures
    time = when(timeline, int(explanation.shown[0]))
    say = (
        f"the light of {lamp_name(lamp.part).rstrip(',')} fell to "
        f"{percent(figures['after'] / max(figures['before'], 0.1))} of what it was within "
        f"{duration(3600 * figures['hours'])}, from {time} on"
    )
    if figures["stopped"] >= 0:
        say += f", and was gone at {when(timeline, int(figures['stopped']))}"
    remedy = (
        f"Put in {_CELLS}; in the cold they hold less. Where the picture allows, a lower power on the flash "
        "spends "
        "less and spares the animals as well."
    )
    return f"{say}. Emptying cells do that{_fires(lamp, int(explanation.shown[0]))}.", remedy


def _fires(lamp: Lamp, place: int) -> str:
    """Say how many fires of the night the cells gave before a frame."""
    before = int(np.sum(~lamp.off & (lamp.places < place)))
    return (
        f"; they gave {counted(before, 'fire')} of this night before, and those of the set-up"
        if before
        else ""
    )


def _misfires(timeline: Timeline, lamp: Lamp, explanation: Explanation) -> tuple[str, str]:
    missed, frames = int(explanation.figures["missed"]), int(explanation.figures["frames"])
    say = (
        f"{lamp_name(lamp.part)} missed {missed} of {counted(frames, 'night frame')} and lit the others, "
        "from "
        f"{when(timeline, int(explanation.shown[0]))} on, without a pattern of pauses or bursts. A loose "
        "plug, a "
        "disturbed radio or a sensor of the flash that sees too little can do that."
    )
    remedy = (
        "Seat and dry every plug, keep the radio away from the camera and metal, and fire ten test frames: "
        "all must "
        "be lit."
    )
    return say, remedy


def _slow_wake(timeline: Timeline, lamp: Lamp, explanation: Explanation) -> tuple[str, str]:
    figures = explanation.figures
    say = (
        f"{lamp_name(lamp.part)} gave no light on {int(figures['dark'])} of "
        f"{counted(int(figures['wakes']), 'first frame')} after a quiet spell of "
        f"{duration(figures['quiet_s'])} or more, "
        f"from {when(timeline, int(explanation.shown[0]))} on, and lit the frames that followed: it falls "
        f"asleep.{_standby(figures)}"
    )
    longest = f", {duration(figures['longest_s'])} at most last night" if figures["longest_s"] else ""
    remedy = (
        f"Switch off the flash's standby, or set it longer than the quiet spells{longest}; where it cannot be, let "
        "the sensor wake the flashes a second before the camera, and allow for cells that last less."
    )
    return say, remedy


def _standby(figures: dict[str, float]) -> str:
    """Say between which two pauses the flash fell asleep, and how long it took to wake."""
    said = ""
    if figures["awake_s"]:
        longest = duration(figures["awake_s"])
        said = f" After pauses of up to {longest} it was awake, so its standby lies between the two."
    if figures["waking_s"]:
        said += f" Waking took up to {figures['waking_s']:g} s."
    return said


def _slow_recycle(timeline: Timeline, lamp: Lamp, explanation: Explanation) -> tuple[str, str]:
    figures = explanation.figures
    say = (
        f"{lamp_name(lamp.part)} lit the first frame of a burst but gave {percent(figures['level'])} of the "
        "usual light on "
        f"{counted(int(figures['frames']), 'following frame')} in "
        f"{counted(int(figures['bursts']), 'burst')}, from "
        f"{when(timeline, int(explanation.shown[0]))} on: it is not charged again within "
        f"{figures['too_soon_s']:.1f} s."
    )
    remedy = (
        "Set the flash to a lower power, which charges faster, or the camera to longer pauses in a burst; "
        "put in "
        f"{_CELLS}."
    )
    return say, remedy


_WORDS: dict[FaultKind, Callable[[Timeline, Lamp, Explanation], tuple[str, str]]] = {
    FaultKind.STOPPED: _stopped,
    FaultKind.FADING: _fading,
    FaultKind.MISFIRES: _misfires,
    FaultKind.SLOW_WAKE: _slow_wake,
    FaultKind.SLOW_RECYCLE: _slow_recycle,
}
