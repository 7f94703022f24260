from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.factories import EVENING, make_frame, make_judgement
from triage.events.travel import travel_of
from triage.records.event import Travel
from triage.records.measurement import Box, Side, Subject


def going(*seen, confidence=0.95):
    """Follow a subject by its seconds, left and right ends, and the borders that cut it."""
    frames, said = [], []
    for index, (second, left, right, *cut_by) in enumerate(seen):
        frames.append(make_frame(index, taken=EVENING + timedelta(seconds=second)))
        said.append(
            make_judgement(index, subject=Subject(Box(left, 0.4, right, 0.6), confidence, tuple(cut_by)))
        )
    return travel_of(frames, said)


def test_a_subject_that_walks_to_the_right_does():
    assert going((0, 0.1, 0.3), (0.5, 0.3, 0.5), (1.0, 0.5, 0.7)) == Travel(Side.RIGHT, pytest.approx(0.4))


def test_one_that_walks_to_the_left_does():
    assert going((0, 0.5, 0.7), (2.0, 0.3, 0.5)) == Travel(Side.LEFT, pytest.approx(0.1))


def test_one_that_turns_its_head_stays():
    assert going((0, 0.3, 0.5), (1.0, 0.31, 0.52)).toward is None


def test_a_border_that_cuts_it_does_not_slow_it_down():
    seen = going((0, 0.0, 0.1, Side.LEFT), (1.0, 0.1, 0.5), (2.0, 0.5, 0.9))
    assert seen == Travel(Side.RIGHT, pytest.approx(0.4))


def test_cut_on_both_sides_nothing_is_told():
    assert going((0, 0.0, 1.0, Side.LEFT, Side.RIGHT), (1.0, 0.0, 1.0, Side.LEFT, Side.RIGHT)) is None


def test_seen_once_or_hardly_at_all_nothing_is_told():
    assert going((0, 0.3, 0.5)) is None
    assert going((0, 0.1, 0.3), (1.0, 0.5, 0.7), confidence=0.3) is None


def test_frames_of_the_same_moment_tell_no_speed():
    assert going((0, 0.1, 0.3), (0, 0.5, 0.7)) is None


def test_the_burst_that_shows_it_most_often_tells_not_the_pause_between():
    seen = going((0, 0.1, 0.3), (60, 0.8, 0.9), (61, 0.7, 0.8), (62, 0.6, 0.7))
    assert seen == Travel(Side.LEFT, pytest.approx(0.1))


def test_one_odd_outline_does_not_turn_it_round():
    seen = going((0, 0.1, 0.2), (1, 0.2, 0.3), (2, 0.8, 0.9), (3, 0.4, 0.5), (4, 0.5, 0.6))
    assert seen.toward is Side.RIGHT
    assert seen.widths_per_s == pytest.approx(0.1, abs=0.05)


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 4), st.floats(0, 0.7)), min_size=2, max_size=6, unique_by=lambda one: one[0]
    )
)
def test_seen_in_a_mirror_it_goes_the_other_way_as_fast(places):
    ordered = sorted(places)
    ahead = going(*((second, left, left + 0.2) for second, left in ordered))
    mirror = going(*((second, 0.8 - left, 1.0 - left) for second, left in ordered))
    if ahead is None:
        assert mirror is None
        return
    turned = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, None: None}
    assert mirror.widths_per_s == pytest.approx(ahead.widths_per_s, abs=1e-9)
    assert mirror.toward in {turned[ahead.toward], None} or ahead.toward is None
