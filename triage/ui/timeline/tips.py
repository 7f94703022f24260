"""What the time line says in words: tips under the pointer, and what a screen reader speaks; no Qt."""

from collections import Counter
from collections.abc import Mapping, Sequence

from triage.records.decision import Verdict
from triage.records.diagnosis import Fault
from triage.records.event import Event, EventKind
from triage.records.frame import Frame
from triage.records.night import Night, SkySpan
from triage.ui.timeline.axis import to_moment, to_seconds
from triage.ui.timeline.scene import Lane, Scene
from triage.ui.timeline.words import (
    clock_words,
    count_words,
    day_words,
    duration_words,
    list_words,
    offset_words,
    sayable,
)

KIND_WORDS = {
    EventKind.SUBJECT: "subject",
    EventKind.EMPTY: "empty",
    EventKind.SETUP: "setup",
    EventKind.DARK: "dark",
    EventKind.MIXED: "mixed",
}
SKY_WORDS = {
    "day": "Day",
    "civil": "Civil twilight",
    "nautical": "Nautical twilight",
    "astronomical": "Astronomical twilight",
    "night": "Night",
}
DOUBTFUL = 0.5
"""A fault said with less confidence than this is shown as a possibility."""


def event_words(event: Event, verdicts: Mapping[int, Verdict]) -> str:
    """Describe an event in a sentence or two."""
    length = (event.end - event.start).total_seconds()
    when = f"{day_words(event.start.date())}, {clock_words(event.start, seconds=True)}"
    lasting = f", lasting {duration_words(length)}" if length >= 0.05 else ""
    frames = count_words(len(event.frames), "frame")
    what = f"Event {event.id}, {KIND_WORDS[event.kind]}: {frames}, {when}{lasting}"
    return f"{what}. {decided_words(event, verdicts)}"


def decided_words(event: Event, verdicts: Mapping[int, Verdict]) -> str:
    """Say how many of an event's frames are kept, rejected and undecided."""
    made = Counter(verdicts[index] for index in event.frames if index in verdicts)
    left = len(event.frames) - made.total()
    counts = ((made[Verdict.KEEP], "kept"), (made[Verdict.REJECT], "rejected"), (left, "undecided"))
    said = list_words(f"{count:,} {word}" for count, word in counts if count)
    return f"{said}." if made else "Nothing decided yet."


def cluster_words(events: Sequence[Event], verdicts: Mapping[int, Verdict]) -> str:
    """Describe events drawn as one mark."""
    if len(events) == 1:
        return event_words(events[0], verdicts)
    kinds = Counter(event.kind for event in events)
    said = list_words(f"{kinds[kind]:,} {KIND_WORDS[kind]}" for kind in EventKind if kinds[kind])
    frames = count_words(sum(len(event.frames) for event in events), "frame")
    first, last = events[0].start, events[-1].end
    until = (
        clock_words(last) if first.date() == last.date() else f"{day_words(last.date())}, {clock_words(last)}"
    )
    return (
        f"{len(events):,} events close together: {said}; {frames}, "
        f"{day_words(first.date())}, {clock_words(first)} to {until}. Zoom in to tell them apart."
    )


def sky_words(night: Night, seconds: float) -> str:
    """Say what stands in the sky at a moment, and whether the operator was there."""
    moment = to_moment(seconds)
    said = [f"{day_words(moment.date())}, {clock_words(moment)}"]
    if any(moment in window for window in night.setup_windows):
        said.append(f"setup window, {night.setup_source.value}")
    if night.sky is None:
        return f"{'; '.join(said)}. Sun unknown: give a place."
    said += [_span_words(span, night) for span in night.sky.spans if span.start <= moment < span.end]
    if any(moment in window for window in night.sky.moon_up):
        said.append(f"moon up, {lit_words(night.sky.moon_lit)}")
    return f"{'; '.join(said)}."


def _span_words(span: SkySpan, night: Night) -> str:
    words = SKY_WORDS.get(span.kind, span.kind)
    return words if span.end >= night.end else f"{words} until {clock_words(span.end)}"


def lit_words(lit: float) -> str:
    """Return how much of the moon is lit."""
    return f"{round(lit * 100)} % lit"


def fault_label(fault: Fault) -> str:
    """Return a few words for a fault's stretch: ``stopped 02:10``."""
    when = f" {clock_words(fault.start)}" if fault.start else ""
    return ("perhaps " if fault.confidence < DOUBTFUL else "") + f"{fault.kind.value}{when}"


def fault_words(fault: Fault) -> str:
    """Describe a fault for a tip or a screen reader."""
    sure = f"{round(fault.confidence * 100)} % sure"
    return f"{fault.part.value}: {fault_label(fault)} ({sure}). {fault.say} Before dusk: {fault.remedy}"


def lane_words(lane: Lane) -> str:
    """Describe a lane for a screen reader."""
    if lane.faults:
        return f"{lane.part.value}: {list_words(fault_label(fault) for _, fault in lane.faults)}."
    return f"{lane.part.value}: no fault found."


def frame_words(scene: Scene, event: Event, index: int, verdict: Verdict | None) -> str:
    """Describe a frame of an event for a tip or a screen reader."""
    frame: Frame = scene.frames[index]
    offset = to_seconds(frame.time) - to_seconds(scene.frames[event.frames[0]].time)
    place = f"Frame {event.frames.index(index) + 1} of {len(event.frames)}"
    said = [f"{place}, {offset_words(offset)}, {sayable(frame.name)}"]
    judgement = scene.judgement(index)
    if judgement is not None:
        said.append(list_words(finding.kind.value for finding in judgement.findings) or "nothing against it")
        if judgement.unsure:
            said.append("unsure whether a subject is there")
    if index == event.lead:
        said.append("shows the event best")
    said.append({Verdict.KEEP: "kept", Verdict.REJECT: "rejected", None: "undecided"}[verdict])
    return "; ".join(said) + "."


def night_words(scene: Scene) -> str:
    """Describe the whole ribbon for a screen reader."""
    night = scene.night
    kinds = Counter(event.kind for event in scene.events)
    counts = list_words(f"{kinds[kind]:,} {KIND_WORDS[kind]}" for kind in EventKind if kinds[kind])
    span = (
        f"From {day_words(night.start.date())}, {clock_words(night.start)} "
        f"to {day_words(night.end.date())}, {clock_words(night.end)}"
    )
    events = f"{count_words(len(scene.events), 'event')}: {counts}" if scene.events else "no events"
    return f"{span}; {count_words(len(scene.frames), 'frame')} in {events}. {night.summary}".strip()
