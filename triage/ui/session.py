"""The state of sorting one card: where one is, what is decided, what is shown; no widgets.

Every decision goes through the store and is on the disk when the method returns.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping

from triage.records.decision import Verdict
from triage.records.event import Event
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Frame
from triage.ui.decision_store import DecisionStore, Reversal
from triage.ui.filters import Evidence, Filter, Only, matches
from triage.ui.order import Order
from triage.ui.outcome import (
    MADE_AGAIN,
    TAKEN_BACK,
    Outcome,
    Tally,
    decided_words,
    kept_best_words,
    name_words,
    no_event,
    no_frame,
    put_away_words,
    whole_event_words,
)
from triage.ui.promise import by_promise, lead_first, promise
from triage.ui.timeline.words import frames_words
from triage.ui.tongue import tr


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
        self._ranking: tuple[bool, Order] | None = None
        self._passing: set[int] = set()
        self._shown_order: Order | None = None
        self._verdicts: dict[int, Verdict] = {}
        self._open: dict[int, int] = {}
        self._touched: set[int] = set()
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
        self._touched.clear()
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
        """Take a frame, another one than before where its file turned out damaged."""
        if self.frames[frame.index] is not frame:
            self.frames = (*self.frames[: frame.index], frame, *self.frames[frame.index + 1 :])

    def judge(self, judgement: Judgement) -> None:
        """Take what is said of one frame."""
        self.judgements[judgement.index] = judgement
        self._sift(self._events_of((judgement.index,)))

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
        self._open = {}
        self._count_open(events)
        self._sift_all()

    def _count_open(self, events: Iterable[Event]) -> None:
        for event in events:
            self._open[event.id] = sum(index not in self._verdicts for index in event.frames)

    def _sift_all(self) -> None:
        self._passing = {event.id for event in self.events if self._passes(event, self.shown)}
        self._shown_order = None

    def _sift(self, events: Iterable[Event]) -> None:
        """Let through or keep back events of which something changed; the others stay as they are."""
        if self.shown is None:
            return
        for event in events:
            if self._passes(event, self.shown) != (event.id in self._passing):
                self._passing ^= {event.id}
                self._shown_order = None

    def _events_of(self, frames: Iterable[int]) -> list[Event]:
        """Return the events that some frames belong to, each once."""
        found = (event for index in frames if (event := self._event_of.get(index)) is not None)
        return list({event.id: event for event in found}.values())

    def event_of(self, index: int) -> Event | None:
        """Return the event of a frame."""
        return self._event_of.get(index)

    def is_unsure(self, event: Event) -> bool:
        """Whether the tool cannot tell of some frame of the event whether something is there."""
        return any((said := self.judgements.get(index)) is not None and said.unsure for index in event.frames)

    def tally(self) -> Tally:
        """Return how far sorting has come."""
        kept = list(self._verdicts.values()).count(Verdict.KEEP)
        rejected = len(self._verdicts) - kept
        return Tally(kept, rejected, len(self.frames) - kept - rejected)

    def show(self, which: Filter) -> None:
        """Show only some events; the current frame stays if its event is shown, else the next shown one."""
        self.shown = which
        self._sift_all()
        self.choose_none()
        shown = self.shown_events()
        here = self.event
        if shown and here is not None and here.id not in self._passing:
            later = [event for event in shown if event.id > here.id]
            self.current = (later or list(shown))[0].lead

    def shown_events(self) -> tuple[Event, ...]:
        """Return the events the filter lets through."""
        return self._in_time().events

    def shown_beside(self, by: int) -> Event | None:
        """Return the event shown so many places on from the current one (or back); None where there is none."""
        return self._in_time().beside(self.event, by)

    def _in_time(self) -> Order:
        if self._shown_order is None:
            self._shown_order = Order(event for event in self.events if event.id in self._passing)
        return self._shown_order

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
        said, verdict = self.judgements.get(index), self._verdicts.get(index)
        return matches(which, index, said=said, verdict=verdict, kind=self._event_of[index].kind)

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
        """Go to the next frame among those shown (or, by -1, to the one before); False at the end."""
        here, shown = self.event, self._in_time()
        if here is None or self.current is None or not shown.events:
            return False
        if shown.place(here) is None:
            return self.go(shown.events[0].frames[0])
        at = here.frames.index(self.current) + by
        if 0 <= at < len(here.frames):
            return self.go(here.frames[at])
        beside = shown.beside(here, by)
        return beside is not None and self.go(beside.frames[0 if by > 0 else -1])

    def step_event(self, by: int) -> bool:
        """Go to the best frame of an event further on (or back) among those shown; False at the end."""
        shown = self._in_time()
        if not shown.events or self.event is None:
            return False
        if shown.place(self.event) is None:
            return self.go(shown.events[0].lead)
        beside = shown.beside(self.event, by)
        return beside is not None and self.go(beside.lead)

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
        shown = (event for event in self._ranked().events if event.id in self._passing)
        return [index for event in shown for index in self._frames_of(event)]

    def _ranked(self) -> Order:
        """Return all events in the order of work; kept, because a key must not wait for sorting thousands."""
        if self._ranking is None or self._ranking[0] != self.goes_by_promise:
            by_worth = by_promise(self.events, self.judgements) if self.goes_by_promise else self.events
            self._ranking = (self.goes_by_promise, Order(by_worth))
        return self._ranking[1]

    def _frames_of(self, event: Event) -> tuple[int, ...]:
        return lead_first(event) if self.goes_by_promise else event.frames

    def _undecided(self, frames: Iterable[int]) -> Iterator[int]:
        return (index for index in frames if index not in self._verdicts)

    def undecided_ahead(self, *, back: bool = False, finish_event: bool = False) -> Iterator[int]:
        """Yield the undecided frames shown from the current one on, in the order of work and round the end.

        Only as far as they are asked for; `back` is against the order, and with `finish_event` what is left of
        the current event comes first. The current frame is not among them.
        """
        here, events, step = self.event, self._ranked().events, -1 if back else 1
        rest: tuple[int, ...] = ()
        before: tuple[int, ...] = ()
        if here is not None and self.current is not None and here.id in self._passing:
            frames = self._frames_of(here)[::step]
            at = frames.index(self.current)
            rest, before = frames[at + 1 :], frames[:at]
            events = self._ranked().from_here(here, back=back)
        elif back:
            events = events[::-1]
        yield from self._undecided((*rest, *before) if finish_event else rest)
        for event in events:
            if self._open[event.id] and event.id in self._passing:
                yield from self._undecided(self._frames_of(event)[::step])
        if not finish_event:
            yield from self._undecided(before)

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
            ahead = self._undecided(index for index in self.work() if index != self.current)
        else:
            ahead = self.undecided_ahead(back=back, finish_event=finish_event and begun)
        found = next(ahead, None)
        return found is not None and self.go(found)

    def lead_in(self) -> bool:
        """Go to where undecided frames are best begun, if nobody has gone anywhere yet; return whether one went."""
        if not self._is_fresh or not self.goes_by_promise or self.shown is not None:
            return False
        first = next(self._undecided(self.work()), self.current)
        return first is not None and first != self.current and self.go(first)

    def promise_here(self) -> int | None:
        """Return the `Promise` of the current event, once it is known."""
        return promise(self.event, self.judgements) if self.settled and self.event else None

    def decide_frame(self, verdict: Verdict) -> Outcome:
        """Decide the current frame, or those chosen together, and go to the next undecided one."""
        if not self.meant:
            return no_frame()
        return self._decide(
            dict.fromkeys(self.meant, verdict), decided_words(verdict, self._named(self.meant))
        )

    def clear_frame(self) -> Outcome:
        """Take the decision on the current frame, or on those chosen together, back and stay."""
        if not self.meant:
            return no_frame()
        words = decided_words(None, self._named(self.meant))
        return self._decide(dict.fromkeys(self.meant, None), words, stay=True)

    def _named(self, frames: Iterable[int]) -> str:
        return name_words([self.frames[index] for index in frames])

    def decide_shown(self, verdict: Verdict) -> Outcome:
        """Decide every undecided frame that the filter is about; to be called after a question only."""
        frames = [index for index in self.shown_frames() if index not in self._verdicts]
        return self._decide(dict.fromkeys(frames, verdict), decided_words(verdict, frames_words(len(frames))))

    def decide_event(self, verdict: Verdict) -> Outcome:
        """Decide every frame of the current event alike and go on."""
        event = self.event
        if event is None:
            return no_event()
        words = decided_words(verdict, whole_event_words(event))
        return self._decide(dict.fromkeys(event.frames, verdict), words)

    def clear_event(self) -> Outcome:
        """Take the decisions on the current event back and stay."""
        event = self.event
        if event is None:
            return no_event()
        words = decided_words(None, whole_event_words(event))
        return self._decide(dict.fromkeys(event.frames, None), words, stay=True)

    def keep_best(self) -> Outcome:
        """Keep the frame that shows the event best and those kept by hand before; reject the rest."""
        event = self.event
        if event is None:
            return no_event()
        kept = {index for index in event.frames if self._verdicts.get(index) is Verdict.KEEP} | {event.lead}
        wanted: dict[int, Verdict | None] = {
            index: Verdict.KEEP if index in kept else Verdict.REJECT for index in event.frames
        }
        words = kept_best_words(event, self.frames[event.lead], kept=len(kept))
        return self._decide(wanted, words)

    def put_away(self, frames: Collection[int], what: str) -> Outcome:
        """Reject frames of a group; to be called after a question only."""
        words = put_away_words(len(frames), what)
        return self._decide(dict.fromkeys(frames, Verdict.REJECT), words, stay=self.current not in frames)

    def undo(self) -> Outcome:
        """Take the last decision on this card back, and go to the first frame it touched."""
        return self._reverse(self._store.undo, TAKEN_BACK)

    def redo(self) -> Outcome:
        """Make the decision last taken back again, and go to the first frame it touched."""
        return self._reverse(self._store.redo, MADE_AGAIN)

    def _decide(self, wanted: Mapping[int, Verdict | None], words: str, *, stay: bool = False) -> Outcome:
        changing = {
            index: verdict for index, verdict in wanted.items() if self._verdicts.get(index) is not verdict
        }
        self.choose_none()
        if not changing:
            if not stay:
                self.next_undecided(finish_event=True)
            return Outcome((), tr("Nothing to change there."))
        by_key: dict[str, Verdict | None] = {}
        for index, verdict in changing.items():
            key = self.frames[index].key
            if by_key.get(key) is not Verdict.KEEP:  # of two copies of one picture, a kept one counts
                by_key[key] = verdict
        self._store.decide_each(by_key)
        self._refresh(by_key)
        if not stay:
            self.next_undecided(finish_event=True)
        return Outcome(tuple(changing), words)

    def _reverse(self, act: Reversal, words: tuple[str, str]) -> Outcome:
        keys = act(self._by_key.keys())
        if not keys:
            return Outcome((), tr(words[1]))
        self._refresh(keys)
        self.choose_none()
        changed = tuple(sorted(index for key in dict.fromkeys(keys) for index in self._by_key[key]))
        self.current = changed[0]
        return Outcome(changed, tr(words[0], what=self._named(changed)))

    def read_again(self) -> bool:
        """Read every verdict again, as another window may have decided; return whether any differs."""
        before = dict(self._verdicts)
        self._refresh(self._by_key)
        return before != self._verdicts

    def _refresh(self, keys: Collection[str]) -> None:
        """Read verdicts back from the store, so that the screen shows what is on the disk."""
        in_force = self._store.verdicts(list(keys))
        touched = [
            index
            for key in keys
            for index in self._by_key.get(key, ())
            if self._verdicts.get(index) is not in_force.get(key)
        ]
        for index in touched:
            verdict = in_force.get(self.frames[index].key)
            if verdict is None:
                del self._verdicts[index]
            else:
                self._verdicts[index] = verdict
        self._touched.update(touched)
        changed = self._events_of(touched)
        self._count_open(changed)
        self._sift(changed)

    def take_touched(self) -> set[int]:
        """Return the frames whose verdict changed since this was last asked."""
        touched, self._touched = self._touched, set()
        return touched
