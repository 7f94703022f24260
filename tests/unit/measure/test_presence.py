import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes import Visitor, ellipse, texture
from triage.findings.thresholds import EMPTY_BELOW
from triage.measure.presence import (
    ALONE,
    IN_BURST,
    Clues,
    Sight,
    chance,
    likeliest,
    regions_with_clues,
    terms,
    usual_peak,
)
from triage.measure.regions import Evidence
from triage.measure.wobble import SCALES

LAW = settings(deadline=None, max_examples=60)

SHAPE = (120, 160)

DOUBTFUL = Clues(
    strength=10.0,
    elsewhere=(5.0, 7.0),
    moved=6.0,
    area=1e-3,
    contrast=0.05,
    texture_kept=0.3,
    brighter=True,
    fineness=0.0,
    day=0.5,
)


def other(**values):
    """Return the doubtful clues with some of them changed."""
    return dataclasses.replace(DOUBTFUL, **values)


@st.composite
def clues(draw):
    high = draw(st.floats(0.0, 300.0))
    return Clues(
        strength=draw(st.floats(3.0, 1e4)),
        elsewhere=(high, high + draw(st.floats(0.0, 100.0))),
        moved=draw(st.one_of(st.none(), st.floats(0.0, 1e4))),
        area=draw(st.floats(0.0, 1.0)),
        contrast=draw(st.floats(0.0, 2.0)),
        texture_kept=draw(st.floats(0.0, 1.0)),
        brighter=draw(st.booleans()),
        fineness=draw(st.floats(-5.0, 5.0)),
        day=draw(st.floats(0.0, 1.0)),
    )


@LAW
@given(clues())
def test_a_chance_is_never_certain(some):
    assert 0.005 <= chance(some) <= 0.995


@LAW
@given(clues(), st.floats(1.0, 100.0))
def test_more_strength_is_never_a_smaller_chance(some, factor):
    assert chance(dataclasses.replace(some, strength=factor * some.strength)) >= chance(some) - 1e-9


@LAW
@given(clues(), st.floats(0.0, 100.0))
def test_a_more_restless_frame_is_never_a_larger_chance(some, more):
    high, highest = some.elsewhere
    assert chance(dataclasses.replace(some, elsewhere=(high + more, highest + more))) <= chance(some) + 1e-9


@LAW
@given(clues(), st.floats(0.0, 1e3))
def test_what_changed_within_the_burst_is_never_a_smaller_chance(some, more):
    if some.moved is not None:
        assert chance(dataclasses.replace(some, moved=some.moved + more)) >= chance(some) - 1e-9


@pytest.mark.parametrize(
    ("likely", "unlikely"),
    [
        ({"moved": 20.0}, {"moved": 0.0}),
        ({"area": 2e-3}, {"area": 2e-4}),
        ({"contrast": 0.2}, {"contrast": 0.01}),
        ({"texture_kept": 0.0}, {"texture_kept": 1.0}),
        ({"brighter": False, "area": 6e-4, "moved": 20.0}, {"brighter": True, "area": 6e-4, "moved": 20.0}),
    ],
)
def test_each_clue_speaks_for_a_subject_or_against_it(likely, unlikely):
    assert chance(other(**likely)) > chance(other(**unlikely)) + 0.02


def test_texture_tells_nothing_by_night_when_no_light_but_the_flashes_can_change():
    dark = [chance(other(texture_kept=kept, day=0.0)) for kept in (0.0, 1.0)]
    assert dark[0] == dark[1]


def test_an_animal_that_keeps_still_through_a_burst_is_left_to_the_photographer():
    plain = other(strength=12.0, elsewhere=(1.8, 2.8), contrast=0.21, area=2e-3, texture_kept=0.0, day=0.0)
    assert 0.6 < chance(dataclasses.replace(plain, moved=None)) < 0.95
    assert EMPTY_BELOW < chance(dataclasses.replace(plain, moved=0.0)) < 0.8


