import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes import Visitor, ellipse, texture
from triage.measure.presence import chance, even_strength, likeliest
from triage.measure.texture import detail

LAW = settings(deadline=None, max_examples=40)

SHAPE = (120, 160)
# A region's strength is above 3, less nine tenths at most for a change of light; without a region it is 0.
STRENGTHS = st.one_of(st.just(0.0), st.floats(0.1, 1e4))
EVENS = st.floats(12.0, 30.0)


@LAW
@given(STRENGTHS, EVENS)
def test_a_chance_is_never_certain(strength, even):
    assert 0.005 <= chance(strength, even) <= 0.995


@LAW
@given(STRENGTHS, STRENGTHS, EVENS)
def test_more_strength_is_never_a_smaller_chance(one, other, even):
    weak, strong = sorted((one, other))
    assert chance(weak, even) <= chance(strong, even)


@LAW
@given(STRENGTHS, EVENS, EVENS)
def test_a_more_restless_card_never_makes_a_larger_chance(strength, one, other):
    calm, restless = sorted((one, other))
    assert chance(strength, restless) <= chance(strength, calm)


@LAW
@given(EVENS)
def test_at_even_strength_a_subject_is_as_likely_as_not(even):
    assert chance(even, even) == pytest.approx(0.5)


def test_no_strength_is_the_least_chance():
    assert chance(0.0, 12.0) == 0.005


@LAW
@given(st.lists(STRENGTHS, max_size=30))
def test_even_strength_stays_within_its_bounds(strengths):
    assert even_strength([]) <= even_strength(strengths) <= even_strength([1e6])


@LAW
@given(st.lists(STRENGTHS, min_size=1, max_size=10), st.randoms(use_true_random=False))
def test_even_strength_does_not_depend_on_the_order(strengths, random):
    mixed = strengths.copy()
    random.shuffle(mixed)
    assert even_strength(mixed) == even_strength(strengths)


def test_even_strength_rises_with_the_quiet_frames_of_the_card():
    found = [even_strength([quiet] * 8 + [60.0] * 4) for quiet in (1.0, 4.0, 6.0, 9.0, 20.0)]
    assert found == sorted(found)
    assert found[0] < found[2] < found[-1]


def test_a_card_where_every_frame_holds_a_subject_does_not_hide_them():
    strengths = [50.0, 60.0, 80.0, 120.0]
    assert all(chance(each, even_strength(strengths)) > 0.9 for each in strengths)


def plane(seed):
    return np.asarray(0.4 + 0.08 * texture(*SHAPE, seed=seed), np.float32)


def found_in(places, *, shown):
    """Look for a subject where evidence of some strength lies on ellipses."""
    peak = np.zeros(SHAPE, np.float32)
    for visitor, strength in places:
        peak[ellipse(visitor, *SHAPE)] = strength
    return likeliest(peak, peak.copy(), detail(shown), detail(plane(1)))


def test_where_nothing_stands_out_there_is_no_subject():
    found = found_in([], shown=plane(1))
    assert found.region is None
    assert found.strength == 0.0


def test_a_thing_of_its_own_texture_keeps_its_strength():
    assert found_in([(Visitor(0.5, 0.5), 25.0)], shown=plane(2)).strength == pytest.approx(25.0)


def test_a_change_of_light_over_the_scenes_own_texture_loses_most_of_its_strength():
    found = found_in([(Visitor(0.5, 0.5), 25.0)], shown=0.6 * plane(1))
    assert found.strength == pytest.approx(2.5, abs=0.1)


def test_a_thing_is_preferred_to_a_stronger_change_of_light():
    light, thing = Visitor(0.5, 0.25), Visitor(0.5, 0.75)
    shown = np.where(ellipse(thing, *SHAPE), plane(2), 0.6 * plane(1)).astype(np.float32)
    found = found_in([(light, 40.0), (thing, 20.0)], shown=shown)
    assert found.strength == pytest.approx(20.0, abs=2.0)
    assert found.region.box.x0 > 0.5


def test_many_changes_of_light_are_no_thing():
    places = [
        (Visitor(row, col, high=0.1, wide=0.08), 20.0 + 20 * row + 10 * col)
        for row in (0.25, 0.75)
        for col in (0.15, 0.4, 0.65, 0.9)
    ]
    strongest = max(strength for _, strength in places)
    assert found_in(places, shown=0.6 * plane(1)).strength == pytest.approx(strongest / 10, rel=0.05)


def test_the_stronger_of_two_things_is_the_subject():
    places = [(Visitor(0.5, 0.25), 20.0), (Visitor(0.5, 0.75), 40.0)]
    for order in itertools.permutations(places):
        assert found_in(order, shown=plane(2)).region.box.x0 > 0.5


def test_the_evidence_given_is_never_written_to():
    peak = np.zeros(SHAPE, np.float32)
    peak[ellipse(Visitor(0.5, 0.5), *SHAPE)] = 25.0
    before = peak.copy()
    likeliest(peak, peak, detail(plane(2)), detail(plane(1)))
    assert np.array_equal(peak, before)
