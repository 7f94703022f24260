"""What a key did to a card, and how that is said; no widgets."""

from collections.abc import Sequence
from dataclasses import dataclass

from triage.records.decision import Verdict
from triage.records.event import Event
from triage.records.frame import Frame
from triage.ui.timeline.words import frames_words, sayable
from triage.ui.tongue import counted, tr

DECIDED = {
    Verdict.KEEP: "Kept {what}.",
    Verdict.REJECT: "Rejected {what}.",
    None: "Left {what} undecided.",
}
KEPT_MORE = "Kept {name} and {count} more, rejected {others} of event {event}."
TAKEN_BACK = ("Took back the decision on {what}.", "Nothing to undo on this card.")
MADE_AGAIN = ("Made again the decision on {what}.", "Nothing to redo on this card.")
"""What is said of a decision that is taken back or made again, and where there is none."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How far sorting has come, in frames."""

    kept: int
    rejected: int
    undecided: int


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a key did.

    Attributes
    ----------
    changed : tuple of int
        Frames whose verdict changed; empty where nothing did.
    words : str
        One sentence for the status line.
    """

    changed: tuple[int, ...]
    words: str


def no_frame() -> Outcome:
    """Return the outcome where there is no frame."""
    return Outcome((), tr("There is no frame to decide."))


def no_event() -> Outcome:
    """Return the outcome where there is no event."""
    return Outcome((), tr("There is no event to decide."))


def name_words(frames: Sequence[Frame]) -> str:
    """Return a single frame by its name, several by their number."""
    return sayable(frames[0].name) if len(frames) == 1 else frames_words(len(frames))


def decided_words(verdict: Verdict | None, what: str) -> str:
    """Say what was decided on something."""
    return tr(DECIDED[verdict], what=what)


def whole_event_words(event: Event) -> str:
    """Return a whole event in words."""
    return tr("event {event} ({frames})", event=event.id, frames=frames_words(len(event.frames)))


def kept_best_words(event: Event, lead: Frame, *, kept: int) -> str:
    """Say that of an event's frames the best was kept, and `kept` in all."""
    places: dict[str, object] = {
        "name": sayable(lead.name),
        "others": counted(len(event.frames) - kept, "{count} other", "{count} others"),
        "event": event.id,
    }
    if kept == 1:
        return tr("Kept {name}, rejected {others} of event {event}.", **places)
    return counted(kept - 1, KEPT_MORE, KEPT_MORE, **places)


def put_away_words(frames: int, what: str) -> str:
    """Say that a group of frames was put away."""
    return tr("Put {frames} away ({what}).", frames=frames_words(frames), what=what)
