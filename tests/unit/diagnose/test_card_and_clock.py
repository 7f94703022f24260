"""Card and clock: holes in the numbers, roll-over, full cards, resets, and clocks against the sun."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from tests.unit.diagnose import nights
from tests.unit.diagnose.nights import make_night
from triage.records.card import CardFile, FileKind, LeftOut
from triage.records.diagnosis import FaultKind, Part


def find(made, part, kind=None):
    return [fault for fault in made.faults() if fault.part is part and kind in {None, fault.kind}]


def renumbered(made, names):
    frames = tuple(
        replace(frame, files=(CardFile(name, FileKind.JPEG, 1, 0),))
        for frame, name in zip(made.frames, names, strict=True)
    )
    card = replace(made.card, groups=tuple(frame.files for frame in frames))
    return replace(made, frames=frames, card=card)


def names_from(start, count, *, skip=()):
    numbers = [number for number in range(start, start + count + len(skip)) if number not in skip]
    return [f"DCIM/{100 + (n - 1) // 9999}NIGHT/NGT_{(n - 1) % 9999 + 1:04d}.JPG" for n in numbers]


def test_the_roll_over_from_9999_to_0001_is_no_hole():
    # DCF (CIPA DC-009): after 9999 the next folder starts at 0001.
    made = make_night(60)
    made = renumbered(made, names_from(9999 - 20, len(made.frames)))
    assert made.frames[25].path.startswith("DCIM/101NIGHT/")
    assert not find(made, Part.CARD)


def test_a_hole_across_the_roll_over_is_found():
    made = make_night(60)
    made = renumbered(made, names_from(9999 - 20, len(made.frames), skip=(9998, 9999, 10000)))
    (fault,) = find(made, Part.CARD, FaultKind.MISSING_NUMBERS)
    assert fault.say.startswith("3 file numbers")


def test_numbers_taken_by_films_are_not_missing():
    made = make_night(61)
    names = names_from(1, len(made.frames), skip=(20,))
    made = renumbered(made, names)
    assert find(made, Part.CARD, FaultKind.MISSING_NUMBERS)
    film = LeftOut("DCIM/100NIGHT/NGT_0020.MOV", "a film")
    assert not find(replace(made, card=replace(made.card, left_out=(film,))), Part.CARD)


def test_a_folder_of_chosen_files_is_no_sick_card():
    made = make_night(62)
    made = renumbered(made, names_from(1, 3 * len(made.frames))[::3])
    (fault,) = find(made, Part.CARD, FaultKind.MISSING_NUMBERS)
    assert fault.confidence < 0.5
    assert "selection" in fault.say


def test_numbers_missing_at_a_few_trips_are_the_cards_even_where_they_are_many():
    made = make_night(62, visits=20)
    names, number = [], 0
    for frame in made.frames:
        number += 9 if frame.index % 8 == 7 else 1
        names += names_from(number, 1)
    (fault,) = find(renumbered(made, names), Part.CARD, FaultKind.MISSING_NUMBERS)
    assert fault.confidence >= 0.5
    assert "selection" not in fault.say


def test_names_that_are_no_camera_names_have_no_holes():
    made = make_night(63)
    made = renumbered(made, [f"night/picture {3 * number}.jpg" for number in range(len(made.frames))])
    assert not find(made, Part.CARD)


def test_frames_deleted_while_setting_up_are_no_fault():
    made = make_night(64)
    made = renumbered(made, names_from(1, len(made.frames), skip=(2, 3)))
    assert not find(made, Part.CARD)


def test_a_single_broken_file_at_the_end_says_what_broke_it():
    def spoil(shots, rng):
        shots[-1].problem = "the picture data end too early"

    (fault,) = find(make_night(65, spoil), Part.CARD, FaultKind.DAMAGED_FILES)
    assert "It is the last one" in fault.say
    assert "the picture data end too early" in fault.say
    assert fault.say.startswith("1 file of ")


def test_a_full_card_needs_more_than_a_size_near_a_round_one():
    def broken(shots, rng):
        shots[-1].problem = "zero bytes"

    for spoil, retrieval, expected in ((broken, False, True), (None, False, False), (None, True, False)):
        made = make_night(66, spoil, retrieval=retrieval)
        made = replace(made, card=replace(made.card, size=int(15.4e9)))
        full = [fault for fault in find(made, Part.CARD, FaultKind.FULL) if fault.confidence >= 0.5]
        assert bool(full) is expected


def test_a_clock_set_back_to_its_default_date_is_a_reset():
    made = make_night(67, nights.reset_clock)
    (fault,) = find(made, Part.CLOCK)
    assert (fault.kind, fault.start) == (FaultKind.RESET, made.onset)
    assert "2026 to 2020" in fault.say


def test_an_hour_back_is_summer_time_before_it_is_a_fault():
    def spoil(shots, rng):
        for shot in shots[nights.some_moment(shots, rng) :]:
            shot.time -= timedelta(hours=1)

    (fault,) = find(make_night(68, spoil), Part.CLOCK)
    assert fault.kind is FaultKind.WRONG
    assert fault.confidence < 0.6
    assert "summer time" in fault.say


@pytest.mark.parametrize(("year", "sure"), [(2000, 0.9), (2025, 0.7)])
def test_a_card_that_starts_on_a_default_date_has_a_reset_clock(year, sure):
    def spoil(shots, rng):
        for shot in shots:
            shot.ambient = 0.0
            shot.time = datetime(year, 1, 1, 0, 2) + timedelta(seconds=shot.second)

    faults = find(make_night(69, spoil, sky=False), Part.CLOCK, FaultKind.RESET)
    assert faults
    assert faults[0].confidence >= sure


def test_a_night_into_the_new_year_is_no_reset():
    def spoil(shots, rng):
        for shot in shots:
            shot.time = datetime(2026, 12, 31, 17, 30) + timedelta(seconds=shot.second)

    assert not find(make_night(70, spoil, sky=False), Part.CLOCK)


def test_a_clock_hours_off_says_by_how_much_and_which_way():
    def slow(shots, rng):
        for shot in shots:
            shot.time -= timedelta(hours=6)

    (fault,) = find(make_night(71, slow, visits=30), Part.CLOCK)
    assert fault.kind is FaultKind.WRONG
    assert "slow" in fault.say
    assert "zone or place" in fault.say


def shifted(hours):
    def spoil(shots, rng):
        for shot in shots:
            shot.time += timedelta(hours=hours)

    return spoil


# In the made nights dusk and dawn meet at 0:00 by the clock; real places lie up to an hour before and three after.
@pytest.mark.parametrize(("hours", "way"), [(-5, "slow"), (6, "fast"), (-9, "slow"), (10, "fast")])
def test_without_a_place_the_middle_of_the_dark_hours_accuses_a_clock_hours_off(hours, way):
    named = []
    for seed in range(72, 80):
        found = find(make_night(seed, shifted(hours), sky=False, visits=40), Part.CLOCK, FaultKind.WRONG)
        named += [fault for fault in found if fault.confidence >= 0.5]
        assert all(way in fault.say for fault in found)
        assert all(fault.evidence for fault in found)
    assert len(named) >= 6


@pytest.mark.parametrize("hours", [-0.7, 0, 1, 2.5])
def test_without_a_place_the_clocks_of_zones_and_summer_time_are_right(hours):
    assert not [
        seed
        for seed in range(80, 110)
        if find(make_night(seed, shifted(hours), sky=False, visits=25), Part.CLOCK, FaultKind.WRONG)
    ]


def test_without_a_place_a_card_of_night_frames_only_accuses_no_clock():
    def no_dusk(shots, rng):
        shifted(-6)(shots, rng)
        for shot in shots:
            shot.ambient = 0.0

    assert not find(make_night(81, no_dusk, sky=False, visits=30), Part.CLOCK)


def test_light_thrown_about_by_a_body_near_a_flash_is_no_dawn():
    def bodies(shots, rng):
        for shot in shots:
            if shot.subject and shot.ambient < 0.1:
                shot.ambient = float(rng.uniform(0.05, 0.13))

    for seed in range(94, 104):
        assert not find(make_night(seed, bodies, sky=False, visits=25), Part.CLOCK)


def test_mist_that_lights_up_in_the_flash_is_no_dawn():
    def mist(shots, rng):
        for shot in shots:
            if shot.second > 5 * 3600:
                shot.ambient, shot.outputs = 0.14, dict.fromkeys(nights.SIDES, 0.85)

    for seed in range(82, 92):
        assert not find(make_night(seed, mist, sky=False, visits=25, noise=0.02), Part.CLOCK)


def test_file_times_do_not_accuse_the_clock():
    made = make_night(73, nights.reset_clock)
    made = replace(made, frames=tuple(replace(frame, time_is_camera=False) for frame in made.frames))
    assert not find(made, Part.CLOCK, FaultKind.RESET)


def test_a_last_file_that_breaks_off_by_night_may_be_a_full_card_or_lost_power_and_the_check_is_said():
    def spoil(shots, rng):
        nights.cut_short(shots, rng)
        shots[-1].problem = "the picture data end too early"

    made = make_night(93, spoil, retrieval=False, visits=25)
    faults = made.faults()
    first, *rest = [(fault.part, fault.kind) for fault in faults]
    assert first == (Part.CARD, FaultKind.FULL)
    assert (Part.CAMERA, FaultKind.STOPPED_EARLY) in rest
    assert [fault.confidence >= 0.5 for fault in faults] == [True] + [False] * len(rest)
    assert "the room left on the card decides" in faults[0].say
    assert "Look in the camera how many pictures still fit" in faults[0].remedy


def test_a_last_file_that_breaks_off_after_others_is_no_sign_of_a_full_card():
    def spoil(shots, rng):
        nights.cut_short(shots, rng)
        for shot in (shots[8], shots[-1]):
            shot.problem = "the picture data end too early"

    assert not find(make_night(93, spoil, retrieval=False, visits=25), Part.CARD, FaultKind.FULL)


def test_a_card_that_ends_in_a_later_evening_was_more_likely_collected_than_stopped():
    def to_the_evening(shots, _rng):
        keep = [shot for shot in shots if shot.second < 25.5 * 3600]
        shots[:] = [
            *keep,
            replace(keep[-1], second=25.6 * 3600, time=nights.DUSK + timedelta(hours=25.6), setup=False),
        ]
        shots[-1].ambient = 0.0

    made = make_night(105, to_the_evening, retrieval=False, days=2.0, visits=60)
    assert made.frames[-1].time.hour == 19
    assert all(fault.confidence < 0.5 for fault in find(made, Part.CAMERA))


# --- a dusk or dawn at no possible hour, by plain brightness ---------------------------------------------------------


def by_brightness(made, hours, *, night_level=0.07):
    """Give the frames levels as pictures have them, whatever the light was taken for, and another clock."""
    judgements, frames = [], []
    for frame, judgement in zip(made.frames, made.judgements, strict=True):
        second = (frame.time - nights.DUSK).total_seconds()
        by_day = 0.9 * 0.5 ** (max(0.0, min(second - 1800, 45_000 - second)) / 240.0)
        found = judgement.measurement
        light = replace(
            found.light,
            level=min(1.0, night_level + by_day),
            ambient=0.8,
            flashes=dict.fromkeys(nights.SIDES, 0.0),
        )
        judgements.append(replace(judgement, measurement=replace(found, light=light, haze=None)))
        frames.append(replace(frame, time=frame.time + timedelta(hours=hours)))
    night = replace(made.night, start=frames[0].time, end=frames[-1].time, setup_windows=())
    return replace(made, frames=tuple(frames), judgements=tuple(judgements), night=night)


@pytest.mark.parametrize(("hours", "way"), [(-6, "slow"), (9, "fast")])
def test_a_dusk_at_noon_or_after_midnight_is_a_wrong_clock(hours, way):
    named = 0
    for seed in range(106, 112):
        made = by_brightness(make_night(seed, sky=False, visits=30), hours)
        found = [fault for fault in find(made, Part.CLOCK, FaultKind.WRONG) if fault.confidence >= 0.5]
        assert all(way in fault.say for fault in found)
        named += bool(found)
    assert named >= 5


@pytest.mark.parametrize("hours", [-1, 0, 1, 2.5])
def test_a_dusk_at_a_usual_hour_is_none(hours):
    for seed in range(112, 122):
        assert not find(by_brightness(make_night(seed, sky=False, visits=20), hours), Part.CLOCK)


def test_a_torch_in_the_night_is_no_dusk():
    def torch(shots, _rng):
        for place in nights.at_night(shots)[20:23]:
            shots[place].ambient = 3.0

    for seed in range(122, 128):
        assert not find(make_night(seed, torch, sky=False, visits=20), Part.CLOCK)


# --- one and the same light by day -----------------------------------------------------------------------------------


def by_flash_alone(seed, hours, *, setting=(0.005, 8.0, 400.0), also_at_night=False):
    """Make a card of one flash-lit level all through, taken for daylight, with its times shifted so many hours."""
    made = by_brightness(make_night(seed, sky=False, visits=24), hours)
    rng = np.random.default_rng(seed)
    exposure_s, f_number, iso = setting
    judgements, frames = [], []
    for frame, judgement in zip(made.frames, made.judgements, strict=True):
        light = replace(judgement.measurement.light, level=float(0.05 * rng.normal(1.0, 0.02)))
        judgements.append(replace(judgement, measurement=replace(judgement.measurement, light=light)))
        capture = replace(frame.capture, exposure_s=exposure_s, f_number=f_number, iso=iso)
        night = also_at_night and frame.index % 4 == 0
        frames.append(replace(frame, capture=capture, time=frame.time + timedelta(hours=12 if night else 0)))
    return replace(made, judgements=tuple(judgements), frames=tuple(frames))


def test_one_and_the_same_light_from_morning_to_afternoon_is_a_clock_that_takes_noon_for_midnight():
    for seed in range(130, 134):
        (fault,) = find(by_flash_alone(seed, 12), Part.CLOCK, FaultKind.WRONG)
        assert fault.confidence >= 0.5
        assert "one and the same light" in fault.say


def test_where_the_camera_set_its_exposure_or_the_hours_are_those_of_the_night_steady_light_is_nothing_odd():
    for seed in range(134, 138):
        assert not find(by_flash_alone(seed, 12, setting=(None, 8.0, 400.0)), Part.CLOCK, FaultKind.WRONG)
        assert not find(by_flash_alone(seed, 0), Part.CLOCK, FaultKind.WRONG)


def test_a_place_that_is_dark_by_day_as_by_night_accuses_no_clock():
    made = by_flash_alone(138, 12)
    both = by_flash_alone(138, 12, also_at_night=True)
    assert find(made, Part.CLOCK, FaultKind.WRONG)
    assert not [fault for fault in find(both, Part.CLOCK) if "one and the same light" in fault.say]
