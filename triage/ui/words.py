"""The records in plain English with figures, for panels, lists and the screen reader; no widgets."""

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import datetime

from triage.export import fault_words
from triage.records.decision import Verdict
from triage.records.diagnosis import Fault
from triage.records.event import Event, EventKind, Travel
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Capture, Frame
from triage.records.measurement import Side, Subject
from triage.ui.timeline.tips import NOT_TOLD, VERDICT_COUNTS, VERDICT_WORDS
from triage.ui.timeline.words import (
    clock_words,
    days_words,
    frames_words,
    list_words,
    sayable,
    short_days_words,
)
from triage.ui.tongue import counted, tr

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
COUNTS = {
    FindingKind.SETUP: "{count} of you at the rig",
    FindingKind.DARK: "{count} dark",
    FindingKind.HALF_LIT: "{count} half lit",
    FindingKind.DIM: "{count} dim",
    FindingKind.EMPTY: "{count} empty",
    FindingKind.EDGE: "{count} cut by the border",
    FindingKind.SOFT: "{count} soft",
    FindingKind.FOGGED: "{count} fogged",
    FindingKind.CLIPPED: "{count} burnt out",
    FindingKind.DAMAGED: "{count} damaged",
}
NOT_JUDGED, UNSURE = "{count} not yet judged", "{count} unsure"
CLEAN = ("{count} with nothing against it", "{count} with nothing against them")
EVENT_TITLES = {
    EventKind.SUBJECT: "something came",
    EventKind.EMPTY: "nothing there",
    EventKind.SETUP: "you at the rig",
    EventKind.DARK: "dark, cannot tell",
    EventKind.MIXED: "mixed",
}
PART_TITLES, FAULT_TITLES = fault_words.PART_TITLES, fault_words.FAULT_TITLES
SIZES = (("{size} GB", 10**9), ("{size} MB", 10**6), ("{size} kB", 10**3))
fault_time = fault_words.fault_time
EVEN_ODDS = 0.5
SIDE_WORDS = {Side.LEFT: "left", Side.TOP: "upper", Side.RIGHT: "right", Side.BOTTOM: "lower"}
GOING_WORDS = {
    Side.LEFT: "The subject goes left, {share} of the frame's width a second.",
    Side.RIGHT: "The subject goes right, {share} of the frame's width a second.",
}


def sureness(confidence: float) -> str:
    """Return a chance in words with its figure, for instance ``almost sure, 97 %``."""
    words, percent = fault_words.sureness_parts(confidence)
    return tr("{sure}, {percent}\u00a0%", sure=tr(words), percent=percent)


def fault_title(fault: Fault) -> str:
    """Return a fault as a heading: ``Right flash: stopped``."""
    return tr("{part}: {fault}", part=tr(PART_TITLES[fault.part]), fault=tr(FAULT_TITLES[fault.kind]))


def day(moment: datetime) -> str:
    """Return ``3 Oct 2026``."""
    return days_words(moment.date(), moment.date())


def clock(moment: datetime) -> str:
    """Return the time of day to the second."""
    return clock_words(moment, seconds=True)


def moment(when: datetime) -> str:
    """Return day and time without the year: ``3 Oct, 22:00:05``."""
    return tr("{day}, {time}", day=short_days_words(when.date(), when.date()), time=clock(when))


def finding_title(kind: FindingKind) -> str:
    """Return a finding as a heading."""
    return tr(FINDING_TITLES[kind])


def verdict_word(verdict: Verdict | None) -> str:
    """Return what is decided, in one word."""
    return tr(VERDICT_WORDS[verdict])


def event_title(event: Event, *, settled: bool = True) -> str:
    """Return what an event holds; `settled` once the whole card is judged."""
    if event.kind is EventKind.MIXED and not settled:
        return tr(NOT_TOLD)
    return tr(EVENT_TITLES[event.kind])


def told_subject(said: Judgement | None) -> Subject | None:
    """Return the subject that is spoken of and outlined: none where the odds are against it.

    Of a frame in which the tool is unsure it is the likeliest place, however unlikely.
    """
    subject = said.measurement.subject if said is not None and said.measurement is not None else None
    if said is None or subject is None or said.unsure:
        return subject
    return subject if subject.confidence >= EVEN_ODDS else None


def subject_words(subject: Subject | None, *, unsure: bool) -> str:
    """Return what is said of the subject, in one or two sentences."""
    if unsure and subject is not None:
        return tr(
            "Unsure: the tool cannot tell whether something is there. Look yourself. The likeliest place covers "
            "{share} of the frame.",
            share=_share(subject),
        )
    if unsure:
        return tr("Unsure: the tool cannot tell whether something is there. Look yourself.")
    if subject is None:
        return tr("No subject found.")
    sure, share = sureness(subject.confidence), _share(subject)
    if not subject.cut_by:
        return tr("A subject ({sure}), covering {share} of the frame.", sure=sure, share=share)
    return tr(
        "A subject ({sure}), covering {share} of the frame. It touches the {sides} border.",
        sure=sure,
        share=share,
        sides=list_words(tr(SIDE_WORDS[side]) for side in subject.cut_by),
    )


