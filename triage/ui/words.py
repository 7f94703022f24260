"""The records in plain English with figures, for panels, lists and the screen reader; no Qt."""

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import datetime

from triage.export import fault_words
from triage.records.decision import Verdict
from triage.records.event import Event, EventKind, Travel
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Capture, Frame
from triage.records.measurement import Side, Subject
from triage.ui.timeline.words import clock_words, count_words, days_words, list_words, sayable

FINDING_TITLES = {
    FindingKind.SETUP: "You at the rig",
    FindingKind.DARK: "Dark: no flash",
    FindingKind.HALF_LIT: "Half lit: a flash missing",
    FindingKind.DIM: "Dim: flashes weak",
    FindingKind.EMPTY: "Empty: nothing there",
    FindingKind.EDGE: "Cut by the border",
    FindingKind.SOFT: "Soft",
    FindingKind.FOGGED: "Fogged glass",
    FindingKind.CLIPPED: "Burnt out",
    FindingKind.DAMAGED: "File damaged",
}
SHORT = {
    FindingKind.SETUP: "of you at the rig",
    FindingKind.DARK: "dark",
    FindingKind.HALF_LIT: "half lit",
    FindingKind.DIM: "dim",
    FindingKind.EMPTY: "empty",
    FindingKind.EDGE: "cut by the border",
    FindingKind.SOFT: "soft",
    FindingKind.FOGGED: "fogged",
    FindingKind.CLIPPED: "burnt out",
    FindingKind.DAMAGED: "damaged",
}
EVENT_TITLES = {
    EventKind.SUBJECT: "something came",
    EventKind.EMPTY: "nothing there",
    EventKind.SETUP: "you at the rig",
    EventKind.DARK: "dark, cannot tell",
    EventKind.MIXED: "not yet told",
}
MIXED_AT_THE_END = "mixed"
PART_TITLES, FAULT_TITLES = fault_words.PART_TITLES, fault_words.FAULT_TITLES
VERDICT_WORDS = {Verdict.KEEP: "kept", Verdict.REJECT: "rejected"}
UNDECIDED = "undecided"
NARROW = fault_words.NARROW
sureness, fault_title, fault_time = fault_words.sureness, fault_words.fault_title, fault_words.fault_time
SIDE_WORDS = {Side.LEFT: "left", Side.TOP: "upper", Side.RIGHT: "right", Side.BOTTOM: "lower"}


def day(moment: datetime) -> str:
    """Return ``3 Oct 2026``."""
    return days_words(moment.date(), moment.date())


def clock(moment: datetime) -> str:
    """Return the time of day to the second."""
    return clock_words(moment, seconds=True)


def moment(when: datetime) -> str:
    """Return day and time without the year: ``3 Oct, 22:00:05``."""
    return f"{day(when).rpartition(' ')[0]}, {clock(when)}"


def finding_title(kind: FindingKind) -> str:
    """Return a finding as a heading."""
    return FINDING_TITLES[kind]


def event_title(event: Event, *, settled: bool = True) -> str:
    """Return what an event holds; `settled` once the whole card is judged."""
    if event.kind is EventKind.MIXED and settled:
        return MIXED_AT_THE_END
    return EVENT_TITLES[event.kind]


def subject_words(subject: Subject | None, *, unsure: bool) -> str:
    """Return what is said of the subject, in one or two sentences."""
    if unsure:
        where = f" The likeliest place covers {_share(subject)} of the frame." if subject else ""
        return f"Unsure: the tool cannot tell whether something is there. Look yourself.{where}"
    if subject is None:
        return "No subject found."
    cut = (
        f" It touches the {list_words(SIDE_WORDS[side] for side in subject.cut_by)} border."
        if subject.cut_by
        else ""
    )
    return f"A subject ({sureness(subject.confidence)}), covering {_share(subject)} of the frame.{cut}"


def _share(subject: Subject | None) -> str:
    percent = subject.box.area * 100 if subject else 0.0
    return f"less than 1{NARROW}%" if percent < 1 else f"{percent:.0f}{NARROW}%"


