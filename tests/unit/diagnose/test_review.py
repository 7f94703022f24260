"""What went right, what would be better, and what the card cannot tell."""

import re
from dataclasses import replace

import numpy as np
import pytest

from tests.unit.diagnose import nights
from tests.unit.diagnose.nights import SIDES, make_night
from triage.records.diagnosis import FaultKind, Part
from triage.records.frame import Capture
from triage.records.measurement import Box
from triage.records.rig import RigReview

LEFT, RIGHT = SIDES
LENS = Capture(focal_mm=50.0, sensor_mm=(36.0, 24.0), width=6000, height=4000)


def alike(made):
    """Let both flashes share one value, as measuring does where none ever fired alone."""
    judgements = tuple(
        judgement
        if judgement.measurement is None
        else replace(
            judgement,
            measurement=replace(
                judgement.measurement,
                light=replace(
                    judgement.measurement.light,
                    flashes=dict.fromkeys(SIDES, judgement.measurement.light.flashes[LEFT]),
                ),
            ),
        )
        for judgement in made.judgements
    )
    return replace(made, judgements=judgements)


def place_all(box):
    def spoil(shots, rng):
        for shot in shots:
            shot.box = Box(*(edge + float(rng.normal(0, 0.01)) for edge in box))

    return spoil


def test_no_frames_have_nothing_to_review():
    from triage.diagnose.diagnose import diagnose  # noqa: PLC0415

    made = make_night(1)
    assert diagnose(made.card, (), (), (), made.night)[1] == RigReview()


def test_fires_are_counted_for_each_flash():
    def miss(shots, _rng):
        for place in nights.at_night(shots)[10:15]:
            shots[place].outputs[RIGHT] = 0.0

    review = make_night(3, miss, noise=0.02, visits=20).review()
    left, right = review.flashes
    assert (left.part, right.part) == (Part.FLASH_LEFT, Part.FLASH_RIGHT)
    assert left.fired == left.asked
    assert right.fired in {
        right.asked - 5,
        right.asked - 4,
    }  # one of the five may be a frame that cannot be told
    assert right.given == pytest.approx(right.fired, rel=0.1)
    assert any(
        f"The right flash fired on {right.fired} of {right.asked} night frames" in note
        for note in review.notes
    )


def test_outputs_over_time_are_those_of_the_frames():
    made = make_night(4)
    record = made.review().flashes[0]
    for index, output in record.outputs:
        measured = made.judgements[index].measurement.light.flashes[LEFT]
        assert output == pytest.approx(measured, abs=1e-4)


def test_a_falling_light_gives_an_end_with_its_uncertainty():
    def tire(shots, _rng):
        for shot in shots:
            shot.outputs[LEFT] = 1.0 - 0.015 * shot.second / 3600

    left, right = make_night(5, tire, noise=0.03, visits=40).review().flashes
    assert left.outlook is not None
    assert left.outlook.low_per_h <= -0.015 <= left.outlook.high_per_h < 0
    # From 0.8 at the end, 0.3 above a stop under, at 0.015 an hour: 20 hours.
    assert left.outlook.hours_left == pytest.approx(20.0, rel=0.4)
    assert left.outlook.hours_least <= left.outlook.hours_left
    assert right.outlook is not None
    assert right.outlook.hours_left is None or right.outlook.hours_left > 60


def test_a_steady_light_has_no_end_and_is_no_promise():
    notes = make_night(6, visits=20).review().notes
    assert any("No fall of its light can be told" in note or "did not fall" in note for note in notes)
    assert any("a steady light is no promise" in note for note in notes)


def test_few_trips_do_not_tell_how_cells_last():
    review = make_night(7, visits=1).review()
    assert review.flashes
    assert all(record.outlook is None for record in review.flashes)
    assert any("do not tell how its cells last" in note for note in review.notes)


def test_a_flash_that_gave_out_promises_nothing():
    review = make_night(8, nights.stop(RIGHT), visits=20).review()
    right = next(record for record in review.flashes if record.part is Part.FLASH_RIGHT)
    assert right.outlook is None


def test_trips_are_counted_by_what_came_of_them():
    made = make_night(9, visits=12)
    review = made.review()
    assert review.trips >= review.trips_with_subject + review.trips_empty > 0
    assert any(
        f"The sensor tripped {review.trips} times: {review.trips_with_subject} with" in n
        for n in review.notes
    )


def test_visits_with_a_whole_subject_are_counted():
    def cut_half(shots, _rng):
        for shot in shots:
            shot.cut = shot.second > 20_000
            shot.subject = True

    review = make_night(10, cut_half, visits=14).review()
    assert 0 < review.visits_whole < review.visits


# --- framing --------------------------------------------------------------------------------------------------------


