import pytest

from tests.gui.stand_ins import make_night
from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.ui.models.ahead import MOST_AHEAD, coming
from triage.ui.session import Session

NIGHT = make_night(tuple((EventKind.SUBJECT, 3) for _turn in range(5)))


@pytest.fixture
def session(library):
    made = Session(library)
    made.load(NIGHT.frames, NIGHT.events)
    made.settle(NIGHT.frames, NIGHT.judgements, NIGHT.events)
    return made


def test_nothing_comes_without_a_card(library):
    assert coming(Session(library)) == ()


@pytest.mark.parametrize("by_time", [True, False])
@pytest.mark.parametrize("start", [0, 4, 7, 10])
def test_wherever_a_key_leads_is_among_what_was_decoded_ahead(library, by_time, start):
    acts = {
        "next frame": lambda session: session.step_frame(1),
        "frame before": lambda session: session.step_frame(-1),
        "next event": lambda session: session.step_event(1),
        "event before": lambda session: session.step_event(-1),
        "next undecided": lambda session: session.next_undecided(),
        "decide the frame": lambda session: session.decide_frame(Verdict.KEEP),
        "keep the best": lambda session: session.keep_best(),
        "reject the event": lambda session: session.decide_event(Verdict.REJECT),
    }
    for what, act in acts.items():
        library.decide([frame.key for frame in NIGHT.frames], None)
        session = Session(library)
        session.load(NIGHT.frames, NIGHT.events)
        session.settle(NIGHT.frames, NIGHT.judgements, NIGHT.events)
        session.by_time = by_time
        session.go(start)
        ahead = coming(session)
        act(session)
        assert session.current in {start, *ahead}, what


def test_what_comes_is_told_once_without_the_frame_itself_and_not_beyond_the_card(session):
    for index in range(len(NIGHT.frames)):
        session.go(index)
        ahead = coming(session)
        assert len(set(ahead)) == len(ahead) <= MOST_AHEAD
        assert index not in ahead
        assert all(0 <= each < len(NIGHT.frames) for each in ahead)


def test_a_decided_frame_is_no_place_to_go_on_to(session):
    session.go(0)
    session.decide_frame(Verdict.KEEP)
    session.go(1)
    assert coming(session)[0] != 0
