"""Hundreds of made nights: how often the diagnosis is right, and how seldom it cries wolf.

The nights are made by `nights.py` from seeds that were not used while the limits were set (those had
seeds from 0, 500, 3000, 7000 and 9000, and 100000 more than that). The bars are the promises made for the
tool: 98 % of healthy nights clean, the true fault first on 95 % of nights, the exact first frame for abrupt
faults on 95 % of those where it can be told at all, and within one visit or 30 minutes for slow ones on 90 %.
"""

import pytest

from tests.unit.diagnose import nights
from tests.unit.diagnose.nights import SIDES, make_night
from triage.records.diagnosis import FaultKind, Part

LEFT, RIGHT = SIDES
LIKELY = 0.5
SEED = 20_000


def likely(made):
    return [fault for fault in made.faults() if fault.confidence >= LIKELY]


@pytest.mark.slow
@pytest.mark.parametrize(
    "shooting", [{}, {"retrieval": False}, {"noise": 0.1}, {"visits": 60}, {"sky": False}]
)
def test_healthy_nights_are_clean(shooting):
    made = [make_night(SEED + seed, **shooting) for seed in range(60)]
    loud = [night for night in made if likely(night)]
    assert len(loud) <= 1, [(f.part, f.kind, f.confidence) for night in loud for f in likely(night)]


ABRUPT = [
    (nights.stop(RIGHT), Part.FLASH_RIGHT, FaultKind.STOPPED),
    (nights.stop(LEFT), Part.FLASH_LEFT, FaultKind.STOPPED),
    (nights.stop(LEFT, RIGHT), Part.FLASH_LINK, FaultKind.STOPPED),
    (nights.dead_from_the_start(RIGHT), Part.FLASH_RIGHT, FaultKind.STOPPED),
    (nights.dead_from_the_start(LEFT, RIGHT), Part.FLASH_LINK, FaultKind.STOPPED),
    (nights.misfire(LEFT), Part.FLASH_LEFT, FaultKind.MISFIRES),
    (nights.misfire(LEFT, RIGHT), Part.FLASH_LINK, FaultKind.MISFIRES),
    (nights.sleep(RIGHT), Part.FLASH_RIGHT, FaultKind.SLOW_WAKE),
    (nights.sleep(LEFT, RIGHT), Part.FLASH_LINK, FaultKind.SLOW_WAKE),
    (nights.recharge(LEFT), Part.FLASH_LEFT, FaultKind.SLOW_RECYCLE),
    (nights.recharge(LEFT, RIGHT), Part.FLASH_LINK, FaultKind.SLOW_RECYCLE),
    (nights.move, Part.AIM, FaultKind.MOVED),
    (nights.soften, Part.FOCUS, FaultKind.SOFT),
    (nights.reset_clock, Part.CLOCK, FaultKind.RESET),
    (nights.damage, Part.CARD, FaultKind.DAMAGED_FILES),
    (nights.lose_numbers, Part.CARD, FaultKind.MISSING_NUMBERS),
    (nights.late, Part.TRIGGER, FaultKind.LATE),
]
SLOW = [
    (nights.fade(LEFT), Part.FLASH_LEFT, FaultKind.FADING),
    (nights.fade(LEFT, RIGHT), Part.FLASH_LINK, FaultKind.FADING),
    (nights.fog, Part.LENS, FaultKind.FOGGED),
    (nights.blow, Part.TRIGGER, FaultKind.FALSE_FIRES),
]


def name(case):
    return f"{case[1]} {case[2]}"


def readable(made):
    """Whether every flash's output could be measured on the first frame that shows the fault."""
    place = next(i for i, frame in enumerate(made.frames) if frame.time == made.onset)
    measurement = made.judgements[place].measurement
    return measurement is not None and None not in measurement.light.flashes.values()


@pytest.mark.slow
@pytest.mark.parametrize("case", [*ABRUPT, *SLOW], ids=name)
def test_the_true_fault_comes_first(case):
    spoil, part, kind = case
    made = [night for seed in range(24) if (night := make_night(SEED + 1000 + seed, spoil)).onset is not None]
    wrong = [
        [(fault.part, fault.kind, fault.confidence) for fault in found[:2]]
        for night in made
        if not (found := likely(night)) or (found[0].part, found[0].kind) != (part, kind)
    ]
    # 95 % of 24 leaves one miss; a second one is the scatter of so few nights.
    assert len(wrong) <= 2, wrong


