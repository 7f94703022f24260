"""What the time line says in words: tips under the pointer, and what a screen reader speaks; no widgets."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime

from triage.export.fault_words import LIKELY
from triage.records.decision import Verdict
from triage.records.diagnosis import Fault
from triage.records.event import Event, EventKind
from triage.records.frame import Frame
from triage.records.night import Night, SetupSource, SkySpan
from triage.ui.timeline.axis import to_moment, to_seconds
from triage.ui.timeline.scene import Lane, Scene
from triage.ui.timeline.words import (
    clock_words,
    day_words,
    duration_words,
    events_words,
    frames_words,
    list_words,
    offset_words,
    sayable,
)
from triage.ui.tongue import counted, tr

KIND_WORDS = {
    EventKind.SUBJECT: "subject",
    EventKind.EMPTY: "empty",
    EventKind.SETUP: "setup",
    EventKind.DARK: "dark",
    EventKind.MIXED: "mixed",
}
NOT_TOLD, NOT_TOLD_COUNT = "not yet told", "{count} not yet told"
KIND_COUNTS = {
    EventKind.SUBJECT: "{count} subject",
    EventKind.EMPTY: "{count} empty",
    EventKind.SETUP: "{count} setup",
    EventKind.DARK: "{count} dark",
    EventKind.MIXED: "{count} mixed",
}
VERDICT_COUNTS = {
    Verdict.KEEP: "{count} kept",
    Verdict.REJECT: "{count} rejected",
    None: "{count} undecided",
}
VERDICT_WORDS = {Verdict.KEEP: "kept", Verdict.REJECT: "rejected", None: "undecided"}
SETUP_WORDS = {
    SetupSource.GIVEN: "setup window, given",
    SetupSource.WORKED_OUT: "setup window, worked out",
}
SKY_WORDS = {
    "day": "Day",
    "civil": "Civil twilight",
    "nautical": "Nautical twilight",
    "astronomical": "Astronomical twilight",
    "night": "Night",
}


def kind_words(kind: EventKind, *, settled: bool = True) -> str:
    """Return what an event holds, in a word or two; `settled` once the whole card is judged."""
    return tr(NOT_TOLD) if kind is EventKind.MIXED and not settled else tr(KIND_WORDS[kind])


def event_words(event: Event, verdicts: Mapping[int, Verdict], *, settled: bool = True) -> str:
    """Describe an event in a sentence or two; `settled` once the whole card is judged."""
    length = (event.end - event.start).total_seconds()
    places = {
        "event": event.id,
        "kind": kind_words(event.kind, settled=settled),
        "frames": frames_words(len(event.frames)),
        "when": _when(event.start, seconds=True),
        "decided": decided_words(event, verdicts),
    }
    if length < 0.05:
        return tr("Event {event}, {kind}: {frames}, {when}. {decided}", **places)
    return tr(
        "Event {event}, {kind}: {frames}, {when}, lasting {length}. {decided}",
        length=duration_words(length),
        **places,
    )


def _when(moment: datetime, *, seconds: bool = False) -> str:
    return tr("{day}, {time}", day=day_words(moment.date()), time=clock_words(moment, seconds=seconds))


def decided_words(event: Event, verdicts: Mapping[int, Verdict]) -> str:
    """Say how many of an event's frames are kept, rejected and undecided."""
    made = Counter(verdicts[index] for index in event.frames if index in verdicts)
    if not made:
        return tr("Nothing decided yet.")
    counts = (
        (made[Verdict.KEEP], VERDICT_COUNTS[Verdict.KEEP]),
        (made[Verdict.REJECT], VERDICT_COUNTS[Verdict.REJECT]),
        (len(event.frames) - made.total(), VERDICT_COUNTS[None]),
    )
    return tr("{list}.", list=list_words(counted(count, words, words) for count, words in counts if count))


def _kinds_words(events: Sequence[Event], *, settled: bool) -> str:
    kinds = Counter(event.kind for event in events)
    texts = KIND_COUNTS if settled else {**KIND_COUNTS, EventKind.MIXED: NOT_TOLD_COUNT}
    shares = ((kinds[kind], texts[kind]) for kind in EventKind if kinds[kind])
    return list_words(counted(count, words, words) for count, words in shares)


def cluster_words(events: Sequence[Event], verdicts: Mapping[int, Verdict], *, settled: bool = True) -> str:
    """Describe events drawn as one mark; `settled` once the whole card is judged."""
    if len(events) == 1:
        return event_words(events[0], verdicts, settled=settled)
    first, last = events[0].start, events[-1].end
    return tr(
        "{events} close together: {kinds}; {frames}, {first} to {last}. Zoom in to tell them apart.",
        events=events_words(len(events)),
        kinds=_kinds_words(events, settled=settled),
        frames=frames_words(sum(len(event.frames) for event in events)),
        first=_when(first),
        last=clock_words(last) if first.date() == last.date() else _when(last),
    )


