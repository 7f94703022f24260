"""What is kept between keys is what a walk through the whole card would find."""

import random
from itertools import islice

import pytest

from tests.gui.stand_ins import make_night
from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.ui.filters import Filter, Only, matches
from triage.ui.order import Order
from triage.ui.session import Session

KINDS = (EventKind.EMPTY, EventKind.SUBJECT, EventKind.DARK, EventKind.SETUP)
NIGHT = make_night(tuple((KINDS[at % 4], 1 + at % 3) for at in range(17)))
FILTERS: tuple[Filter, ...] = (None, Only.UNDECIDED, Only.KEPT, Only.SUBJECT, FindingKind.EMPTY)


def shown_by_walking(session: Session) -> list[int]:
    which = session.shown

    def passes(index: int, kind: EventKind) -> bool:
        said, verdict = session.judgements.get(index), session.verdicts.get(index)
        return which is None or matches(which, index, said=said, verdict=verdict, kind=kind)

    return [event.id for event in session.events if any(passes(index, event.kind) for index in event.frames)]


def undecided_by_walking(session: Session) -> list[int]:
    order, here = session.work(), session.current
    at = order.index(here) + 1 if here in order else 0
    around = (*order[at:], *order[:at])
    return [index for index in around if index not in session.verdicts and index != here]


@pytest.mark.parametrize("seed", range(6))
def test_any_acts_leave_what_is_kept_as_a_walk_finds_it(library, seed):
    chance = random.Random(seed)  # noqa: S311 - which act comes next is no secret
    session = Session(library)
    session.load(NIGHT.frames, NIGHT.events)
    session.settle(NIGHT.frames, NIGHT.judgements, NIGHT.events)
    told: dict[int, Verdict] = {}
    acts = (
        lambda: session.decide_frame(chance.choice(list(Verdict))),
        lambda: session.decide_event(chance.choice(list(Verdict))),
        session.keep_best,
        session.clear_event,
        session.undo,
        session.redo,
        lambda: session.go(chance.randrange(len(NIGHT.frames))),
        lambda: session.step_frame(chance.choice((-1, 1))),
        lambda: session.step_event(chance.choice((-1, 1))),
        lambda: session.show(chance.choice(FILTERS)),
        lambda: setattr(session, "by_time", not session.by_time),
    )
    for _turn in range(60):
        chance.choice(acts)()
        assert [event.id for event in session.shown_events()] == shown_by_walking(session)
        assert list(session.undecided_ahead()) == undecided_by_walking(session)
        for index in session.take_touched():
            told[index] = session.verdicts.get(index)
        assert {index: verdict for index, verdict in told.items() if verdict} == dict(session.verdicts)


def test_stepping_goes_through_the_frames_shown_and_no_others(library):
    session = Session(library)
    session.load(NIGHT.frames, NIGHT.events)
    session.settle(NIGHT.frames, NIGHT.judgements, NIGHT.events)
    session.show(Only.SUBJECT)
    wanted = [index for event in session.shown_events() for index in event.frames]
    session.go(wanted[0])
    walked = [session.current]
    while session.step_frame(1):
        walked.append(session.current)
    assert walked == wanted
    while session.step_frame(-1):
        walked.pop()
    assert session.current == wanted[0]
    assert len(walked) == 1


def test_an_order_knows_what_stands_where():
    order = Order(NIGHT.events[:4])
    first, second, third, fourth = order.events
    assert order.place(third) == 2
    assert order.place(NIGHT.events[9]) is None
    assert order.beside(first, 1) is second
    assert order.beside(first, -1) is None
    assert order.beside(fourth, 1) is None
    assert order.from_here(second) == (third, fourth, first)
    assert order.from_here(second, back=True) == (first, fourth, third)
    assert list(islice(order.from_here(NIGHT.events[9]), 2)) == [first, second]
