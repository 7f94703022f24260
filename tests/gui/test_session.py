from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import make_judgement
from tests.gui.stand_ins import make_night
from triage.errors import StoreError
from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.store.library import Library
from triage.ui.filters import Evidence, Only
from triage.ui.groups import Group, Members, members
from triage.ui.promise import Promise, by_promise, promise
from triage.ui.session import Session

KEEP, REJECT = Verdict.KEEP, Verdict.REJECT
NIGHT = ((EventKind.SETUP, 2), (EventKind.SUBJECT, 3), (EventKind.EMPTY, 2), (EventKind.SUBJECT, 1))


def load(store, events=NIGHT) -> Session:
    night = make_night(events)
    session = Session(store)
    session.load(night.frames, night.events)
    session.settle(night.frames, night.judgements, night.events)
    return session


class MemoryStore:
    """A store without a disk; undo and redo as in the library, by batches."""

    def __init__(self) -> None:
        self.held: dict[str, Verdict] = {}
        self.past: list[dict[str, Verdict | None]] = []
        self.future: list[dict[str, Verdict | None]] = []
        self.fails = False

    def _set(self, wanted):
        before = {key: self.held.get(key) for key in wanted}
        for key, verdict in wanted.items():
            if verdict is None:
                self.held.pop(key, None)
            else:
                self.held[key] = verdict
        return before

    def decide_each(self, wanted):
        if self.fails:
            msg = "The disk is full."
            raise StoreError(msg)
        self.past.append(self._set(wanted))
        self.future.clear()
        return len(self.past)

    def _move(self, source, target):
        if not source:
            return ()
        wanted = source.pop()
        target.append(self._set(wanted))
        return tuple(wanted)

    def undo(self, scope):
        return self._move(self.past, self.future)

    def redo(self, scope):
        return self._move(self.future, self.past)

    def verdicts(self, keys):
        return {key: self.held[key] for key in keys if key in self.held}


def test_a_new_card_starts_at_its_first_frame_with_nothing_decided(library):
    session = load(library)
    assert session.current == 0
    assert session.tally().undecided == 8


def test_a_card_opened_again_starts_at_its_first_undecided_frame(library):
    first = load(library)
    first.decide_frame(KEEP)
    first.decide_frame(REJECT)
    again = load(library)
    assert again.current == 2
    assert dict(again.verdicts) == {0: KEEP, 1: REJECT}


def test_a_decision_is_in_the_file_before_the_method_returns(library):
    session = load(library)
    session.decide_frame(KEEP)
    with Library(library.path) as other:
        assert other.verdicts([session.frames[0].key]) == {session.frames[0].key: KEEP}


def test_deciding_a_frame_goes_to_the_next_undecided_one(library):
    session = load(library)
    session.go(3)
    session.decide_frame(KEEP)
    session.go(2)
    session.decide_frame(REJECT)
    assert session.current == 4


def test_by_time_next_undecided_goes_round_the_end(library):
    session = load(library)
    session.by_time = True
    session.go(7)
    session.decide_frame(KEEP)
    assert session.current == 0


def test_the_most_promising_events_come_first_best_frame_first_once_the_card_is_judged(library):
    session = load(library)
    seen = []
    for _frame in session.frames:
        session.next_undecided()
        seen.append(session.current)
        session.decide_frame(REJECT)
        session.go(seen[-1])
    # Visits 2 (best frame 3) and 4, then the empty event 3 (best frame 6), then setting up (best frame 1).
    assert seen == [3, 4, 2, 7, 6, 5, 1, 0]


def test_what_promises_alike_stays_in_order_of_time(library):
    night = make_night((*NIGHT, (EventKind.DARK, 1), (EventKind.SUBJECT, 1)))
    judgements = dict(enumerate(night.judgements))
    marred = make_judgement(7, FindingKind.EDGE, subject=judgements[7].measurement.subject)
    doubtful = replace(judgements[8], unsure=True)
    judgements |= {7: marred, 8: doubtful}
    assert [promise(event, judgements) for event in night.events] == [
        Promise.OWN,
        Promise.CLEAR,
        Promise.NOTHING,
        Promise.MARRED,
        Promise.UNSURE,
        Promise.CLEAR,
    ]
    assert [event.id for event in by_promise(night.events, judgements)] == [2, 6, 4, 5, 3, 1]


def test_while_the_card_is_read_frames_come_by_time(library):
    night = make_night(NIGHT)
    session = Session(library)
    session.load(night.frames, night.events)
    session.next_undecided()
    assert session.current == 1


def test_a_person_who_has_gone_somewhere_goes_on_from_there(library):
    session = load(library)
    session.go(6)
    session.next_undecided()
    assert session.current == 5


def test_next_undecided_stays_where_everything_is_decided(library):
    session = load(library, ((EventKind.SUBJECT, 2),))
    session.decide_event(KEEP)
    assert not session.next_undecided()
    assert session.current == 0


