import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes import Visitor, ellipse
from triage.findings.thresholds import EMPTY_BELOW, LIKELY
from triage.measure.closely import (
    CLOSELY,
    CloseClues,
    after_a_closer_look,
    chance_closely,
    close_clues,
    close_terms,
)
from triage.measure.outline import CloseUp
from triage.measure.presence import Candidate, Sight
from triage.measure.regions import Evidence, region_of
from triage.measure.wobble import SCALES

SHAPE = (120, 160)
ROUGH = region_of(ellipse(Visitor(0.5, 0.5), *SHAPE), 9.0)
CLOSE = region_of(ellipse(Visitor(0.5, 0.5, high=0.1), *SHAPE), 9.0)
CLEAR = CloseUp(CLOSE, 0.12, darker=False)
NOTHING_CLEAR = CloseUp(None, 0.004, darker=False)


def sight(*, beyond=0.05, day=0.0, shape=SHAPE):
    """Return a frame all of which lies so far beyond other frames."""
    flat = np.zeros(shape, np.float32)
    peak = Evidence(flat, (flat,) * len(SCALES), 0.5)
    colours = np.zeros((*shape, 3), np.float32)
    return Sight(peak, None, colours, colours, flat, np.full(shape, beyond, np.float32), day)


def looked_at(chance, seen, **how):
    return after_a_closer_look(Candidate(ROUGH, chance), seen, sight(**how))


@st.composite
def clues(draw):
    outlined = draw(st.booleans())
    return CloseClues(
        log_odds=draw(st.floats(-5.3, 5.3)),
        day=draw(st.floats(0.0, 1.0)),
        outlined=outlined,
        solid=draw(st.floats(0.0, 1.0)) if outlined else 0.0,
        contrast=draw(st.floats(0.0, 1.0)),
        darker=outlined and draw(st.booleans()),
        beyond=draw(st.floats(0.0, 1.0)),
    )


@settings(deadline=None, max_examples=60)
@given(clues())
def test_a_chance_is_never_certain(drawn):
    assert 0.0 < chance_closely(drawn) < 1.0


@settings(deadline=None, max_examples=60)
@given(clues(), st.floats(0.0, 5.0))
def test_what_was_likelier_before_is_likelier_after(drawn, more):
    later = replace(drawn, log_odds=drawn.log_odds + more)
    assert chance_closely(later) >= chance_closely(drawn)


@settings(deadline=None, max_examples=60)
@given(clues())
def test_what_fills_its_outline_is_likelier_than_what_is_all_rims(drawn):
    seen = replace(drawn, outlined=True)
    assert chance_closely(replace(seen, solid=0.9)) >= chance_closely(replace(seen, solid=0.0))


@settings(deadline=None, max_examples=60)
@given(clues(), st.floats(0.0, 0.5))
def test_what_lies_further_beyond_other_frames_is_likelier(drawn, more):
    assert chance_closely(replace(drawn, beyond=drawn.beyond + more)) >= chance_closely(drawn)


def test_each_weight_has_its_term():
    assert list(close_terms(close_clues(ROUGH, 0.5, CLEAR, sight(day=0.3)))) == list(CLOSELY)


@pytest.mark.parametrize("chance", [0.0, 0.05, 0.5, 1.0])
def test_the_chance_before_goes_in_as_log_odds(chance):
    told = close_clues(ROUGH, chance, CLEAR, sight()).log_odds
    held = min(0.995, max(0.005, chance))
    assert told == pytest.approx(math.log(held / (1.0 - held)))


def test_only_what_lies_within_the_place_counts_as_beyond():
    seen = sight(beyond=0.0)
    seen.beyond[ROUGH.mask] = 0.04
    assert close_clues(ROUGH, 0.5, CLEAR, seen).beyond == pytest.approx(0.04)
    seen = sight(beyond=0.3)
    seen.beyond[ROUGH.mask] = 0.0
    assert close_clues(ROUGH, 0.5, CLEAR, seen).beyond == 0.0


def test_what_is_clear_and_solid_by_night_is_not_filed_as_empty():
    assert looked_at(0.06, CLEAR).chance > EMPTY_BELOW


@pytest.mark.parametrize("part", [np.s_[50:53, 50:55], np.s_[50:54, 50:300], np.s_[50:300, 50:54]])
def test_specks_and_rims_on_a_closer_look_are_not_solid(part):
    seen = np.zeros((320, 480), bool)
    seen[part] = True
    rim = CloseUp(region_of(seen, 9.0), 0.02, darker=False)
    assert close_clues(ROUGH, 0.06, rim, sight()).solid == 0.0
    assert looked_at(0.06, rim, beyond=0.0).chance < LIKELY


def test_where_nothing_is_clear_the_rough_outline_stays_and_is_less_likely_a_subject():
    found, clear = looked_at(0.9, NOTHING_CLEAR), looked_at(0.9, CLEAR)
    assert found.region is ROUGH
    assert clear.region is CLOSE
    assert found.chance < clear.chance


def test_where_nothing_was_found_nothing_is_looked_at():
    nobody = Candidate(None, 0.005)
    assert after_a_closer_look(nobody, NOTHING_CLEAR, sight()) is nobody
