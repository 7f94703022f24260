"""What an undecided event promises, and so in which order a card is best gone through; no Qt."""

from collections.abc import Iterable, Mapping
from enum import IntEnum

from triage.records.event import Event, EventKind
from triage.records.finding import Judgement


class Promise(IntEnum):
    """What an event is likely worth; the lower, the sooner it is looked at."""

    CLEAR = 0
    MARRED = 1
    UNSURE = 2
    UNTOLD = 3
    NOTHING = 4
    OWN = 5


PROMISE_WORDS = {
    Promise.CLEAR: "visits with a clear frame",
    Promise.MARRED: "visits with something against their best frame",
    Promise.UNSURE: "events where the tool is unsure",
    Promise.UNTOLD: "dark and mixed events",
    Promise.NOTHING: "empty events",
    Promise.OWN: "you at the rig",
}
KIND_PROMISES = {
    EventKind.SUBJECT: Promise.MARRED,
    EventKind.DARK: Promise.UNTOLD,
    EventKind.MIXED: Promise.UNTOLD,
    EventKind.EMPTY: Promise.NOTHING,
    EventKind.SETUP: Promise.OWN,
}


def promise(event: Event, judgements: Mapping[int, Judgement]) -> Promise:
    """Return what an event promises.

    A visit is clear where nothing speaks against its best frame. An event of any other kind in which the tool
    is unsure of some frame comes before the dark ones: something may be there.
    """
    lead = judgements.get(event.lead)
    if event.kind is EventKind.SUBJECT and lead is not None and not lead.findings and not lead.unsure:
        return Promise.CLEAR
    if event.kind in {EventKind.EMPTY, EventKind.DARK, EventKind.MIXED} and any(
        (said := judgements.get(index)) is not None and said.unsure for index in event.frames
    ):
        return Promise.UNSURE
    return KIND_PROMISES[event.kind]


def by_promise(events: Iterable[Event], judgements: Mapping[int, Judgement]) -> list[Event]:
    """Return events with the most promising first; those that promise alike stay in order of time."""
    return sorted(events, key=lambda event: (promise(event, judgements), event.id))


def lead_first(event: Event) -> tuple[int, ...]:
    """Return the frames of an event from its best one on, then those before it."""
    at = event.frames.index(event.lead) if event.lead in event.frames else 0
    return (*event.frames[at:], *event.frames[:at])


def most_promising(events: Iterable[Event], judgements: Mapping[int, Judgement]) -> int | None:
    """Return the best frame of the event most likely to show something well, or None without one."""

    def rank(event: Event) -> tuple[int, float]:
        said = judgements.get(event.lead)
        measured = said.measurement if said else None
        return -len(said.findings) if said else -99, measured.presence if measured else 0.0

    subjects = [event for event in events if event.kind is EventKind.SUBJECT]
    return max(subjects, key=rank).lead if subjects else None