def test_next_undecided_goes_back_too(library):
    session = load(library)
    session.go(4)
    assert session.next_undecided(back=True)
    assert session.current == 3


def test_frames_chosen_together_are_decided_together_and_taken_back_together(library):
    session = load(library)
    session.go(2)
    assert session.choose_on(1)
    assert session.choose_on(1)
    assert session.chosen == (2, 3, 4)
    assert session.choose_on(-1)
    assert session.chosen == (2, 3)
    outcome = session.decide_frame(REJECT)
    assert outcome.words == "Rejected 2 frames."
    assert session.chosen == ()
    session.undo()
    assert not session.verdicts


def test_choosing_backwards_and_to_a_frame_far_off(library):
    session = load(library)
    session.go(4)
    session.choose_on(-1)
    assert session.chosen == (3, 4)
    session.choose_to(0)
    assert session.chosen == (0, 1, 2, 3, 4)
    assert not session.choose_on(-1)
    session.go(5)
    assert session.chosen == ()


def test_all_frames_under_a_filter_are_decided_but_not_the_rest_of_their_events(library):
    session = load(library)
    session.go(5)
    session.decide_frame(KEEP)
    session.show(FindingKind.EMPTY)
    assert session.shown_frames() == (5, 6)
    outcome = session.decide_shown(REJECT)
    assert outcome.words == "Rejected 1 frame."
    assert dict(session.verdicts) == {5: KEEP, 6: REJECT}
    session.show(Evidence("a fault", frozenset({3})))
    assert [event.id for event in session.shown_events()] == [2]
    assert session.shown_frames() == (3,)


def test_what_another_window_decides_is_read_again(library):
    session = load(library)
    assert not session.read_again()
    with Library(library.path) as other:
        other.decide([session.frames[4].key], KEEP)
    assert session.read_again()
    assert dict(session.verdicts) == {4: KEEP}


def test_keeping_the_best_rejects_the_rest_of_the_event_only(library):
    session = load(library)
    session.go(2)
    outcome = session.keep_best()
    assert dict(session.verdicts) == {2: REJECT, 3: KEEP, 4: REJECT}
    assert outcome.words == "Kept NGT_0004.JPG, rejected 2 others of event 2."


def test_keeping_the_best_leaves_what_was_kept_by_hand(library):
    session = load(library)
    session.go(2)
    session.decide_frame(KEEP)
    session.go(4)
    session.keep_best()
    assert dict(session.verdicts) == {2: KEEP, 3: KEEP, 4: REJECT}


def test_one_undo_takes_one_key_back_even_where_it_kept_and_rejected(library):
    session = load(library)
    session.go(2)
    session.keep_best()
    outcome = session.undo()
    assert not session.verdicts
    assert set(outcome.changed) == {2, 3, 4}
    session.redo()
    assert dict(session.verdicts) == {2: REJECT, 3: KEEP, 4: REJECT}


def test_undo_works_after_opening_again(library):
    first = load(library)
    first.decide_event(REJECT)
    again = load(library)
    again.undo()
    assert not again.verdicts


def test_undo_shows_the_first_frame_it_touched(library):
    session = load(library)
    session.go(5)
    session.decide_event(REJECT)
    session.go(0)
    session.undo()
    assert session.current == 5


def test_undo_with_nothing_to_undo_says_so(library):
    assert load(library).undo().words == "Nothing to undo on this card."
    assert load(library).redo().words == "Nothing to redo on this card."


def test_a_new_decision_ends_redo(library):
    session = load(library)
    session.decide_frame(KEEP)
    session.undo()
    session.decide_frame(REJECT)
    assert not session.redo().changed


def test_clearing_takes_a_decision_back_and_stays(library):
    session = load(library)
    session.decide_event(REJECT)
    session.go(1)
    session.clear_frame()
    assert session.current == 1
    assert dict(session.verdicts) == {0: REJECT}
    session.clear_event()
    assert not session.verdicts


def test_deciding_the_same_again_changes_nothing_and_adds_nothing_to_undo(library):
    session = load(library)
    session.decide_frame(KEEP)
    session.go(0)
    assert not session.decide_frame(KEEP).changed
    session.undo()
    assert not session.verdicts


def test_a_decision_that_cannot_be_stored_is_not_shown():
    store = MemoryStore()
    session = load(store)
    store.fails = True
    with pytest.raises(StoreError):
        session.decide_frame(KEEP)
    assert not session.verdicts
    assert session.current == 0


def test_frames_and_events_are_stepped_through_and_end(library):
    session = load(library)
    assert session.step_event(1)
    assert session.current == 3
    assert session.step_frame(-1)
    assert session.current == 2
    session.go(0)
    assert not session.step_frame(-1)
    assert not session.step_event(-1)
    session.go(7)
    assert not session.step_frame(1)
    assert not session.step_event(1)


