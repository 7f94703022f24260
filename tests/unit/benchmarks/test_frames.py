"""One frame's answer against its truth."""

from typing import Any

import pytest

from tests.benchmarks.accuracy.frames import (
    Placing,
    Seen,
    light_errors,
    place,
    right_and_wrong,
    subject_stated,
)
from tests.benchmarks.accuracy.truth import Figure, TrueFrame, from_json
from tests.unit.benchmarks.cases import said_frame, told_frame, told_night, told_subject

FOX = [0.4, 0.4, 0.6, 0.6]
AWAY = [0.7, 0.7, 0.9, 0.9]


def true(**changes: Any) -> TrueFrame:
    return from_json(told_night([told_frame(**changes)]), "night").frames[0]


def fox(**changes: Any) -> TrueFrame:
    return true(subjects=[told_subject(**changes)])


def test_a_box_on_the_subject_sees_it_and_one_elsewhere_does_not() -> None:
    assert place(said_frame(box=FOX), fox()) == Placing(Seen.SEEN, pytest.approx(1.0))
    # Half of the box on the fox: 0.02 shared of 0.06.
    assert place(said_frame(box=[0.5, 0.4, 0.7, 0.6]), fox()) == Placing(Seen.SEEN, pytest.approx(1 / 3))
    assert place(said_frame(box=AWAY), fox()) == Placing(Seen.MISPLACED, 0.0)


@pytest.mark.parametrize("kind", ["empty", "setup"])
def test_a_subject_filed_away_is_hidden_whatever_the_box(kind: str) -> None:
    assert place(said_frame(box=FOX, **{kind: 0.9}), fox()) == Placing(Seen.HIDDEN)


def test_a_frame_left_without_a_box_is_not_hidden() -> None:
    assert place(said_frame(), fox()) == Placing(Seen.UNBOXED)
    assert place(said_frame(dark=0.9), fox()) == Placing(Seen.UNBOXED)


def test_the_operator_and_impossible_subjects_are_not_placed() -> None:
    assert place(said_frame(setup=0.9), true(setup=True, subjects=[told_subject(species="person")])) is None
    assert place(said_frame(empty=0.9), fox(visible_area=0.0001)) is None
    assert place(said_frame(empty=0.9), true()) is None


def test_with_two_subjects_the_box_may_be_on_either_or_around_both() -> None:
    two = true(subjects=[told_subject(), told_subject(box=AWAY)])
    for box in (FOX, AWAY, [0.4, 0.4, 0.9, 0.9]):
        assert place(said_frame(box=box), two) == Placing(Seen.SEEN, pytest.approx(1.0))


def test_without_a_drawn_box_any_box_sees() -> None:
    undrawn = TrueFrame("a", None, {"empty": False}, (Figure(None, "person", visible=True),))
    assert place(said_frame(box=AWAY), undrawn) == Placing(Seen.SEEN)


def test_only_what_is_judged_is_compared() -> None:
    answers = right_and_wrong(said_frame(empty=0.9, soft=0.8), fox())
    assert answers["empty"] == (True, False)
    assert answers["edge"] == (False, False)
    assert "soft" not in answers


def test_a_stated_subject_is_right_where_one_is_overlapped() -> None:
    assert subject_stated(said_frame(box=FOX, sure=0.8), fox()) == (0.8, True)
    assert subject_stated(said_frame(box=AWAY, sure=0.8), fox()) == (0.8, False)
    assert subject_stated(said_frame(box=AWAY, sure=0.3), true()) == (0.3, False)
    assert subject_stated(said_frame(), fox()) is None
    assert subject_stated(said_frame(box=FOX), fox(tonal_difference=3.0)) is None


def test_light_is_off_by_the_difference_and_null_is_no_number() -> None:
    assert light_errors(said_frame(), true()) == {"flash-left": pytest.approx(0.03), "flash-right": None}
    assert light_errors(said_frame(), true(setup=True)) == {}
