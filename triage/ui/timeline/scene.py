"""What the time line shows, gathered once when it changes and not once per painting; no Qt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from triage.records.decision import Verdict
from triage.records.diagnosis import Fault, Part
from triage.records.event import Event
from triage.records.finding import Judgement
from triage.records.frame import Frame
from triage.records.night import Night
from triage.records.result import Triage
from triage.ui.timeline.axis import TimeAxis, to_seconds
from triage.ui.timeline.words import DAY_S


class Standing(StrEnum):
    """How far the decisions on an event have come."""

    OPEN = "open"
    BEGUN = "begun"
    KEPT = "kept"
    REJECTED = "rejected"


@dataclass(frozen=True, slots=True)
class Sample:
    """One frame's measured output of one flash; None where it cannot be told."""

    seconds: float
    output: float | None


@dataclass(frozen=True, slots=True)
class Lane:
    """The health of one part through the night, or the faults of all parts together.

    Attributes
    ----------
    part : Part or None
        Which; None for all of them.
    samples : tuple of Sample
        For flashes, one for each frame in order of time; empty for other parts.
    faults : tuple of (int, Fault)
        With their positions in `Triage.faults`.
    """

    part: Part | None
    samples: tuple[Sample, ...]
    faults: tuple[tuple[int, Fault], ...]


@dataclass(frozen=True)
class Scene:
    """Everything the three views show.

    Attributes
    ----------
    frames, night, events
        The card's, as far as known.
    judgements : tuple of Judgement
        Empty until the card is triaged.
    lanes : tuple of Lane
        In the order of `Part`; empty until the card is triaged.
    is_final : bool
        Whether the card is triaged.
    event_at : dict of int to Event
        By `Event.id`.
    event_of : dict of int to int
        `Event.id` by `Frame.index`.
    starts_s : tuple of float
        Of the events, in their order.
    """

    frames: tuple[Frame, ...]
    night: Night
    events: tuple[Event, ...]
    judgements: tuple[Judgement, ...] = ()
    lanes: tuple[Lane, ...] = ()
    is_final: bool = False
    event_at: dict[int, Event] = field(init=False)
    event_of: dict[int, int] = field(init=False)
    starts_s: tuple[float, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Look up once what every painting needs."""
        object.__setattr__(self, "event_at", {event.id: event for event in self.events})
        event_of = {index: event.id for event in self.events for index in event.frames}
        object.__setattr__(self, "event_of", event_of)
        object.__setattr__(self, "starts_s", tuple(to_seconds(event.start) for event in self.events))

    @classmethod
    def of(cls, triage: Triage) -> "Scene":
        """Make the scene of a triaged card."""
        lanes = lanes_of(triage)
        return cls(triage.frames, triage.night, triage.events, triage.judgements, lanes, is_final=True)

    @property
    def days(self) -> float:
        """How many days the night covers."""
        return (self.night.end - self.night.start).total_seconds() / DAY_S

    def axis(self) -> TimeAxis:
        """Return an axis over the night and every event near it.

        Events of a camera whose clock was reset may lie decades away; they are held at the night's ends
        rather than squeeze the night into a pixel.
        """
        first, last = to_seconds(self.night.start), to_seconds(self.night.end)
        reach = max(DAY_S / 2, (last - first) / 2)
        near = [at for at in self.starts_s if first - reach <= at <= last + reach]
        return TimeAxis.over(min([first, *near]), max([last, *near]))

    def judgement(self, index: int) -> Judgement | None:
        """Return what is said of a frame; None before the card is triaged."""
        return self.judgements[index] if index < len(self.judgements) else None


def standing(event: Event, verdicts: Mapping[int, Verdict]) -> Standing:
    """Return how far the decisions on an event have come; one kept frame makes a decided event a kept one."""
    made = [verdicts[index] for index in event.frames if index in verdicts]
    if not made:
        return Standing.OPEN
    if len(made) < len(event.frames):
        return Standing.BEGUN
    return Standing.KEPT if Verdict.KEEP in made else Standing.REJECTED


def standing_together(standings: Sequence[Standing]) -> Standing:
    """Return the standing of several events taken as one."""
    seen = set(standings)
    if len(seen) == 1:
        return standings[0]
    return Standing.KEPT if seen == {Standing.KEPT, Standing.REJECTED} else Standing.BEGUN


def lanes_of(triage: Triage) -> tuple[Lane, ...]:
    """Return one lane for each part that has something to show: measured light, or a fault."""
    faults: dict[Part, list[tuple[int, Fault]]] = {}
    for position, fault in enumerate(triage.faults):
        faults.setdefault(fault.part, []).append((position, fault))
    samples = _samples(triage)
    return tuple(
        Lane(part, samples.get(part, ()), tuple(faults.get(part, ())))
        for part in Part
        if part in faults or part in samples
    )


def folded(lanes: tuple[Lane, ...]) -> tuple[Lane, ...]:
    """Return one lane with the faults of all, the worst first, for where there is little room."""
    if len(lanes) < 2:
        return lanes
    faults = sorted((each for lane in lanes for each in lane.faults), key=lambda each: each[0])
    return (Lane(None, (), tuple(faults)),)


def _samples(triage: Triage) -> dict[Part, tuple[Sample, ...]]:
    known = {part.value: part for part in Part}
    names = {
        name
        for judgement in triage.judgements
        if judgement.measurement
        for name, output in judgement.measurement.light.flashes.items()
        if output is not None and name in known
    }
    in_time = sorted((to_seconds(frame.time), frame.index) for frame in triage.frames)
    return {
        known[name]: tuple(
            Sample(seconds, _output(triage.judgements[index], name)) for seconds, index in in_time
        )
        for name in sorted(names)
    }


def _output(judgement: Judgement, flash: str) -> float | None:
    return judgement.measurement.light.flashes.get(flash) if judgement.measurement else None