def test_how_far_to_turn_is_said_in_degrees_and_centimetres():
    # The middle lies a quarter of the width to the right: arctan(2 * 0.25 * 36 / (2 * 50)) = 10.2 degrees, and at
    # 4 m a quarter of the 2.88 m that the lens sees: 72 cm.
    capture = replace(LENS, distance_m=4.0)
    review = make_night(11, place_all((0.65, 0.4, 0.85, 0.6)), capture=capture, visits=16).review()
    assert review.framing is not None
    assert review.framing.turn_deg == pytest.approx(10.2, abs=0.4)
    assert review.framing.across_cm == pytest.approx(72, abs=3)
    (said,) = review.advice
    assert re.search(
        r"25\u00a0% of the width to the right: turn the camera 10\.\d° \(7\d cm at 4\.0 m\) to the right",
        said,
    )
    assert "move the sensor's line 7" in said
    assert "to the left, into the middle" in said


def test_without_a_distance_the_length_is_for_each_metre():
    (said,) = make_night(11, place_all((0.65, 0.4, 0.85, 0.6)), capture=LENS, visits=16).review().advice
    assert "18 cm for each metre of distance" in said


def test_without_a_lens_the_share_of_the_picture_is_said():
    (said,) = make_night(11, place_all((0.65, 0.4, 0.85, 0.6)), visits=16).review().advice
    assert "25\u00a0% of the width to the right: turn it that way" in said
    assert "°" not in said


def test_subjects_low_in_the_picture_want_the_camera_tilted_down():
    (said,) = make_night(12, place_all((0.4, 0.7, 0.6, 0.95)), capture=LENS, visits=16).review().advice
    assert "of the height down: tilt the camera" in said
    assert "sensor" not in said


def test_subjects_in_the_middle_want_nothing():
    assert make_night(13, place_all((0.4, 0.4, 0.6, 0.6)), capture=LENS, visits=16).review().advice == ()


def test_too_few_visits_say_nothing_of_framing():
    review = make_night(14, place_all((0.7, 0.4, 0.9, 0.6)), capture=LENS, visits=2).review()
    assert review.framing is None
    assert review.advice == ()


def test_what_the_border_cuts_off_is_added_from_the_usual_size():
    def spoil(shots, _rng):
        burst_of = -1
        for shot in shots:
            if shot.gap > 45:
                burst_of += 1
            whole = burst_of % 2
            shot.box = Box(0.55, 0.4, 0.95, 0.6) if whole else Box(0.8, 0.4, 1.0, 0.6)
            shot.cut = False
            shot.subject = True

    made = make_night(15, spoil, visits=16)
    judgements = []
    for judgement in made.judgements:
        found = judgement.measurement
        if found is not None and found.subject is not None and found.subject.box.x1 == 1.0:
            subject = replace(found.subject, cut_by=(nights.Side.RIGHT,))
            judgement = replace(judgement, measurement=replace(found, subject=subject))  # noqa: PLW2901
        judgements.append(judgement)
    framing = replace(made, judgements=tuple(judgements)).review().framing
    # Whole ones, 0.4 wide, have their middle at 0.75; cut ones show 0.2, so that theirs lies at 1.0.
    assert framing is not None
    assert framing.across == pytest.approx((0.25 + 0.5) / 2, abs=0.13)
    assert framing.across > 0.24


def test_subjects_at_both_borders_want_a_wider_view_and_no_turn():
    def spoil(shots, _rng):
        visit = 0
        for shot in shots:
            visit += shot.gap > 45
            shot.box = Box(0.02, 0.4, 0.22, 0.6) if visit % 2 else Box(0.78, 0.4, 0.98, 0.6)
            shot.cut, shot.subject = False, True

    # Animals from both sides that are all about to leave are also the mark of a late sensor: its remedy says it.
    (late,) = [
        fault for fault in make_night(16, spoil, capture=LENS, visits=20).faults() if fault.confidence >= 0.5
    ]
    said = late.remedy
    assert late.kind is FaultKind.LATE
    assert "turning the camera helps neither" in said
    # The middle of each lies at 0.38, half its size is 0.1: 0.48 over 0.45 is 1.07.
    assert "1.1 times as far away" in said


def test_a_camera_that_moved_is_told_to_turn_back_not_to_follow_the_subjects():
    def spoil(shots, rng):
        nights.move(shots, rng)
        for shot in shots:
            shot.box = Box(0.7, 0.4, 0.9, 0.6)

    made = make_night(17, spoil, capture=LENS, visits=16)
    assert made.faults()[0].part is Part.AIM
    assert made.review().advice == ()


# --- exposure -------------------------------------------------------------------------------------------------------


def test_dim_frames_are_told_in_stops():
    def weaken(shots, _rng):
        for place in nights.at_night(shots)[::4]:
            shots[place].outputs = dict.fromkeys(SIDES, 0.5)

    (said,) = make_night(18, weaken, noise=0.01, visits=24).review().advice
    # Half the light is one stop; the measured outputs scatter a little and count at their best.
    under, times = re.search(r"got (\d\.\d) stops less light .* ISO (\d\.?\d?) times as high", said).groups()
    assert float(under) == pytest.approx(1.0, abs=0.15)
    assert float(times) == pytest.approx(2.0, abs=0.2)


