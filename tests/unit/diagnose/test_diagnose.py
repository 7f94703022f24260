"""The diagnosis as a whole: what it says, in which order, and what it makes of odd cards."""

from dataclasses import replace

import numpy as np
import pytest

from tests.unit.diagnose import nights
from tests.unit.diagnose.nights import SIDES, develop, make_night, shoot
from triage.diagnose.diagnose import diagnose
from triage.diagnose.timeline import build_timeline
from triage.records.diagnosis import FaultKind, Part
from triage.records.finding import Finding, FindingKind
from triage.records.measurement import Box
from triage.records.rig import RigReview

LEFT, RIGHT = SIDES


def single(made, part, kind):
    return next(fault for fault in made.faults() if (fault.part, fault.kind) == (part, kind))


def test_no_frames_have_no_fault():
    made = make_night(1)
    assert diagnose(made.card, (), (), (), made.night) == ((), RigReview())


@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_few_frames_are_no_trouble(count):
    rng = np.random.default_rng(4)
    made = develop(shoot(rng)[10 : 10 + count], rng)
    assert all(fault.confidence < 0.5 for fault in made.faults())


def test_a_card_of_damaged_frames_names_the_card_alone():
    rng = np.random.default_rng(4)
    shots = shoot(rng)
    for shot in shots:
        shot.problem = "zero bytes"
    faults = develop(shots, rng).faults()
    assert [(fault.part, fault.kind) for fault in faults] == [(Part.CARD, FaultKind.DAMAGED_FILES)]


def test_the_same_night_gives_the_same_diagnosis():
    assert make_night(3, nights.stop(RIGHT)).faults() == make_night(3, nights.stop(RIGHT)).faults()


def test_likelier_and_more_harmful_faults_come_first():
    def both(shots, rng):
        nights.lose_numbers(shots, rng)
        nights.stop(LEFT, RIGHT)(shots, rng)

    first, second = make_night(12, both).faults()[:2]
    assert first.part is Part.FLASH_LINK
    assert second.kind is FaultKind.MISSING_NUMBERS


def test_a_stopped_flash_says_when_how_often_and_what_the_other_did():
    made = make_night(21, nights.stop(RIGHT))
    fault = single(made, Part.FLASH_RIGHT, FaultKind.STOPPED)
    assert f"{made.onset:%H:%M}" in fault.say
    assert f"({len(fault.evidence)} frames)" in fault.say
    assert "other side kept" in fault.say
    assert fault.end is None
    assert "test button" in fault.remedy
    assert "maker" in fault.remedy


def test_link_or_all_flashes_is_left_open_with_the_check_that_decides():
    fault = single(make_night(22, nights.stop(LEFT, RIGHT)), Part.FLASH_LINK, FaultKind.STOPPED)
    assert "cannot tell which" in fault.say
    assert "test button" in fault.remedy


def test_a_fault_of_all_flashes_is_named_once():
    for spoil in (nights.misfire(LEFT, RIGHT), nights.sleep(LEFT, RIGHT), nights.recharge(LEFT, RIGHT)):
        faults = [fault for fault in make_night(23, spoil).faults() if fault.confidence >= 0.5]
        assert [fault.part for fault in faults] == [Part.FLASH_LINK]


def test_both_flashes_stopping_hours_apart_are_two_faults():
    def apart(shots, rng):
        places = nights.at_night(shots)
        for name, share in ((LEFT, 0.3), (RIGHT, 0.7)):
            for shot in shots[places[int(len(places) * share)] :]:
                shot.outputs[name] = 0.0

    parts = {fault.part for fault in make_night(24, apart).faults() if fault.confidence >= 0.5}
    assert parts == {Part.FLASH_LEFT, Part.FLASH_RIGHT}


def test_daylight_frames_never_blame_a_flash():
    rng = np.random.default_rng(25)
    shots = shoot(rng)
    for shot in shots:
        shot.ambient, shot.outputs = 1.0, dict.fromkeys(SIDES, 0.0)
    assert not [fault for fault in develop(shots, rng).faults() if "flash" in fault.part]


