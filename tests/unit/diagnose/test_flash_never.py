"""A flash that was dead before the first frame: all flash light from one side, measured against daylight."""

from dataclasses import replace

import numpy as np
import pytest

from tests.unit.diagnose import nights
from tests.unit.diagnose.nights import SIDES, make_night
from triage.records.diagnosis import FaultKind, Part

LEFT, RIGHT = SIDES


def leaning(lean, *, scatter=0.05, spoil=None):
    """Let daylight frames say from which side flash light comes."""

    def change(shots, rng):
        for shot in shots:
            shot.lean = float(rng.normal(lean, scatter)) if shot.ambient > 0.5 else None
        return spoil(shots, rng) if spoil else None

    return change


def alike(made):
    """Let the flashes share one value, as measuring does where no frame shows them apart."""
    judgements = []
    for judgement in made.judgements:
        found = judgement.measurement
        if found is not None:
            one = found.light.flashes[LEFT]
            found = replace(found, light=replace(found.light, flashes=dict.fromkeys(SIDES, one)))
        judgements.append(replace(judgement, measurement=found))
    return replace(made, judgements=tuple(judgements))


def flash_faults(made, flashes):
    return [fault for fault in made.diagnosis(flashes=flashes)[0] if fault.part.startswith("flash")]


@pytest.mark.parametrize(("lean", "part"), [(0.6, Part.FLASH_RIGHT), (-0.6, Part.FLASH_LEFT)])
def test_of_two_flashes_the_one_whose_side_never_is_lit_is_named(lean, part):
    for seed in range(600, 608):
        made = alike(make_night(seed, leaning(lean), visits=16))
        (fault,) = flash_faults(made, 2)
        assert (fault.part, fault.kind) == (part, FaultKind.STOPPED)
        assert fault.confidence >= 0.8
        assert fault.end is None
        first = next(frame for frame in made.frames if frame.time == fault.start)
        assert made.judgements[first.index].measurement.light.ambient < 0.2
        assert "1.8 times" in fault.say or "1.9 times" in fault.say or "1.7 times" in fault.say


def test_one_flash_at_one_side_is_no_fault():
    for seed in range(608, 614):
        assert not flash_faults(alike(make_night(seed, leaning(0.8), visits=16)), 1)


def test_where_nobody_said_how_many_there_are_it_is_a_doubt_that_says_so():
    made = alike(make_night(614, leaning(0.6), visits=16))
    (fault,) = flash_faults(made, None)
    assert fault.confidence < 0.5
    assert "--flashes" in fault.say


@pytest.mark.parametrize("lean", [0.0, 0.17, -0.2])
def test_light_from_both_sides_is_no_fault_whatever_was_said(lean):
    for seed in range(615, 625):
        made = alike(make_night(seed, leaning(lean, scatter=0.1), visits=16))
        assert all(fault.confidence < 0.5 for flashes in (None, 2) for fault in flash_faults(made, flashes))


def test_daylight_frames_that_contradict_each_other_prove_nothing():
    made = [alike(make_night(seed, leaning(0.0, scatter=0.8), visits=12)) for seed in range(640, 650)]
    assert sum(any(fault.confidence >= 0.5 for fault in flash_faults(one, 2)) for one in made) <= 2


def test_a_card_without_daylight_names_no_flash():
    assert not flash_faults(alike(make_night(626, visits=16)), 2)


def test_the_flash_that_is_left_is_followed_and_nothing_is_said_against_the_finding():
    made = alike(make_night(627, leaning(0.6), visits=16))
    faults, review = made.diagnosis(flashes=2)
    assert [record.part for record in review.flashes] == [Part.FLASH_LEFT]
    assert faults[0].part is Part.FLASH_RIGHT
    assert not any("one pattern" in said for said in review.untold)


def test_a_flash_dead_from_the_start_and_the_other_one_stopping_later_are_both_named():
    for seed in range(628, 634):
        made = alike(make_night(seed, leaning(0.6, spoil=nights.stop(*SIDES)), visits=20))
        named = {fault.part for fault in flash_faults(made, 2) if fault.confidence >= 0.5}
        assert named == {Part.FLASH_LINK, Part.FLASH_RIGHT}


def test_flashes_that_were_seen_apart_need_no_daylight():
    made = make_night(634, leaning(0.6), visits=16)
    assert not np.array_equal(
        [one.measurement.light.flashes[LEFT] for one in made.judgements],
        [one.measurement.light.flashes[RIGHT] for one in made.judgements],
    )
    assert not flash_faults(made, 2)