def test_burnt_subjects_want_a_stop_less_and_much_burnt_ones_two():
    def burn(share):
        def spoil(shots, _rng):
            for shot in shots[::2]:
                shot.clipped = share

        return spoil

    (light,) = make_night(19, burn(0.3), visits=20).review().advice
    (heavy,) = make_night(19, burn(0.7), visits=20).review().advice
    assert "take 1 stop off, by half the flash power" in light
    assert "take 2 stops off, by a quarter the flash power" in heavy
    assert "30\u00a0% of it is pure white" in light


# --- what cannot be told --------------------------------------------------------------------------------------------


def test_without_a_place_what_is_missing_is_said():
    assert any("--lat" in said for said in make_night(20, sky=False).review().untold)
    assert not any("--lat" in said for said in make_night(20).review().untold)


def test_flashes_that_never_showed_apart_are_named_with_the_check_that_decides():
    made = alike(make_night(21))
    (said,) = [said for said in made.review(flashes=2).untold if "one pattern" in said]
    assert "all of your 2 flashes fired alike, or one never did" in said
    assert "What decides: press each test button" in said
    assert not [said for said in make_night(21).review(flashes=2).untold if "one pattern" in said]


def test_with_one_flash_one_pattern_is_no_question():
    assert not [said for said in alike(make_night(21)).review(flashes=1).untold if "one pattern" in said]


def test_by_day_nothing_is_said_of_flashes():
    def daylight(shots, _rng):
        for shot in shots:
            shot.ambient = 1.0

    review = make_night(22, daylight).review()
    assert review.flashes == ()
    assert any("nothing can be said of the flashes" in said for said in review.untold)


def test_a_card_of_damaged_pictures_says_that_nothing_can_be_told():
    def ruin(shots, _rng):
        for shot in shots:
            shot.problem = "the picture data end too early"

    made = make_night(23, ruin)
    review = made.review()
    assert review.flashes == ()
    assert review.visits == 0
    assert review.untold[0].startswith("No picture can be read")
    assert {fault.kind for fault in made.faults() if fault.confidence >= 0.5} == {FaultKind.DAMAGED_FILES}


def test_times_of_files_are_said_to_be_no_times_of_the_camera():
    made = make_night(24)
    frames = tuple(
        replace(frame, time_is_camera=False, capture=replace(frame.capture, taken=None))
        for frame in made.frames
    )
    assert any("wrote no times" in said for said in replace(made, frames=frames).review().untold)


def test_that_pictures_do_not_tell_the_date_is_said_where_nothing_is_known_of_the_clock():
    assert any("do not tell the date" in said for said in make_night(24).review().untold)
    assert not any(
        "do not tell the date" in said for said in make_night(24, nights.reset_clock).review().untold
    )


def test_advice_in_centimetres_rests_on_the_distance_that_was_said_before_the_one_the_lens_told():
    def aside(shots, _rng):
        for shot in shots:
            shot.cut, shot.subject, shot.box = False, True, Box(0.65, 0.4, 0.85, 0.6)

    lens = Capture(width=6000, height=4000, focal_mm=50.0, sensor_mm=(36.0, 24.0), distance_m=2.0)
    made = make_night(26, aside, capture=lens, visits=12)
    # A quarter of the width from the middle, by similar triangles: 0.25 x 36 / 50 of the distance.
    for distance, centimetres in ((None, 36.0), (3.5, 63.0)):
        review = made.review(distance_m=distance)
        assert review.framing.across_cm == pytest.approx(centimetres, abs=0.5)
        assert f"({centimetres:.0f} cm at {distance or 2.0:.1f} m)" in " ".join(review.advice)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_few_frames_are_no_trouble(count):
    rng = np.random.default_rng(25)
    review = nights.develop(nights.shoot(rng)[:count], rng).review()
    assert review.visits_whole <= review.visits


# --- a healthy frame beside the evidence ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spoil", "part", "good"),
    [
        (nights.stop(RIGHT), Part.FLASH_RIGHT, lambda found: found.light.flashes[RIGHT] > 0.7),
        (nights.stop(LEFT, RIGHT), Part.FLASH_LINK, lambda found: min(found.light.flashes.values()) > 0.7),
        (nights.fog, Part.LENS, lambda found: found.haze < 0.15),
        (nights.soften, Part.FOCUS, lambda found: found.scene_sharpness > 0.7),
        (nights.move, Part.AIM, lambda found: abs(found.shift_row) < 0.01),
        (nights.late, Part.TRIGGER, lambda found: not found.subject.cut_by),
    ],
)
def test_a_frame_that_shows_the_part_in_order_stands_beside_the_evidence(spoil, part, good):
    for seed in range(30, 36):
        made = make_night(seed, spoil, visits=20)
        faults, review = made.diagnosis()
        assert len(review.healthy) == len(faults)
        for fault, index in zip(faults, review.healthy, strict=True):
            if fault.part is part and index is not None:
                assert index not in fault.evidence
                assert good(made.judgements[index].measurement)
                return
    pytest.fail("no such fault was found")


def test_a_card_without_a_healthy_frame_has_none():
    made = make_night(26, nights.dead_from_the_start(RIGHT))
    faults, review = made.diagnosis()
    position = next(at for at, fault in enumerate(faults) if fault.part is Part.FLASH_RIGHT)
    assert review.healthy[position] is None