def test_by_night_an_animal_that_stands_out_far_is_seen_though_it_keeps_still():
    plain = other(strength=60.0, elsewhere=(1.8, 2.8), contrast=0.3, area=2e-2, texture_kept=0.0, day=0.0)
    assert chance(dataclasses.replace(plain, moved=0.0)) > 0.8
    assert chance(dataclasses.replace(plain, moved=0.0, day=1.0)) < 0.5


def test_most_places_tell_how_strong_evidence_usually_is():
    peak = np.zeros(SHAPE, np.float32)
    peak[: SHAPE[0] // 5] = 90.0
    assert usual_peak(Evidence(peak, (peak,) * 4, 0.0)) == pytest.approx(90.0)
    one = np.zeros(SHAPE, np.float32)
    one[2, 2] = 90.0
    assert usual_peak(Evidence(one, (one,) * 4, 0.0)) == 0.0


@LAW
@given(clues())
def test_every_term_has_its_weight(some):
    assert list(terms(some)) == list(IN_BURST)
    assert set(ALONE) == set(IN_BURST) - {"moved"}


def plane(seed):
    return np.asarray(0.4 + 0.08 * texture(*SHAPE, seed=seed), np.float32)


def sight_of(places, *, shown, day=1.0):
    """Return a frame with evidence of some strength on ellipses, and as much of it against its burst."""
    peak = np.ones(SHAPE, np.float32)
    for visitor, strength in places:
        peak[ellipse(visitor, *SHAPE)] = strength
    change = np.repeat((0.01 * peak)[..., None], 3, axis=2)
    frame = np.stack([shown, 0 * shown, 0 * shown], axis=2)
    return Sight(
        Evidence(peak, (peak,) * len(SCALES), 0.5), peak.copy(), change, frame, plane(1), plane(0), day
    )


def test_where_nothing_stands_out_there_is_no_subject():
    found = likeliest(sight_of([], shown=plane(1)))
    assert found.region is None
    assert found.chance == 0.005


def test_a_thing_of_its_own_texture_is_a_subject():
    assert likeliest(sight_of([(Visitor(0.5, 0.5), 25.0)], shown=plane(2))).chance > 0.9


def test_a_change_of_light_over_the_scenes_own_texture_is_likelier_no_subject():
    thing, light = (
        likeliest(sight_of([(Visitor(0.5, 0.5), 12.0)], shown=shown)) for shown in (plane(2), 0.6 * plane(1))
    )
    assert light.chance < thing.chance - 0.05


def test_a_thing_is_preferred_to_a_stronger_change_of_light():
    light, thing = Visitor(0.5, 0.25), Visitor(0.5, 0.75)
    shown = np.where(ellipse(thing, *SHAPE), plane(2), 0.6 * plane(1)).astype(np.float32)
    assert likeliest(sight_of([(light, 30.0), (thing, 20.0)], shown=shown)).region.box.x0 > 0.5


def test_the_regions_come_with_the_strongest_first():
    places = [(Visitor(0.5, 0.25), 20.0), (Visitor(0.5, 0.75), 40.0)]
    found = regions_with_clues(sight_of(places, shown=plane(2)))
    assert [round(each.strength) for _, each in found] == [40, 20]
    assert found[0][0].box.x0 > 0.5


def test_what_lies_within_the_regions_box_is_not_elsewhere():
    ((_, alone),) = regions_with_clues(sight_of([(Visitor(0.5, 0.5), 25.0)], shown=plane(2)))
    assert alone.elsewhere == pytest.approx((1.0, 1.0))


def test_the_frame_given_is_never_written_to():
    sight = sight_of([(Visitor(0.5, 0.5), 25.0)], shown=plane(2))
    before = sight.evidence.peak.copy()
    likeliest(sight)
    assert np.array_equal(sight.evidence.peak, before)
