"""The state of sorting one card: where one is, what is decided, what is shown; no Qt.

Every decision goes through the store and is on the disk when the method returns.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from triage.records.decision import Verdict
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Frame
from triage.ui.promise import by_promise, lead_first, promise
from triage.ui.timeline.words import count_words, sayable
from triage.ui.words import VERDICT_WORDS


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
    by_time : bool
        Whether undecided frames are gone through by time alone; else the most promising events come first,
        as soon as the whole card is judged.
    chosen : tuple of int
        Frames chosen together, in order of time; empty where only the current one is meant.
    """

    def __init__(self, store: DecisionStore) -> None:
        self._store = store
        self.frames: tuple[Frame, ...] = ()
        self.events: tuple[Event, ...] = ()
        self.judgements: dict[int, Judgement] = {}
        self.settled = False
        self.current: int | None = None
        self.shown: Filter = None
        self.by_time = False
        self.chosen: tuple[int, ...] = ()
        self._anchor: int | None = None
        self._is_fresh = True
        self._ranking: tuple[bool, list[Event]] | None = None
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
        self.choose_none()
        self._verdicts.clear()
        self._by_key = {}
        for frame in frames:
            self._by_key.setdefault(frame.key, []).append(frame.index)
        self._regroup(events)
        self._refresh(self._by_key)
        self.current = frames[0].index if frames else None
        if self.current is not None and self.current in self._verdicts:
            self.next_undecided()
        self._is_fresh = True

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
        self.events, self._ranking = events, None
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
        self.choose_none()
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

    def shown_frames(self) -> tuple[int, ...]:
        """Return the frames that the filter is about: not the rest of the events that it lets through."""
        which = self.shown
        return tuple(i for i in self._order() if which is None or self._matches(i, which))

    def _matches(self, index: int, which: Only | FindingKind | Evidence) -> bool:
        if isinstance(which, Evidence):
            return index in which.frames
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

    def go(self, index: int) -> bool:
        """Go to a frame; False where there is no such frame."""
        if not 0 <= index < len(self.frames):
            return False
        self.current = index
        self._is_fresh = False
        self.choose_none()
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

    def choose_on(self, by: int) -> bool:
        """Choose the frames from here to `by` frames on (or back) together; False at the end."""
        order, anchor = self._order(), self._anchor
        chosen_from = self.current if anchor is None else anchor
        if not self.step_frame(by):
            return False
        return self.choose_to(self.current, chosen_from) if chosen_from in order else False

    def choose_to(self, index: int | None, anchor: int | None = None) -> bool:
        """Choose all frames shown between the first one chosen (or the current one) and another one."""
        start = next((at for at in (anchor, self._anchor, self.current) if at is not None), None)
        order = self._order()
        if index not in order or start not in order:
            return False
        ends = sorted((order.index(start), order.index(index)))
        self.current, self._anchor = index, start
        self.chosen = tuple(order[ends[0] : ends[1] + 1])
        return True

    def choose_none(self) -> None:
        """Mean the current frame only."""
        self.chosen, self._anchor = (), None

    @property
    def meant(self) -> tuple[int, ...]:
        """The frames that a decision on "the frame" is about: those chosen, or the current one."""
        if self.chosen:
            return self.chosen
        return () if self.current is None else (self.current,)

    @property
    def goes_by_promise(self) -> bool:
        """Whether the most promising events come first."""
        return self.settled and not self.by_time

    def work(self) -> list[int]:
        """Return the frames shown, in the order in which undecided ones are gone through."""
        shown = (event for event in self._ranked() if self._passes(event, self.shown))
        return [index for event in shown for index in self._frames_of(event)]

    def _ranked(self) -> list[Event]:
        """Return all events in the order of work; kept, because a key must not wait for sorting thousands."""
        if self._ranking is None or self._ranking[0] != self.goes_by_promise:
            by_worth = by_promise(self.events, self.judgements) if self.goes_by_promise else list(self.events)
            self._ranking = (self.goes_by_promise, by_worth)
        return self._ranking[1]

    def _frames_of(self, event: Event) -> tuple[int, ...]:
        return lead_first(event) if self.goes_by_promise else event.frames

    def _ahead(self, *, step: int, finish_event: bool) -> Iterator[int]:
        """Yield the frames shown from the current one on, round the end; only as far as they are asked for."""
        events, here = self._ranked()[::step], self.event
        rest: tuple[int, ...] = ()
        before: tuple[int, ...] = ()
        if here is not None and self.current is not None and self._passes(here, self.shown):
            frames = self._frames_of(here)[::step]
            at, place = frames.index(self.current), events.index(here)
            rest, before = frames[at + 1 :], frames[:at]
            events = [*events[place + 1 :], *events[:place]]
        yield from (*rest, *before) if finish_event else rest
        for event in events:
            if self._passes(event, self.shown):
                yield from self._frames_of(event)[::step]
        yield from before

    def next_undecided(self, *, back: bool = False, finish_event: bool = False) -> bool:
        """Go to the next undecided frame in the order of work (or the one before), round the end if need be.

        Parameters
        ----------
        back : bool
            Against the order.
        finish_event : bool
            What is left of the current event comes first.

        Returns
        -------
        bool
            False where every frame shown is decided; then nothing moves.
        """
        event = self.event
        begun = event is not None and any(index in self._verdicts for index in event.frames)
        if self._is_fresh and self.goes_by_promise and not back and not finish_event:
            ahead: Iterable[int] = (index for index in self.work() if index != self.current)
        else:
            ahead = self._ahead(step=-1 if back else 1, finish_event=finish_event and begun)
        found = next((index for index in ahead if index not in self._verdicts), None)
        return found is not None and self.go(found)

    def promise_here(self) -> int | None:
        """Return the `Promise` of the current event, once it is known."""
        return promise(self.event, self.judgements) if self.settled and self.event else None

    def decide_frame(self, verdict: Verdict) -> Outcome:
        """Decide the current frame, or those chosen together, and go to the next undecided one."""
        if not self.meant:
            return Outcome((), "There is no frame to decide.")
        words = f"{VERDICT_WORDS[verdict].capitalize()} {self._meant_words()}"
        return self._decide(dict.fromkeys(self.meant, verdict), words)

    def clear_frame(self) -> Outcome:
        """Take the decision on the current frame, or on those chosen together, back and stay."""
        if not self.meant:
            return Outcome((), "There is no frame to decide.")
        words = f"Left {self._meant_words()} undecided"
        return self._decide(dict.fromkeys(self.meant, None), words, stay=True)

    def _meant_words(self) -> str:
        meant = self.meant
        return sayable(self.frames[meant[0]].name) if len(meant) == 1 else count_words(len(meant), "frame")

    def decide_shown(self, verdict: Verdict) -> Outcome:
        """Decide every undecided frame that the filter is about; to be called after a question only."""
        frames = [index for index in self.shown_frames() if index not in self._verdicts]
        words = f"{VERDICT_WORDS[verdict].capitalize()} {count_words(len(frames), 'frame')}"
        return self._decide(dict.fromkeys(frames, verdict), words)

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

    def put_away(self, frames: Collection[int], what: str) -> Outcome:
        """Reject frames of a group; to be called after a question only."""
        words = f"Put {count_words(len(frames), 'frame')} away ({what})"
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
        self.choose_none()
        if not changing:
            if not stay:
                self.next_undecided(finish_event=True)
            return Outcome((), "Nothing to change there.")
        by_key: dict[str, Verdict | None] = {}
        for index, verdict in changing.items():
            key = self.frames[index].key
            if by_key.get(key) is not Verdict.KEEP:  # of two copies of one picture, a kept one counts
                by_key[key] = verdict
        self._store.decide_each(by_key)
        self._refresh(by_key)
        if not stay:
            self.next_undecided(finish_event=True)
        return Outcome(tuple(changing), f"{words}.")

    def _reverse(self, act: "Reversal", words: tuple[str, str]) -> Outcome:
        done, none = words
        keys = act(self._by_key.keys())
        if not keys:
            return Outcome((), f"Nothing to {none} on this card.")
        self._refresh(keys)
        self.choose_none()
        changed = tuple(sorted(index for key in dict.fromkeys(keys) for index in self._by_key[key]))
        self.current = changed[0]
        which = (
            sayable(self.frames[changed[0]].name) if len(changed) == 1 else count_words(len(changed), "frame")
        )
        return Outcome(changed, f"{done} the decision on {which}.")

    def read_again(self) -> bool:
        """Read every verdict again, as another window may have decided; return whether any differs."""
        before = dict(self._verdicts)
        self._refresh(self._by_key)
        return before != self._verdicts

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
