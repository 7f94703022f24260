"""What is said of a fault in a heading: its name, since when, and how sure."""

from datetime import datetime

from triage.diagnose.words import MONTHS
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.percent import percent

PART_TITLES = {
    Part.FLASH_LEFT: "Left flash",
    Part.FLASH_RIGHT: "Right flash",
    Part.FLASH_3: "Third flash",
    Part.FLASH_LINK: "Link to the flashes",
    Part.TRIGGER: "Trigger",
    Part.CAMERA: "Camera",
    Part.LENS: "Lens",
    Part.AIM: "Aim",
    Part.FOCUS: "Focus",
    Part.CLOCK: "Clock",
    Part.CARD: "Card",
}
FAULT_TITLES = {
    FaultKind.STOPPED: "stopped",
    FaultKind.FADING: "fading",
    FaultKind.MISFIRES: "misfires",
    FaultKind.SLOW_WAKE: "slow to wake",
    FaultKind.SLOW_RECYCLE: "slow to recycle",
    FaultKind.FALSE_FIRES: "fires at nothing",
    FaultKind.LATE: "fires late",
    FaultKind.STOPPED_EARLY: "stopped early",
    FaultKind.FOGGED: "fogged",
    FaultKind.MOVED: "moved",
    FaultKind.SOFT: "soft",
    FaultKind.RESET: "was reset",
    FaultKind.WRONG: "wrong",
    FaultKind.DAMAGED_FILES: "damaged files",
    FaultKind.MISSING_NUMBERS: "missing numbers",
    FaultKind.FULL: "full",
}
SURENESS = ((95, "almost sure"), (80, "quite sure"), (60, "likely"), (40, "perhaps"), (0, "doubtful"))
"""From how many percent on a chance is called so."""

LIKELY = 0.5
"""Faults below this are doubts, listed apart; as in the contract for a healthy night."""


def sureness(confidence: float) -> str:
    """Return a chance in words with its figure, for instance ``almost sure, 97 %``.

    Parameters
    ----------
    confidence : float
        0 to 1.

    Returns
    -------
    str
        The figure is cut, not rounded, so that it never claims more than was meant; it is never 100 %.
    """
    words, sure = sureness_parts(confidence)
    return f"{words}, {percent(sure / 100)}"


def sureness_parts(confidence: float) -> tuple[str, int]:
    """Return a chance as a word and its figure.

    Parameters
    ----------
    confidence : float
        0 to 1.

    Returns
    -------
    str
        Such as ``almost sure``.
    int
        Percent, cut, 0 to 99.
    """
    sure = min(99, int(confidence * 100 + 1e-6))
    return next(words for least, words in SURENESS if sure >= least), sure


def fault_title(fault: Fault) -> str:
    """Return a fault as a heading.

    Parameters
    ----------
    fault : Fault
        Any.

    Returns
    -------
    str
        For instance ``Right flash: stopped``.
    """
    return f"{PART_TITLES[fault.part]}: {FAULT_TITLES[fault.kind]}"


def fault_time(fault: Fault) -> str:
    """Return when a fault showed.

    Parameters
    ----------
    fault : Fault
        Any.

    Returns
    -------
    str
        Such as ``from 3 Oct 2026, 22:00:07, to the end``; the day is not said twice.
    """
    if fault.start is None:
        return "on the whole card"
    begin = moment(fault.start)
    if fault.end is None:
        return f"from {begin}, to the end"
    end = moment(fault.end)
    if begin == end:
        return f"at {begin}"
    day = f"{end.partition(',')[0]}, "
    return f"from {begin} to {end.removeprefix(day) if begin.startswith(day) else end}"


def moment(when: datetime) -> str:
    """Return day and time.

    Parameters
    ----------
    when : datetime
        Camera time.

    Returns
    -------
    str
        Such as ``3 Oct 2026, 22:00:07``.
    """
    return f"{when.day} {MONTHS[when.month - 1][:3]} {when.year}, {when:%H:%M:%S}"