def light_rows(judgement: Judgement) -> list[tuple[str, str, float | None]]:
    """Return the light of a frame as rows of name, words, and the share to draw (None where unknown)."""
    if judgement.measurement is None:
        return []
    light = judgement.measurement.light
    names = {str(part): title for part, title in PART_TITLES.items()}
    rows: list[tuple[str, str, float | None]] = [
        (names.get(part, part), _flash_words(output), output)
        for part, output in sorted(light.flashes.items())
    ]
    ambient = (
        "cannot be told" if light.ambient is None else f"{light.ambient * 100:.0f}{NARROW}% of a lit frame"
    )
    return [*rows, ("Other light", ambient, light.ambient)]


def _flash_words(output: float | None) -> str:
    if output is None:
        return "cannot be told"
    return f"{output * 100:.0f}{NARROW}% of healthy" if output >= 0.005 else "nothing"


def exposure_time(seconds: float) -> str:
    """Return an exposure time as cameras write it: ``1/200 s``, ``0.5 s``, ``30 s``."""
    if 0 < seconds < 0.3:
        return f"1/{round(1 / seconds):,} s"
    return f"{seconds:.1f}".removesuffix(".0") + " s"


def capture_words(capture: Capture) -> str:
    """Return what the camera recorded, in one line; empty where it recorded nothing."""
    parts = []
    if capture.exposure_s is not None:
        parts.append(exposure_time(capture.exposure_s))
    if capture.f_number is not None:
        parts.append(f"f/{capture.f_number:g}")
    if capture.iso is not None:
        parts.append(f"ISO {capture.iso:g}")
    if capture.focal_mm is not None:
        parts.append(f"{capture.focal_mm:g} mm")
    if capture.temperature_c is not None:
        parts.append(f"{capture.temperature_c:g} °C")
    return ", ".join(parts)


def size_words(size: int) -> str:
    """Return bytes in the unit a card is sold in (1 MB is a million bytes)."""
    for unit, bytes_in in (("GB", 10**9), ("MB", 10**6), ("kB", 10**3)):
        if size >= bytes_in:
            return f"{size / bytes_in:.1f} {unit}"
    return count_words(size, "byte")


def files_words(frame: Frame) -> str:
    """Return the files of a frame with their size."""
    names = list_words(sayable(file.name) for file in frame.files)
    return f"{names} ({size_words(sum(file.size for file in frame.files))})"


def decided(verdicts: Mapping[int, Verdict], frames: Iterable[int]) -> str:
    """Return what was decided on some frames, for instance ``1 kept, 4 rejected, 2 undecided``."""
    tally = Counter(VERDICT_WORDS.get(verdict) if (verdict := verdicts.get(i)) else UNDECIDED for i in frames)
    order = (*VERDICT_WORDS.values(), UNDECIDED)
    return ", ".join(f"{tally[word]:,} {word}" for word in order if tally[word])


def event_sentence(
    event: Event, verdicts: Mapping[int, Verdict], *, unsure: bool = False, settled: bool = True
) -> str:
    """Return an event as one sentence for the list and the screen reader."""
    doubt = ", unsure" if unsure else ""
    frames = count_words(len(event.frames), "frame")
    title = event_title(event, settled=settled)
    return f"Event {event.id}, {moment(event.start)}, {title}{doubt}, {frames}: {decided(verdicts, event.frames)}"


def travel_words(travel: Travel | None) -> str:
    """Say which way and how fast a subject goes; nothing where that cannot be told."""
    if travel is None:
        return ""
    if travel.toward is None:
        return "The subject stays where it is."
    share = f"{travel.widths_per_s * 100:.0f}{NARROW}%"
    return f"The subject goes {travel.toward.value}, {share} of the frame's width a second."


def others_words(event: Event, judgements: Mapping[int, Judgement], index: int) -> str:
    """Return what the other frames of the event show."""
    others = [judgements.get(other) for other in event.frames if other != index]
    if not others:
        return "The only frame of its event."
    seen = Counter(_one_word(judgement) for judgement in others)
    parts = (f"{number} {word}" for word, number in seen.most_common())
    return f"{count_words(len(others), 'other frame')} in this event: {list_words(parts)}."


def _one_word(judgement: Judgement | None) -> str:
    if judgement is None:
        return "not yet judged"
    if judgement.unsure:
        return "unsure"
    if judgement.findings:
        return SHORT[judgement.findings[0].kind]
    return "with nothing against them"