def test_a_flash_that_died_in_the_setup_is_named_from_the_first_night_frame_and_lit_its_test_shots():
    def spoil(shots, rng):
        for shot in shots:
            shot.ambient = min(shot.ambient, 0.2)
            if not shot.setup:
                shot.outputs[LEFT] = 0.0

    made = make_night(26, spoil)
    fault = single(made, Part.FLASH_LEFT, FaultKind.STOPPED)
    assert "though it lit the test shots" in fault.say
    assert fault.start == next(
        f.time for f, j in zip(made.frames, made.judgements, strict=True) if not j.has(FindingKind.SETUP)
    )


def test_a_night_without_any_light_measured_names_the_link():
    made = make_night(27, nights.stop(LEFT, RIGHT))
    judgements = [
        j
        if j.measurement is None
        else replace(
            j,
            measurement=replace(j.measurement, light=replace(j.measurement.light, flashes={}, ambient=1.0)),
            findings=(Finding(FindingKind.DARK, 0.9, ""),),
        )
        for j in made.judgements
    ]
    made = replace(made, judgements=tuple(judgements))
    assert single(made, Part.FLASH_LINK, FaultKind.STOPPED).say.startswith(
        "No flash gave light on any night frame"
    )


def test_with_one_flash_the_flash_is_named_and_its_cable_remembered():
    made = make_night(28, nights.stop(LEFT, RIGHT))
    made = replace(made, judgements=tuple(_keep_left(j) for j in made.judgements))
    fault = single(made, Part.FLASH_LEFT, FaultKind.STOPPED)
    assert "With one flash" in fault.say
    assert "cable or the radio" in fault.remedy


def _keep_left(judgement):
    if judgement.measurement is None:
        return judgement
    light = judgement.measurement.light
    light = replace(light, flashes={LEFT: light.flashes[LEFT]})
    return replace(judgement, measurement=replace(judgement.measurement, light=light))


def test_one_missed_frame_is_no_likely_fault():
    def once(shots, rng):
        shots[nights.at_night(shots)[8]].outputs[RIGHT] = 0.0

    assert all(fault.confidence < 0.5 for fault in make_night(29, once).faults())


def test_fog_is_not_a_weak_flash_nor_a_lost_focus():
    faults = [fault for fault in make_night(30, nights.fog).faults() if fault.confidence >= 0.5]
    assert [fault.part for fault in faults] == [Part.LENS]


