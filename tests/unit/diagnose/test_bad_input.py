"""Cards that make no sense: the diagnosis goes on, says what it cannot tell, and stays modest."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from tests.unit.diagnose import nights
from tests.unit.diagnose.nights import SIDES, make_night
from triage.records.diagnosis import FaultKind, Part
from triage.records.night import Night, SetupSource

EPOCH = datetime(1990, 1, 1)


def at_times(made, times):
    frames = tuple(replace(frame, time=time) for frame, time in zip(made.frames, times, strict=True))
    night = Night(min(times), max(times), (), SetupSource.WORKED_OUT, None, "")
    return replace(made, frames=frames, night=night)


def sound(made, **words):
    """Diagnose; check what holds for every card."""
    faults, review = made.diagnosis(**words)
    for fault in faults:
        assert 0.0 <= fault.confidence <= 1.0
        assert all(0 <= index < len(made.frames) for index in fault.evidence)
        assert "nan" not in (fault.say + fault.remedy).lower().split()
    assert len(review.healthy) == len(faults)
    assert 0 <= review.visits_whole <= review.visits
    assert review.trips_with_subject + review.trips_empty <= review.trips
    return faults, review


@pytest.mark.parametrize(
    "times",
    [
        lambda index, _rng: EPOCH,
        lambda index, _rng: EPOCH + timedelta(days=400 * index),
        lambda index, _rng: datetime(2099, 1, 1) - timedelta(hours=5 * index),
        lambda index, rng: EPOCH + timedelta(seconds=float(rng.uniform(0, 3e9))),
        lambda index, _rng: EPOCH + timedelta(microseconds=index),
    ],
    ids=["all alike", "years apart", "backwards", "at random", "within a millisecond"],
)
def test_times_without_sense_are_gone_on_with(times):
    rng = np.random.default_rng(1)
    made = make_night(300, visits=12)
    sound(at_times(made, [times(index, rng) for index in range(len(made.frames))]))


def test_a_clock_that_runs_backwards_is_named():
    made = make_night(301, visits=12)
    times = [datetime(2026, 10, 4) - timedelta(hours=index) for index in range(len(made.frames))]
    faults, _ = sound(at_times(made, times))
    assert any(fault.part is Part.CLOCK and fault.confidence >= 0.5 for fault in faults)


@pytest.mark.parametrize("keep", [1, 2, 5])
def test_a_frame_or_a_few_have_no_likely_fault(keep):
    for first in range(0, 30, 5):
        rng = np.random.default_rng(302)
        shots = nights.shoot(rng, visits=12)[first : first + keep]
        faults, _ = sound(nights.develop(shots, rng))
        assert all(fault.confidence < 0.5 for fault in faults)


def test_one_damaged_frame_alone_is_named_and_nothing_else():
    rng = np.random.default_rng(303)
    shots = nights.shoot(rng)[:1]
    shots[0].problem = "zero bytes"
    faults, review = sound(nights.develop(shots, rng))
    assert [(fault.part, fault.kind) for fault in faults] == [(Part.CARD, FaultKind.DAMAGED_FILES)]
    assert review.untold[0].startswith("No picture can be read")


def test_all_frames_damaged_name_the_card_only():
    def ruin(shots, _rng):
        for shot in shots:
            shot.problem = "the picture data end too early"

    faults, _ = sound(make_night(304, ruin, retrieval=False))
    assert [(fault.part, fault.kind) for fault in faults if fault.confidence >= 0.5] == [
        (Part.CARD, FaultKind.DAMAGED_FILES)
    ]


def test_no_place_is_said_and_the_rest_is_found():
    faults, review = sound(make_night(305, nights.stop(SIDES[1]), sky=False, visits=20))
    assert (faults[0].part, faults[0].kind) == (Part.FLASH_RIGHT, FaultKind.STOPPED)
    assert any("Without a place and a zone" in said for said in review.untold)


def test_flashes_that_share_one_value_on_a_card_without_night_are_no_trouble():
    def daylight(shots, _rng):
        for shot in shots:
            shot.ambient = 1.0

    made = make_night(307, daylight)
    judgements = tuple(
        replace(one, measurement=replace(one.measurement, light=replace(one.measurement.light, flashes=same)))
        for one in made.judgements
        for same in [dict.fromkeys(SIDES, 0.2)]
    )
    sound(replace(made, judgements=judgements), flashes=2)


@pytest.mark.parametrize("flashes", [1, 2, 3])
def test_any_number_of_flashes_said_is_gone_on_with(flashes):
    sound(make_night(306, visits=12), flashes=flashes)


def at_random(seed):
    """Make a night whose figures are anything that measuring may say, in stretches and in single frames."""
    rng = np.random.default_rng(seed)

    def anything(low, high, unknown=0.15):
        return None if rng.random() < unknown else float(rng.uniform(low, high))

    def spoil(shots, _rng):
        level = dict.fromkeys(SIDES, 1.0)
        for shot in shots:
            if rng.random() < 0.1:
                level = {side: float(rng.choice([0.0, 0.3, 0.45, 0.7, 1.0, 1.8])) for side in SIDES}
            shot.outputs = dict(level)
            shot.ambient = float(rng.choice([0.0, 0.05, 0.3, 1.0], p=[0.7, 0.1, 0.1, 0.1]))
            shot.subject, shot.cut = bool(rng.random() < 0.5), bool(rng.random() < 0.5)
            shot.haze, shot.sharpness = float(rng.uniform(0, 1)), float(rng.uniform(0, 1.2))
            shot.problem = "zero bytes" if rng.random() < 0.05 else None

    made = make_night(
        seed, spoil, visits=int(rng.integers(1, 25)), retrieval=bool(rng.random() < 0.5), sky=seed % 2 == 0
    )
    judgements = []
    for judgement in made.judgements:
        found = judgement.measurement
        if found is not None and rng.random() < 0.3:
            light = replace(
                found.light,
                ambient=anything(0, 3),
                level=float(rng.uniform(0, 1)),
                flashes={side: anything(0, 3) for side in SIDES},
            )
            found = replace(found, light=light, haze=anything(0, 1), scene_sharpness=anything(0, 2))
        judgements.append(replace(judgement, measurement=found))
    return replace(made, judgements=tuple(judgements))


@pytest.mark.parametrize("seed", range(400, 440))
def test_whatever_was_measured_is_gone_on_with(seed):
    sound(at_random(seed), flashes=seed % 4 or None)