def sky_words(night: Night, seconds: float) -> str:
    """Say what stands in the sky at a moment, and whether the operator was there."""
    moment = to_moment(seconds)
    said = [_when(moment)]
    if any(moment in window for window in night.setup_windows):
        said.append(tr(SETUP_WORDS[night.setup_source]))
    if night.sky is None:
        return tr("{list}. Sun unknown: give a place.", list="; ".join(said))
    said += [_span_words(span, night) for span in night.sky.spans if span.start <= moment < span.end]
    if any(moment in window for window in night.sky.moon_up):
        said.append(tr("moon up, {lit}", lit=lit_words(night.sky.moon_lit)))
    return tr("{list}.", list="; ".join(said))


def _span_words(span: SkySpan, night: Night) -> str:
    words = tr(SKY_WORDS.get(span.kind, span.kind))
    if span.end >= night.end:
        return words
    return tr("{sky} until {time}", sky=words, time=clock_words(span.end))


def lit_words(lit: float) -> str:
    """Return how much of the moon is lit."""
    return tr("{percent}\u00a0% lit", percent=round(lit * 100))


def fault_label(fault: Fault) -> str:
    """Return a few words for a fault's stretch: ``stopped 02:10``."""
    places = {"fault": tr(fault.kind.value), "time": clock_words(fault.start) if fault.start else ""}
    if fault.confidence < LIKELY:
        return tr("perhaps {fault} {time}" if fault.start else "perhaps {fault}", **places)
    return tr("{fault} {time}" if fault.start else "{fault}", **places)


def fault_words(fault: Fault) -> str:
    """Describe a fault for a tip or a screen reader."""
    return tr(
        "{part}: {fault} ({percent}\u00a0% sure). {say} Before dusk: {remedy}",
        part=tr(fault.part.value),
        fault=fault_label(fault),
        percent=round(fault.confidence * 100),
        say=fault.say,
        remedy=fault.remedy,
    )


def lane_name(lane: Lane) -> str:
    """Return what stands before a lane."""
    return tr(lane.part.value) if lane.part is not None else tr("rig")


def stretch_label(lane: Lane, fault: Fault) -> str:
    """Return what is written on a fault's stretch; with the part where the lane is that of all parts."""
    label = fault_label(fault)
    return label if lane.part is not None else tr("{part} {fault}", part=tr(fault.part.value), fault=label)


def lane_words(lane: Lane) -> str:
    """Describe a lane for a screen reader."""
    part = lane_name(lane)
    if lane.faults:
        faults = list_words(stretch_label(lane, fault) for _, fault in lane.faults)
        return tr("{part}: {faults}.", part=part, faults=faults)
    return tr("{part}: no fault found.", part=part)


def frame_words(scene: Scene, event: Event, index: int, verdict: Verdict | None) -> str:
    """Describe a frame of an event for a tip or a screen reader."""
    frame: Frame = scene.frames[index]
    offset = to_seconds(frame.time) - to_seconds(scene.frames[event.frames[0]].time)
    said = [
        tr(
            "Frame {place} of {number}, {offset}, {name}",
            place=event.frames.index(index) + 1,
            number=len(event.frames),
            offset=offset_words(offset),
            name=sayable(frame.name),
        )
    ]
    judgement = scene.judgement(index)
    if judgement is not None:
        against = list_words(tr(finding.kind.value) for finding in judgement.findings)
        said.append(against or tr("nothing against it"))
        if judgement.unsure:
            said.append(tr("unsure whether a subject is there"))
    if index == event.lead:
        said.append(tr("shows the event best"))
    said.append(tr(VERDICT_WORDS[verdict]))
    return tr("{list}.", list="; ".join(said))


def night_words(scene: Scene) -> str:
    """Describe the whole ribbon for a screen reader."""
    night = scene.night
    places = {
        "first": _when(night.start),
        "last": _when(night.end),
        "frames": frames_words(len(scene.frames)),
        "summary": night.summary,
    }
    if not scene.events:
        return tr("From {first} to {last}; {frames} in no events. {summary}", **places).strip()
    return tr(
        "From {first} to {last}; {frames} in {events}: {kinds}. {summary}",
        events=events_words(len(scene.events)),
        kinds=_kinds_words(scene.events, settled=scene.is_final),
        **places,
    ).strip()