def test_fog_that_clears_has_an_end():
    def spoil(shots, rng):
        places = nights.at_night(shots)
        for place in places[len(places) // 4 : len(places) // 2]:
            shots[place].haze = 0.6

    made = make_night(31, spoil)
    fault = single(made, Part.LENS, FaultKind.FOGGED)
    assert fault.end is not None
    assert "until" in fault.say


def test_a_moved_camera_is_no_late_trigger():
    def spoil(shots, rng):
        nights.move(shots, rng)
        for shot in shots:
            shot.cut = shot.cut or shot.shift != (0.0, 0.0)

    faults = make_night(32, spoil).faults()
    assert faults[0].part is Part.AIM


def test_a_view_changed_by_the_operator_is_no_fault():
    def spoil(shots, rng):
        middle = nights.some_moment(shots, rng, 0.4, 0.6)
        shots[middle].setup = True
        for shot in shots[middle + 1 :]:
            shot.shift = (0.05, 0.03)

    assert not [fault for fault in make_night(33, spoil).faults() if fault.part is Part.AIM]


def test_how_far_and_which_way_the_view_went_is_said():
    def spoil(shots, rng):
        for shot in shots[nights.some_moment(shots, rng, 0.4, 0.6) :]:
            shot.shift = (-0.02, 0.05)

    fault = single(make_night(34, spoil), Part.AIM, FaultKind.MOVED)
    assert "% of the width to the right" in fault.say
    assert "% of the height up" in fault.say


def test_false_fires_by_the_clock_are_told_from_wind():
    def timed(shots, rng):
        nights.blow(shots, rng)
        extra = [shot for shot in shots if not shot.subject and not shot.setup][-60:]
        for number, shot in enumerate(extra):
            shot.second = 8000.0 + 120.0 * number
            shot.time = nights.DUSK + nights.timedelta(seconds=shot.second)
            shot.subject = False
        shots.sort(key=lambda shot: shot.second)
        for number, shot in enumerate(shots, start=1):
            shot.number = number

    fault = single(make_night(35, timed, visits=6), Part.TRIGGER, FaultKind.FALSE_FIRES)
    assert "by the clock" in fault.say
    assert "timer" in fault.remedy


def test_a_card_that_ends_with_the_operator_did_not_stop():
    made = make_night(36, visits=25)
    assert not [fault for fault in made.faults() if fault.part is Part.CAMERA]


def test_somebody_as_near_as_a_person_on_the_last_frames_may_be_who_collects_by_night():
    """An evening's card, collected in the dark: the last trip shows a figure that fills a quarter of the picture."""

    def evening(shots, rng):
        nights.cut_short(shots, rng)
        for number in (1, 2):
            last = replace(
                shots[-1], second=shots[-1].second + 60 * number, box=Box(0.25, 0.0, 0.65, 0.7), subject=True
            )
            last.time, last.number, last.cut = (
                nights.DUSK + nights.timedelta(seconds=last.second),
                last.number + 1,
                True,
            )
            shots.append(last)

    for seed in range(60, 68):
        made = make_night(seed, evening, retrieval=False, visits=25)
        faults = [fault for fault in made.faults() if fault.part is Part.CAMERA]
        assert all(fault.confidence < 0.5 for fault in faults)
        assert all("as near as a person" in fault.say for fault in faults)


def test_where_large_animals_are_usual_one_more_at_the_end_is_no_operator():
    def deer(shots, rng):
        nights.cut_short(shots, rng)
        for shot in shots:
            shot.box = Box(0.1, 0.2, 0.7, 0.7)

    made = [make_night(seed, deer, retrieval=False, visits=25) for seed in range(60, 68)]
    assert sum(any(f.part is Part.CAMERA and f.confidence >= 0.5 for f in one.faults()) for one in made) >= 6


def test_a_collecting_given_by_the_user_makes_a_stop_sure():
    made = make_night(37, nights.cut_short, retrieval=False, visits=8)
    last = made.frames[-1].time
    collected = nights.Window(last + nights.timedelta(hours=7), last + nights.timedelta(hours=7.2))
    night = replace(
        made.night,
        setup_windows=(*made.night.setup_windows, collected),
        setup_source=nights.SetupSource.GIVEN,
    )
    fault = single(replace(made, night=night), Part.CAMERA, FaultKind.STOPPED_EARLY)
    assert fault.confidence >= 0.8
    assert "7.0 hours later" in fault.say


def test_without_a_place_the_rest_is_still_said():
    made = make_night(38, nights.stop(RIGHT), sky=False)
    assert made.faults()[0].part is Part.FLASH_RIGHT


def test_every_fault_has_evidence_words_and_a_remedy():
    for number, spoil in enumerate(
        (nights.fog, nights.move, nights.soften, nights.late, nights.damage, nights.blow)
    ):
        made = make_night(40 + number, spoil)
        for fault in made.faults():
            assert fault.evidence
            assert all(0 <= index < len(made.frames) for index in fault.evidence)
            assert fault.say[0].isupper() or fault.say[0].isdigit()
            assert fault.say.endswith(".")
            assert "  " not in fault.say + fault.remedy
            assert 0.0 <= fault.confidence <= 1.0
            assert fault.start is not None


def test_values_that_cannot_be_told_are_not_taken_for_nothing():
    made = make_night(50)
    judgements = [
        j
        if j.measurement is None
        else replace(
            j,
            measurement=replace(
                j.measurement,
                light=replace(j.measurement.light, flashes=dict.fromkeys(SIDES), ambient=None),
                haze=None,
                scene_sharpness=None,
            ),
        )
        for j in made.judgements
    ]
    assert all(fault.confidence < 0.5 for fault in replace(made, judgements=tuple(judgements)).faults())


def test_time_never_runs_back_in_the_timeline():
    made = make_night(51, nights.reset_clock)
    timeline = build_timeline(made.card, made.frames, made.judgements, made.events(), made.night)
    assert np.all(np.diff(timeline.seconds) >= 0)
    assert np.sum(np.isinf(timeline.gap)) == 2


def test_a_damaged_frame_has_no_figures():
    made = make_night(52, nights.damage)
    timeline = build_timeline(made.card, made.frames, made.judgements, made.events(), made.night)
    assert np.isnan(timeline.haze[timeline.damaged]).all()
    assert not timeline.needs_flash[timeline.damaged].any()
