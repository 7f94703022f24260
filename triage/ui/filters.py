"""Ways to show only some events; no Qt."""

from dataclasses import dataclass
from enum import StrEnum

from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind, Judgement


class Only(StrEnum):
    """Ways to show only some events that are not findings."""

    UNDECIDED = "undecided"
    KEPT = "kept"
    SUBJECT = "with a subject"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class Evidence:
    """The frames that a fault rests on, as a way to show only some events.

    Attributes
    ----------
    title : str
        The fault, in words.
    frames : frozenset of int
        Frame indexes.
    """

    title: str
    frames: frozenset[int]


Filter = Only | FindingKind | Evidence | None
"""None shows every event."""


def matches(
    which: Only | FindingKind | Evidence,
    index: int,
    *,
    said: Judgement | None,
    verdict: Verdict | None,
    kind: EventKind,
) -> bool:
    """Return whether a filter is about a frame.

    Parameters
    ----------
    which : Filter
        The filter.
    index : int
        The frame.
    said : Judgement or None
        What is said of it.
    verdict : Verdict or None
        What is decided on it.
    kind : EventKind
        Of its event.
    """
    if isinstance(which, Evidence):
        return index in which.frames
    if isinstance(which, FindingKind):
        return said is not None and said.has(which)
    answers = {
        Only.UNDECIDED: verdict is None,
        Only.KEPT: verdict is Verdict.KEEP,
        Only.UNSURE: said is not None and said.unsure,
        Only.SUBJECT: kind is EventKind.SUBJECT,
    }
    return answers[which]