def _share(subject: Subject) -> str:
    percent = subject.box.area * 100
    if percent < 1:
        return tr("less than 1\u00a0%")
    return tr("{percent}\u00a0%", percent=f"{percent:.0f}")


def light_rows(judgement: Judgement) -> list[tuple[str, str, float | None]]:
    """Return the light of a frame as rows of name, words, and the share to draw (None where unknown)."""
    if judgement.measurement is None:
        return []
    light = judgement.measurement.light
    names = {str(part): tr(title) for part, title in PART_TITLES.items()}
    rows: list[tuple[str, str, float | None]] = [
        (names.get(part, part), _flash_words(output), output)
        for part, output in sorted(light.flashes.items())
    ]
    return [*rows, (tr("Other light"), _ambient_words(light.ambient), light.ambient)]


def _ambient_words(ambient: float | None) -> str:
    if ambient is None:
        return tr("cannot be told")
    return tr("{percent}\u00a0% of a lit frame", percent=f"{ambient * 100:.0f}")


def _flash_words(output: float | None) -> str:
    if output is None:
        return tr("cannot be told")
    if output < 0.005:
        return tr("nothing")
    return tr("{percent}\u00a0% of healthy", percent=f"{output * 100:.0f}")


def exposure_time(seconds: float) -> str:
    """Return an exposure time as cameras write it: ``1/200 s``, ``0.5 s``, ``30 s``."""
    if 0 < seconds < 0.3:
        return tr("1/{part} s", part=f"{round(1 / seconds):,}")
    return tr("{seconds} s", seconds=f"{seconds:.1f}".removesuffix(".0"))


def capture_words(capture: Capture) -> str:
    """Return what the camera recorded, in one line; empty where it recorded nothing."""
    parts = []
    if capture.exposure_s is not None:
        parts.append(exposure_time(capture.exposure_s))
    if capture.f_number is not None:
        parts.append(tr("f/{number}", number=f"{capture.f_number:g}"))
    if capture.iso is not None:
        parts.append(tr("ISO {speed}", speed=f"{capture.iso:g}"))
    if capture.focal_mm is not None:
        parts.append(tr("{length} mm", length=f"{capture.focal_mm:g}"))
    if capture.temperature_c is not None:
        parts.append(tr("{degrees} °C", degrees=f"{capture.temperature_c:g}"))
    return ", ".join(parts)


def size_words(size: int) -> str:
    """Return bytes in the unit a card is sold in (1 MB is a million bytes)."""
    for unit, bytes_in in SIZES:
        if size >= bytes_in:
            return tr(unit, size=f"{size / bytes_in:.1f}")
    return counted(size, "{count} byte", "{count} bytes")


def files_words(frame: Frame) -> str:
    """Return the files of a frame with their size."""
    names = list_words(sayable(file.name) for file in frame.files)
    size = size_words(sum(file.size for file in frame.files))
    return tr("{names} ({size})", names=names, size=size)


def decided(verdicts: Mapping[int, Verdict], frames: Iterable[int]) -> str:
    """Return what was decided on some frames, for instance ``1 kept, 4 rejected, 2 undecided``."""
    tally = Counter(verdicts.get(index) for index in frames)
    return ", ".join(
        counted(tally[verdict], words, words) for verdict, words in VERDICT_COUNTS.items() if tally[verdict]
    )


def event_sentence(
    event: Event, verdicts: Mapping[int, Verdict], *, unsure: bool = False, settled: bool = True
) -> str:
    """Return an event as one sentence for the list and the screen reader."""
    text = (
        "Event {event}, {when}, {title}, unsure, {frames}: {decided}"
        if unsure
        else "Event {event}, {when}, {title}, {frames}: {decided}"
    )
    return tr(
        text,
        event=event.id,
        when=moment(event.start),
        title=event_title(event, settled=settled),
        frames=frames_words(len(event.frames)),
        decided=decided(verdicts, event.frames),
    )


def travel_words(travel: Travel | None) -> str:
    """Say which way and how fast a subject goes; nothing where that cannot be told."""
    if travel is None:
        return ""
    if travel.toward is None:
        return tr("The subject stays where it is.")
    share = tr("{percent}\u00a0%", percent=f"{travel.widths_per_s * 100:.0f}")
    return tr(GOING_WORDS[travel.toward], share=share)


def others_words(event: Event, judgements: Mapping[int, Judgement], index: int) -> str:
    """Return what the other frames of the event show."""
    others = [judgements.get(other) for other in event.frames if other != index]
    if not others:
        return tr("The only frame of its event.")
    seen = Counter(_count_texts(judgement) for judgement in others)
    return counted(
        len(others),
        "{count} other frame in this event: {list}.",
        "{count} other frames in this event: {list}.",
        list=list_words(counted(number, *texts) for texts, number in seen.most_common()),
    )


def _count_texts(judgement: Judgement | None) -> tuple[str, str]:
    """Return how such a frame is counted, one and several."""
    if judgement is not None and not judgement.unsure and not judgement.findings:
        return CLEAN
    text = NOT_JUDGED
    if judgement is not None:
        text = UNSURE if judgement.unsure else COUNTS[judgement.findings[0].kind]
    return text, text