def test_going_where_nothing_is_moves_nothing(library):
    session = load(library)
    assert not session.go(99)
    assert not session.go_to_event(99)
    assert session.current == 0


def test_a_filter_shows_events_with_a_matching_frame(library):
    session = load(library)
    session.show(FindingKind.EMPTY)
    assert [event.id for event in session.shown_events()] == [3]
    assert session.current == session.events[2].lead
    assert not session.step_event(1)


@pytest.mark.parametrize(
    ("which", "ids"),
    [
        (Only.SUBJECT, [2, 4]),
        (Only.KEPT, [1]),
        (Only.UNDECIDED, [1, 2, 3, 4]),
        (Only.UNSURE, []),
        (FindingKind.SETUP, [1]),
        (None, [1, 2, 3, 4]),
    ],
)
def test_each_filter_counts_what_it_shows(library, which, ids):
    session = load(library)
    session.decide_frame(KEEP)
    session.show(which)
    assert [event.id for event in session.shown_events()] == ids
    assert session.count_events(which) == len(ids)


def test_regrouping_keeps_the_current_frame(library):
    night = make_night(NIGHT)
    session = Session(library)
    session.load(night.frames, make_night(((EventKind.MIXED, 8),)).events)
    session.go(4)
    session.settle(night.frames, night.judgements, night.events)
    assert session.current == 4
    assert session.event == night.events[1]


def test_groups_are_whole_events_and_only_sure_ones_go_unseen(library):
    night = make_night((*NIGHT, (EventKind.EMPTY, 2)))
    session = load(library, (*NIGHT, (EventKind.EMPTY, 2)))
    assert members(session, Group.EMPTY).frames == (5, 6, 8, 9)
    assert members(session, Group.EMPTY).sure == ()  # said at 0.9 only
    sure = {
        index: replace(said, findings=tuple(replace(found, confidence=0.97) for found in said.findings))
        for index, said in enumerate(night.judgements)
    }
    session.settle(night.frames, [*sure.values(), replace(sure[6], unsure=True)], night.events)
    assert members(session, Group.EMPTY) == Members(Group.EMPTY, (8, 9), (8, 9), 1)
    assert members(session, Group.EMPTY, without=frozenset({8})).frames == ()
    own = members(session, Group.OWN)
    assert own.sure == (0, 1)
    session.put_away(own.sure, "you at the rig")
    assert dict(session.verdicts) == {0: REJECT, 1: REJECT}
    session.undo()
    assert not session.verdicts


def test_two_files_of_one_content_are_decided_together(library):
    night = make_night(((EventKind.SUBJECT, 2),))
    twin = type(night.frames[1])(
        1, night.frames[0].key, night.frames[1].files, night.frames[1].capture, night.frames[1].time
    )
    session = Session(library)
    session.load((night.frames[0], twin), night.events)
    session.decide_frame(KEEP)
    assert dict(session.verdicts) == {0: KEEP, 1: KEEP}


def test_without_a_card_nothing_can_be_decided(library):
    session = Session(library)
    assert not session.choose_on(1)
    for act in (session.keep_best, session.clear_frame, session.clear_event, session.undo):
        assert not act().changed
    assert not session.decide_frame(KEEP).changed
    assert not session.decide_event(KEEP).changed
    assert not session.step_frame(1)
    assert not session.step_event(1)
    assert not session.next_undecided()


ACTS = st.sampled_from(
    ["keep", "reject", "best", "keep event", "reject event", "clear", "clear event", "on", "back", "event on"]
)


@given(st.lists(ACTS, max_size=25))
def test_undoing_everything_restores_the_beginning_and_redoing_the_end(acts):
    session = load(MemoryStore())
    moves = {
        "keep": lambda: session.decide_frame(KEEP),
        "reject": lambda: session.decide_frame(REJECT),
        "best": session.keep_best,
        "keep event": lambda: session.decide_event(KEEP),
        "reject event": lambda: session.decide_event(REJECT),
        "clear": session.clear_frame,
        "clear event": session.clear_event,
        "on": lambda: session.step_frame(1),
        "back": lambda: session.step_frame(-1),
        "event on": lambda: session.step_event(1),
    }
    changes = 0
    for act in acts:
        outcome = moves[act]()
        changes += bool(getattr(outcome, "changed", ()))
        assert session.current is not None
        tally = session.tally()
        assert tally.kept + tally.rejected + tally.undecided == 8
    end = dict(session.verdicts)
    for _turn in range(changes):
        assert session.undo().changed
    assert not session.verdicts
    for _turn in range(changes):
        assert session.redo().changed
    assert dict(session.verdicts) == end


def test_keeping_the_best_is_one_undo_even_after_opening_the_card_again(library):
    first = load(library)
    first.step_event(1)
    first.keep_best()
    assert set(first.verdicts.values()) == {KEEP, REJECT}
    again = load(library)
    again.undo()
    assert not again.verdicts
