"""Groups of frames that hold nothing, to be put away in one step; no Qt."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind, Judgement
from triage.ui.session import Session

SURE = 0.95
"""Only findings at least this sure let frames be put away without a spot check, and only by a key of its own."""


class Group(StrEnum):
    """What a group holds."""

    EMPTY = "empty"
    OWN = "you at the rig"


KINDS = {Group.EMPTY: (EventKind.EMPTY, FindingKind.EMPTY), Group.OWN: (EventKind.SETUP, FindingKind.SETUP)}


@dataclass(frozen=True, slots=True)
class Members:
    """The undecided frames of a group.

    Attributes
    ----------
    group : Group
        Which.
    frames : tuple of int
        All of them, in order.
    sure : tuple of int
        Those of events in which every frame is at least `SURE` to be so.
    events : int
        How many events they come from.
    """

    group: Group
    frames: tuple[int, ...]
    sure: tuple[int, ...]
    events: int


def group_of(event: Event) -> Group | None:
    """Return the group that an event belongs to by its kind, or None."""
    return next((group for group, (kind, _finding) in KINDS.items() if event.kind is kind), None)


def members(session: Session, group: Group, *, without: frozenset[int] = frozenset()) -> Members:
    """Return the undecided frames of a group, out of whole events with no unsure or damaged frame in them.

    Parameters
    ----------
    session : Session
        A card that is judged.
    group : Group
        Which.
    without : frozenset of int
        Frames seen to show something after all: their events do not count.

    Returns
    -------
    Members
        Empty where there are none.
    """
    kind, finding = KINDS[group]
    events = [
        event
        for event in session.events
        if event.kind is kind
        and without.isdisjoint(event.frames)
        and all(_least(session.judgements, index, finding) is not None for index in event.frames)
    ]
    open_ones = [[index for index in event.frames if index not in session.verdicts] for event in events]
    sure = [
        frames
        for event, frames in zip(events, open_ones, strict=True)
        if _is_sure(event, session.judgements, finding)
    ]
    return Members(
        group,
        tuple(index for frames in open_ones for index in frames),
        tuple(index for frames in sure for index in frames),
        sum(bool(frames) for frames in open_ones),
    )


def _is_sure(event: Event, judgements: Mapping[int, Judgement], finding: FindingKind) -> bool:
    return all((_least(judgements, index, finding) or 0.0) >= SURE for index in event.frames)


def _least(judgements: Mapping[int, Judgement], index: int, finding: FindingKind) -> float | None:
    """Return how sure it is that a frame belongs to the group; None where that is not said."""
    said = judgements.get(index)
    if said is None or said.unsure:
        return None
    return next((found.confidence for found in said.findings if found.kind is finding), None)
