"""The state of sorting one card: where one is, what is decided, what is shown; no Qt.

Every decision goes through the store and is on the disk when the method returns.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from triage.records.decision import Verdict
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Frame
from triage.ui.timeline.words import count_words, sayable
from triage.ui.words import VERDICT_WORDS

SURE = 0.95
"""Only findings at least this sure let frames be rejected unseen, and only after a question."""


class DecisionStore(Protocol):
    """What the session needs of the library."""

    def decide_each(self, wanted: Mapping[str, Verdict | None]) -> int:
        """Decide frames in one batch, whole or not at all; return its number, or 0 where nothing changes."""

    def undo(self, scope: Collection[str]) -> tuple[str, ...]:
        """Take the last batch back; return the keys that changed."""

    def redo(self, scope: Collection[str]) -> tuple[str, ...]:
        """Make the last batch taken back again; return the keys that changed."""

    def verdicts(self, keys: Collection[str]) -> dict[str, Verdict]:
        """Return the verdicts in force."""


class Only(StrEnum):
    """Ways to show only some events that are not findings."""

    UNDECIDED = "undecided"
    KEPT = "kept"
    SUBJECT = "with a subject"
    UNSURE = "unsure"


Filter = Only | FindingKind | None
"""None shows every event."""


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


class Session:
    """Sort one card.

    Attributes
    ----------
    frames : tuple of Frame
        In order of exposure.
    events : tuple of Event
        In order of time; may be grouped anew once the whole card is judged.
    judgements : dict of int to Judgement
        By frame index, as far as judged.
    settled : bool
        Whether the whole card is judged.
    current : int or None
        The frame shown.
    shown : Filter
        Which events are shown.
    """

    def __init__(self, store: DecisionStore) -> None:
        self._store = store
        self.frames: tuple[Frame, ...] = ()
        self.events: tuple[Event, ...] = ()
        self.judgements: dict[int, Judgement] = {}
        self.settled = False
        self.current: int | None = None
        self.shown: Filter = None
        self._verdicts: dict[int, Verdict] = {}
        self._by_key: dict[str, list[int]] = {}
        self._event_of: dict[int, Event] = {}

    @property
    def verdicts(self) -> Mapping[int, Verdict]:
        """The verdicts in force, by frame index."""
        return self._verdicts

    @property
    def event(self) -> Event | None:
        """The event of the current frame."""
        return None if self.current is None else self._event_of.get(self.current)

    def load(self, frames: tuple[Frame, ...], events: tuple[Event, ...]) -> None:
        """Begin with a card's frames and provisional events; earlier decisions on them come back."""
        self.frames = frames
        self.judgements = {}
        self.settled = False
        self.shown = None
        self._verdicts.clear()
        self._by_key = {}
        for frame in frames:
            self._by_key.setdefault(frame.key, []).append(frame.index)
        self._regroup(events)
        self._refresh(self._by_key)
        self.current = frames[0].index if frames else None
        if self.current is not None and self.current in self._verdicts:
            self.next_undecided()

    def replace_frame(self, frame: Frame) -> None:
        """Take a frame whose file turned out damaged."""
        self.frames = (*self.frames[: frame.index], frame, *self.frames[frame.index + 1 :])

    def judge(self, judgement: Judgement) -> None:
        """Take what is said of one frame."""
        self.judgements[judgement.index] = judgement

    def settle(
        self, frames: tuple[Frame, ...], judgements: Iterable[Judgement], events: tuple[Event, ...]
    ) -> None:
        """Take the whole answer; the current frame stays."""
        self.frames = frames
        self.judgements = {judgement.index: judgement for judgement in judgements}
        self.settled = True
        self._regroup(events)

    def _regroup(self, events: tuple[Event, ...]) -> None:
        self.events = events
        self._event_of = {index: event for event in events for index in event.frames}

    def event_of(self, index: int) -> Event | None:
        """Return the event of a frame."""
        return self._event_of.get(index)

    def is_unsure(self, event: Event) -> bool:
        """Whether the tool cannot tell of some frame of the event whether something is there."""
        return any((said := self.judgements.get(index)) is not None and said.unsure for index in event.frames)

    def tally(self) -> Tally:
        """Return how far sorting has come."""
        kept = sum(verdict is Verdict.KEEP for verdict in self._verdicts.values())
        rejected = len(self._verdicts) - kept
        return Tally(kept, rejected, len(self.frames) - kept - rejected)

    def show(self, which: Filter) -> None:
        """Show only some events; the current frame stays if its event is shown, else the next shown one."""
        self.shown = which
        shown = self.shown_events()
        here = self.event
        if shown and here is not None and here not in shown:
            later = [event for event in shown if event.id > here.id]
            self.current = (later or list(shown))[0].lead

    def shown_events(self) -> tuple[Event, ...]:
        """Return the events the filter lets through."""
        return tuple(event for event in self.events if self._passes(event, self.shown))

    def count_events(self, which: Filter) -> int:
        """Return how many events a filter would show."""
        return sum(self._passes(event, which) for event in self.events)

    def _passes(self, event: Event, which: Filter) -> bool:
        return which is None or any(self._matches(index, which) for index in event.frames)

    def _matches(self, index: int, which: Only | FindingKind) -> bool:
        said = self.judgements.get(index)
        if isinstance(which, FindingKind):
            return said is not None and said.has(which)
        if which is Only.UNDECIDED:
            return index not in self._verdicts
        if which is Only.KEPT:
            return self._verdicts.get(index) is Verdict.KEEP
        if which is Only.UNSURE:
            return said is not None and said.unsure
        return self._event_of[index].kind is EventKind.SUBJECT

    def most_promising(self) -> int | None:
        """Return the best frame of the event most likely to show something well, or None without one."""

        def promise(event: Event) -> tuple[int, float]:
            said = self.judgements.get(event.lead)
            measured = said.measurement if said else None
            return -len(said.findings) if said else -99, measured.presence if measured else 0.0

        subjects = [event for event in self.events if event.kind is EventKind.SUBJECT]
        return max(subjects, key=promise).lead if subjects else None

    def go(self, index: int) -> bool:
        """Go to a frame; False where there is no such frame."""
        if not 0 <= index < len(self.frames):
            return False
        self.current = index
        return True

    def go_to_event(self, event_id: int) -> bool:
        """Go to the best frame of an event; False where there is no such event."""
        found = next((event for event in self.events if event.id == event_id), None)
        return found is not None and self.go(found.lead)

    def _order(self) -> list[int]:
        """Return the frames shown, in order of time."""
        return [index for event in self.shown_events() for index in event.frames]

    def step_frame(self, by: int) -> bool:
        """Go `by` frames on (or back) among those shown; False at the end."""
        order = self._order()
        if not order or self.current is None:
            return False
        if self.current not in order:
            return self.go(order[0])
        at = order.index(self.current) + by
        return 0 <= at < len(order) and self.go(order[at])

    def step_event(self, by: int) -> bool:
        """Go to the best frame of an event further on (or back) among those shown; False at the end."""
        shown = self.shown_events()
        if not shown or self.event is None:
            return False
        if self.event not in shown:
            return self.go(shown[0].lead)
        at = shown.index(self.event) + by
        return 0 <= at < len(shown) and self.go(shown[at].lead)

    def next_undecided(self, *, back: bool = False) -> bool:
        """Go to the nearest undecided frame after (or before) this one, round the end if need be.

        Returns
        -------
        bool
            False where every frame shown is decided; then nothing moves.
        """
        order = self._order()
        if back:
            order.reverse()
        at = order.index(self.current) + 1 if self.current in order else 0
        for index in (*order[at:], *order[:at]):
            if index not in self._verdicts:
                self.current = index
                return True
        return False

    def decide_frame(self, verdict: Verdict) -> Outcome:
        """Decide the current frame and go to the next undecided one."""
        if self.current is None:
            return Outcome((), "There is no frame to decide.")
        name = sayable(self.frames[self.current].name)
        return self._decide({self.current: verdict}, f"{VERDICT_WORDS[verdict].capitalize()} {name}")

    def clear_frame(self) -> Outcome:
        """Take the decision on the current frame back and stay."""
        if self.current is None:
            return Outcome((), "There is no frame to decide.")
        name = sayable(self.frames[self.current].name)
        return self._decide({self.current: None}, f"Left {name} undecided", stay=True)

    def decide_event(self, verdict: Verdict) -> Outcome:
        """Decide every frame of the current event alike and go on."""
        event = self.event
        if event is None:
            return Outcome((), "There is no event to decide.")
        words = f"{VERDICT_WORDS[verdict].capitalize()} {_whole(event)}"
        return self._decide(dict.fromkeys(event.frames, verdict), words)

    def clear_event(self) -> Outcome:
        """Take the decisions on the current event back and stay."""
        event = self.event
        if event is None:
            return Outcome((), "There is no event to decide.")
        return self._decide(dict.fromkeys(event.frames, None), f"Left {_whole(event)} undecided", stay=True)

    def keep_best(self) -> Outcome:
        """Keep the frame that shows the event best and those kept by hand before; reject the rest."""
        event = self.event
        if event is None:
            return Outcome((), "There is no event to decide.")
        kept = {index for index in event.frames if self._verdicts.get(index) is Verdict.KEEP} | {event.lead}
        wanted: dict[int, Verdict | None] = {
            index: Verdict.KEEP if index in kept else Verdict.REJECT for index in event.frames
        }
        name = sayable(self.frames[event.lead].name)
        others = count_words(len(event.frames) - len(kept), "other")
        more = f" and {count_words(len(kept) - 1, 'more', 'more')}" if len(kept) > 1 else ""
        return self._decide(wanted, f"Kept {name}{more}, rejected {others} of event {event.id}")

    def sure_nothings(self) -> tuple[int, ...]:
        """Return the undecided frames that are surely empty, or surely of the operator setting up.

        Only whole events count in which no frame is unsure, damaged, dark or shows a subject.
        """
        return tuple(
            index
            for event in self.events
            if event.kind in {EventKind.EMPTY, EventKind.SETUP}
            and all(map(self._is_sure_nothing, event.frames))
            for index in event.frames
            if index not in self._verdicts
        )

    def _is_sure_nothing(self, index: int) -> bool:
        said = self.judgements.get(index)
        if said is None or said.unsure:
            return False
        return any(
            finding.kind in {FindingKind.EMPTY, FindingKind.SETUP} and finding.confidence >= SURE
            for finding in said.findings
        )

    def reject_nothings(self) -> Outcome:
        """Reject the frames of `sure_nothings`; to be called after a question only."""
        frames = self.sure_nothings()
        words = f"Rejected {count_words(len(frames), 'frame')} that surely hold nothing"
        return self._decide(dict.fromkeys(frames, Verdict.REJECT), words, stay=self.current not in frames)

    def undo(self) -> Outcome:
        """Take the last decision on this card back, and go to the first frame it touched."""
        return self._reverse(self._store.undo, ("Took back", "undo"))

    def redo(self) -> Outcome:
        """Make the decision last taken back again, and go to the first frame it touched."""
        return self._reverse(self._store.redo, ("Made again", "redo"))

    def _decide(self, wanted: Mapping[int, Verdict | None], words: str, *, stay: bool = False) -> Outcome:
        changing = {
            index: verdict for index, verdict in wanted.items() if self._verdicts.get(index) is not verdict
        }
        if not changing:
            if not stay:
                self.next_undecided()
            return Outcome((), "Nothing to change there.")
        by_key: dict[str, Verdict | None] = {}
        for index, verdict in changing.items():
            key = self.frames[index].key
            if by_key.get(key) is not Verdict.KEEP:  # of two copies of one picture, a kept one counts
                by_key[key] = verdict
        self._store.decide_each(by_key)
        self._refresh(by_key)
        if not stay:
            self.next_undecided()
        return Outcome(tuple(changing), f"{words}.")

    def _reverse(self, act: "Reversal", words: tuple[str, str]) -> Outcome:
        done, none = words
        keys = act(self._by_key.keys())
        if not keys:
            return Outcome((), f"Nothing to {none} on this card.")
        self._refresh(keys)
        changed = tuple(sorted(index for key in dict.fromkeys(keys) for index in self._by_key[key]))
        self.current = changed[0]
        which = (
            sayable(self.frames[changed[0]].name) if len(changed) == 1 else count_words(len(changed), "frame")
        )
        return Outcome(changed, f"{done} the decision on {which}.")

    def _refresh(self, keys: Collection[str]) -> None:
        """Read verdicts back from the store, so that the screen shows what is on the disk."""
        in_force = self._store.verdicts(list(keys))
        for key in keys:
            for index in self._by_key.get(key, ()):
                if key in in_force:
                    self._verdicts[index] = in_force[key]
                else:
                    self._verdicts.pop(index, None)


class Reversal(Protocol):
    """`DecisionStore.undo` or `DecisionStore.redo`."""

    def __call__(self, scope: Collection[str], /) -> tuple[str, ...]:
        """Reverse; return the keys that changed."""


def _whole(event: Event) -> str:
    return f"event {event.id} ({count_words(len(event.frames), 'frame')})"