@pytest.mark.slow
@pytest.mark.parametrize("case", ABRUPT, ids=name)
def test_the_first_frame_of_an_abrupt_fault_is_exact(case):
    spoil, part, kind = case
    errors, told = 0, 0
    for seed in range(16):
        made = make_night(SEED + 2000 + seed, spoil)
        if made.onset is None or (
            part in {Part.FLASH_LEFT, Part.FLASH_RIGHT, Part.FLASH_LINK} and not readable(made)
        ):
            continue
        found = [fault for fault in likely(made) if (fault.part, fault.kind) == (part, kind)]
        if found:
            told += 1
            errors += found[0].start != made.onset
    assert told >= 12
    assert errors <= 1


def visit_of(made, moment):
    return next((event.id for event in made.events() if event.start <= moment <= event.end), -9)


@pytest.mark.slow
@pytest.mark.parametrize("case", SLOW, ids=name)
def test_the_onset_of_a_slow_fault_is_near(case):
    spoil, part, kind = case
    far, told = [], 0
    for seed in range(20):
        made = make_night(SEED + 3000 + seed, spoil)
        found = [fault for fault in likely(made) if (fault.part, fault.kind) == (part, kind)]
        if not found or made.onset is None:
            continue
        told += 1
        apart = abs((found[0].start - made.onset).total_seconds())
        if apart > 1800 and abs(visit_of(made, found[0].start) - visit_of(made, made.onset)) > 1:
            far.append(apart / 60)
    assert told >= 17
    assert len(far) <= 3, far


@pytest.mark.slow
def test_a_camera_that_stopped_is_never_named_without_reason_and_often_named_rightly():
    made = [
        make_night(SEED + 4000 + seed, nights.cut_short, retrieval=False, visits=25) for seed in range(24)
    ]
    named = [night for night in made if any(f.kind is FaultKind.STOPPED_EARLY for f in likely(night))]
    assert len(named) >= 18
    assert all(fault.part is Part.CAMERA for night in made for fault in likely(night))


@pytest.mark.slow
def test_a_wrong_clock_is_told_by_the_sun():
    made = [make_night(SEED + 5000 + seed, nights.wrong_clock) for seed in range(16)]
    named = [night for night in made if (found := likely(night)) and found[0].part is Part.CLOCK]
    assert len(named) >= 15


@pytest.mark.slow
@pytest.mark.parametrize(
    ("one", "two"),
    [
        ((nights.stop(RIGHT), Part.FLASH_RIGHT), (nights.fog, Part.LENS)),
        ((nights.stop(LEFT), Part.FLASH_LEFT), (nights.misfire(RIGHT), Part.FLASH_RIGHT)),
        ((nights.move, Part.AIM), (nights.sleep(LEFT, RIGHT), Part.FLASH_LINK)),
        ((nights.fade(LEFT), Part.FLASH_LEFT), (nights.lose_numbers, Part.CARD)),
        ((nights.soften, Part.FOCUS), (nights.recharge(RIGHT), Part.FLASH_RIGHT)),
    ],
    ids=lambda case: case[1],
)
def test_two_faults_of_a_night_are_both_among_the_first_two(one, two):
    def both(shots, rng):
        one[0](shots, rng)
        two[0](shots, rng)

    made = [make_night(SEED + 6000 + seed, both) for seed in range(12)]
    right = [night for night in made if {fault.part for fault in likely(night)[:2]} == {one[1], two[1]}]
    assert len(right) >= 10


@pytest.mark.slow
def test_what_is_said_at_a_confidence_is_right_about_as_often():
    said = []
    for number, (spoil, part, kind) in enumerate([*ABRUPT, *SLOW]):
        for seed in range(5):
            made = make_night(SEED + 7000 + 100 * number + seed, spoil)
            if made.onset is not None:
                said += [(f.confidence, (f.part, f.kind) == (part, kind)) for f in made.faults()]
    sure = [(confidence, right) for confidence, right in said if confidence >= 0.5]
    mean = sum(confidence for confidence, _ in sure) / len(sure)
    hits = sum(right for _, right in sure) / len(sure)
    assert len(sure) > 80
    assert abs(mean - hits) <= 0.1
