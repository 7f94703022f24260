"""The night in one sentence."""

from collections.abc import Sequence

from triage.diagnose.words import clock, counted, is_long
from triage.events.lead import has_likely_subject
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Frame
from triage.records.night import Night

_WORTH_SAYING = 0.5
_NAMES = {
    Part.FLASH_LEFT: "the left flash",
    Part.FLASH_RIGHT: "the right flash",
    Part.FLASH_3: "the third flash",
    Part.FLASH_LINK: "all flashes together",
    Part.CAMERA: "the camera",
    Part.LENS: "the lens",
    Part.TRIGGER: "the sensor",
    Part.CLOCK: "the clock",
}
_DID = {
    FaultKind.STOPPED: "stopped",
    FaultKind.FADING: "faded",
    FaultKind.MISFIRES: "missed frames",
    FaultKind.SLOW_WAKE: "woke too slowly",
    FaultKind.SLOW_RECYCLE: "charged too slowly",
    FaultKind.STOPPED_EARLY: "stopped",
    FaultKind.FOGGED: "was fogged",
    FaultKind.FALSE_FIRES: "fired at nothing",
    FaultKind.LATE: "fired late",
    FaultKind.RESET: "was reset",
    FaultKind.WRONG: "was wrong",
}
_WHOLE = {
    FaultKind.MOVED: "the view moved",
    FaultKind.SOFT: "the focus was lost",
    FaultKind.DAMAGED_FILES: "files on the card are damaged",
    FaultKind.MISSING_NUMBERS: "file numbers are missing",
    FaultKind.FULL: "the card was full",
}
_WITHOUT_TIME = frozenset(
    {FaultKind.LATE, FaultKind.MISSING_NUMBERS, FaultKind.DAMAGED_FILES, FaultKind.WRONG}
)


def summarize(
    frames: Sequence[Frame],
    judgements: Sequence[Judgement],
    events: Sequence[Event],
    faults: Sequence[Fault],
    night: Night,
) -> str:
    """Tell the night in one sentence.

    Parameters
    ----------
    frames : sequence of Frame
        In order of exposure.
    judgements : sequence of Judgement
        One for each frame, same order.
    events : sequence of Event
        Every frame in one.
    faults : sequence of Fault
        Worst first.
    night : Night
        The stretch of time.

    Returns
    -------
    str
        One sentence: the visits, how many show somebody, the worst fault, and what it cost.
    """
    if not frames:
        return "No frames."
    long = is_long(night.start, night.end)
    parts = [_visits(events, judgements, long=long)]
    worst = next((fault for fault in faults if fault.confidence >= _WORTH_SAYING), None)
    if worst is not None:
        others = sum(fault.confidence >= _WORTH_SAYING for fault in faults) - 1
        parts.append(_fault(worst, judgements, others, long=long))
    sentence = "; ".join(parts)
    return f"{sentence[0].upper()}{sentence[1:]}."


def _visits(events: Sequence[Event], judgements: Sequence[Judgement], *, long: bool) -> str:
    night = [event for event in events if event.kind is not EventKind.SETUP]
    if not night:
        return "only frames of the set-up" if events else "no visit"
    start, end = clock(night[0].start, long=long), clock(night[-1].end, long=long)
    between = f"at {start}" if start == end else f"between {start} and {end}"
    shown = sum(event.kind is EventKind.SUBJECT for event in night)
    unsure = sum(event.kind in {EventKind.DARK, EventKind.MIXED} for event in night)
    words = f"{counted(len(night), 'visit')} {between}, {_shown(len(night), shown)}"
    if unsure:
        words += f" and {unsure} that cannot be told"
    frames = sum(has_likely_subject(judgements[index]) for event in night for index in event.frames)
    return f"{words}, on {counted(frames, 'frame')}" if shown and frames else words


def _shown(visits: int, shown: int) -> str:
    if not shown:
        return "none surely with an animal or a person"
    if visits == 1:
        return "with an animal or a person"
    return f"{'all' if shown == visits else shown} with an animal or a person"


def _fault(worst: Fault, judgements: Sequence[Judgement], others: int, *, long: bool) -> str:
    words = _WHOLE.get(worst.kind) or f"{_NAMES[worst.part]} {_DID[worst.kind]}"
    if worst.start is not None and worst.kind not in _WITHOUT_TIME:
        lasting = worst.end is None and worst.kind is not FaultKind.STOPPED_EARLY
        preposition = (
            "at" if worst.kind in {FaultKind.STOPPED, FaultKind.STOPPED_EARLY, FaultKind.MOVED} else "from"
        )
        words += f" {preposition} {clock(worst.start, long=long)}"
        words += " on" if preposition == "from" and lasting else ""
    cost = _cost(judgements)
    if worst.part in {Part.FLASH_LEFT, Part.FLASH_RIGHT, Part.FLASH_3, Part.FLASH_LINK} and cost:
        words += f" and {cost}"
    return words + (f" ({counted(others, 'more fault')})" if others else "")


def _cost(judgements: Sequence[Judgement]) -> str:
    counts = [
        (sum(one.has(kind) for one in judgements), words)
        for kind, words in (
            (FindingKind.DARK, "dark"),
            (FindingKind.HALF_LIT, "half lit"),
            (FindingKind.DIM, "dim"),
        )
    ]
    said = [(number, words) for number, words in counts if number]
    if not said:
        return ""
    first, *rest = said
    verb = "is" if first[0] == 1 else "are"
    return ", ".join(
        [f"{counted(first[0], 'frame')} {verb} {first[1]}", *(f"{n} {words}" for n, words in rest)]
    )
