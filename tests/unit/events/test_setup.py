"""When the operator was at the rig, on synthetic cards of many kinds.

What operators and animals look like in these cards is common practice, no source.
"""

from dataclasses import replace
from datetime import datetime, timedelta

from triage.events.setup import find_work, work_out_setup
from triage.records.card import CardFile, FileKind
from triage.records.frame import Capture, Frame
from triage.records.measurement import Box, Light, Measurement, Side, Subject
from triage.records.night import Window

EVENING = datetime(2026, 10, 3, 17, 25)
SETTING = Capture(exposure_s=0.005, f_number=8.0, iso=400.0, focal_mm=35.0, width=6000, height=4000)

FOX = (0.40, 0.55, 0.60, 0.75)
DEER_NEAR = (0.10, 0.20, 0.75, 0.90)
HANDS = (0.00, 0.10, 0.70, 1.00)
WALKER = (0.45, 0.20, 0.60, 0.85)


class Night:
    """A card in the making."""

    def __init__(self):
        self.frames, self.measurements = [], []

    def add(
        self,
        minutes,
        box=None,
        *,
        ambient=0.0,
        presence=0.97,
        shift=(0.0, 0.0),
        blind=0.0,
        cut_by=(),
        **capture,
    ):
        index = len(self.frames)
        time = EVENING + timedelta(minutes=minutes)
        self.frames.append(
            Frame(
                index=index,
                key=f"{index:032x}",
                files=(CardFile(f"DCIM/100NIGHT/NGT_{index + 1:04}.JPG", FileKind.JPEG, 1, 0),),
                capture=replace(SETTING, taken=time, **capture),
                time=time,
            )
        )
        subject = None if box is None else Subject(Box(*box), presence, cut_by)
        self.measurements.append(
            Measurement(
                Light(ambient, {"flash-left": 1.0}, 0.1),
                subject,
                presence=presence if box else 0.02,
                blind=blind,
                shift_row=shift[0],
                shift_col=shift[1],
            )
        )
        return time

    def animals(self, first=60, last=600, every=45, box=FOX, ambient=0.0):
        for minute in range(first, last, every):
            for second in (0, 1, 2):
                self.add(minute + second / 60, box, ambient=ambient)
        return self

    def windows(self):
        return work_out_setup(self.frames, self.measurements)


def test_hands_and_body_in_the_evening_are_setup_until_the_last_of_them():
    night = Night()
    start = night.add(0, HANDS, ambient=0.8)
    night.add(0.5, WALKER, ambient=0.8)
    night.add(2, None, ambient=0.75)
    end = night.add(3, HANDS, ambient=0.7)
    assert night.animals().windows() == (Window(start, end),)


def test_an_animal_minutes_after_leaving_stays_an_animal():
    night = Night()
    night.add(0, HANDS, ambient=0.6)
    end = night.add(1, HANDS, ambient=0.6)
    visit = night.add(5, FOX, ambient=0.5)
    (window,) = night.animals().windows()
    assert window.end == end
    assert visit not in window


def test_work_over_half_an_hour_with_single_glimpses_is_one_window():
    night = Night()
    start = night.add(0, FOX, ambient=0.9)
    for minute in (2, 14, 21):
        night.add(minute, WALKER, ambient=0.7)
    night.add(34, HANDS, ambient=0.45)
    end = night.add(34.6, None, ambient=0.45)
    assert night.animals().windows() == (Window(start, end),)


def test_a_large_animal_an_hour_into_the_night_does_not_stretch_the_setup():
    night = Night()
    night.add(0, HANDS, ambient=0.7)
    end = night.add(0.3, HANDS, ambient=0.7)
    for minute in range(12, 62, 12):
        night.add(minute, FOX, ambient=0.1 if minute < 20 else 0.0)
    night.add(70, DEER_NEAR)
    night.add(70.1, DEER_NEAR)
    (window,) = night.animals(first=120).windows()
    assert window.end == end


def test_one_large_animal_at_dusk_minutes_after_leaving_stays_an_animal():
    night = Night()
    night.add(0, HANDS, ambient=0.7)
    end = night.add(0.3, HANDS, ambient=0.7)
    visit = night.add(9, (0.2, 0.3, 0.75, 0.75), ambient=0.4)
    (window,) = night.animals().windows()
    assert window.end == end
    assert visit not in window


def test_test_shots_between_two_pieces_of_work_are_setup_too():
    night = Night()
    night.add(0, HANDS, ambient=0.8)
    night.add(0.2, HANDS, ambient=0.8)
    between = night.add(7, None, ambient=0.7)
    night.add(14, WALKER, ambient=0.6)
    end = night.add(14.1, WALKER, ambient=0.6)
    (window,) = night.animals().windows()
    assert between in window
    assert window.end == end


def test_the_test_shot_right_after_the_last_hand_is_setup():
    night = Night()
    night.add(0, HANDS, ambient=0.8)
    night.add(0.3, HANDS, ambient=0.8)
    end = night.add(0.8, None, ambient=0.8)
    (window,) = night.animals().windows()
    assert window.end == end


def test_one_who_walks_through_the_beam_at_dusk_is_the_operator():
    night = Night()
    start = night.add(0, WALKER, ambient=0.5)
    end = night.add(0.2, WALKER, ambient=0.5)
    assert night.animals().windows() == (Window(start, end),)


def test_one_figure_taller_than_half_the_picture_in_the_very_first_frame_is_the_operator():
    night = Night()
    start = night.add(0, WALKER, ambient=0.8)
    assert night.animals().windows() == (Window(start, start),)


def test_single_towering_figures_minutes_apart_are_one_coming():
    night = Night()
    start = night.add(0, WALKER, ambient=0.8)
    end = night.add(4, WALKER, ambient=0.7)
    later = night.add(30, WALKER, ambient=0.3)
    (window,) = night.animals().windows()
    assert window == Window(start, end)
    assert later not in window


def test_one_towering_figure_later_in_the_night_or_in_the_dark_is_not_the_operator():
    night = Night()
    night.add(0, FOX, ambient=0.8)
    night.add(20, WALKER, ambient=0.7)
    assert night.animals().windows() == ()
    dark = Night()
    dark.add(0, WALKER)
    assert dark.animals().windows() == ()


def test_coming_back_in_the_morning_is_setup():
    night = Night().animals()
    start = night.add(800, WALKER, ambient=0.9)
    night.add(800.2, HANDS, ambient=0.9)
    end = night.add(800.4, HANDS, ambient=0.9)
    assert night.windows() == (Window(start, end),)


def test_one_near_figure_in_the_light_ends_a_whole_night():
    near = (0.0, 0.4, 0.6, 0.95)
    night = Night().animals()
    end = night.add(800, near, ambient=0.9)
    assert night.windows() == (Window(end, end),)
    dark, short = Night().animals(), Night().animals(last=150)
    for other, light in ((dark, 0.0), (short, 0.9)):
        other.add(800, near, ambient=light)
        assert other.windows() == ()


def test_whatever_comes_minutes_before_the_operator_ends_the_night_is_the_operator_coming():
    night = Night().animals()
    earlier = night.add(780, FOX, ambient=0.02)
    start = night.add(796, FOX, ambient=0.02)
    end = night.add(800, WALKER, ambient=0.9)
    (window,) = night.windows()
    assert window == Window(start, end)
    assert earlier not in window


def test_who_towers_just_before_the_very_end_is_the_operator():
    night = Night().animals(box=DEER_NEAR)
    start = night.add(799, WALKER, ambient=0.9)
    end = night.add(800, FOX, ambient=0.9)
    assert night.windows() == (Window(start, end),)


def test_who_towers_at_the_very_end_is_the_operator_though_large_animals_come_by_night():
    night = Night().animals(box=DEER_NEAR)
    end = night.add(800, WALKER, ambient=0.9)
    assert night.windows() == (Window(end, end),)


def test_evening_and_morning_are_two_windows():
    night = Night()
    night.add(0, HANDS, ambient=0.8)
    night.add(0.5, HANDS, ambient=0.8)
    night.animals()
    night.add(800, HANDS, ambient=0.9)
    night.add(800.4, HANDS, ambient=0.9)
    assert len(night.windows()) == 2


def test_a_card_that_starts_with_an_animal_at_night_has_no_window():
    assert Night().animals(first=0).windows() == ()


def test_a_large_animal_at_night_is_not_the_operator():
    night = Night()
    night.add(0, DEER_NEAR, ambient=0.0)
    night.add(0.1, DEER_NEAR, ambient=0.01)
    assert night.animals().windows() == ()


def test_an_animal_of_usual_size_at_dusk_is_not_the_operator():
    night = Night()
    for second in range(5):
        night.add(second / 60, FOX, ambient=0.6)
    assert night.animals().windows() == ()


def test_a_low_band_across_the_whole_picture_is_nobody():
    night = Night()
    for second in range(2):
        night.add(second / 60, (0.0, 0.0, 1.0, 0.6), ambient=0.8, cut_by=(Side.LEFT, Side.TOP, Side.RIGHT))
    assert night.animals().windows() == ()
    near = Night()
    for second in range(2):
        near.add(second / 60, (0.0, 0.0, 1.0, 1.0), ambient=0.8, cut_by=tuple(Side))
    assert len(near.animals().windows()) == 1


def test_passers_by_all_day_are_not_the_operator():
    assert Night().animals(first=0, box=WALKER, ambient=1.0).windows() == ()


def test_a_day_of_large_animals_is_no_setup():
    assert Night().animals(first=0, box=DEER_NEAR, ambient=1.0).windows() == ()


def test_who_lingers_at_the_start_is_the_operator_though_large_animals_come_by_night():
    night = Night()
    start = night.add(0, HANDS, ambient=0.8)
    night.add(1, HANDS, ambient=0.8)
    end = night.add(2, HANDS, ambient=0.7)
    assert night.animals(box=DEER_NEAR).windows() == (Window(start, end),)


def test_a_burst_at_the_start_is_not_the_operator_where_such_animals_come_by_night():
    night = Night()
    for second in range(4):
        night.add(second / 60, DEER_NEAR, ambient=0.8)
    assert night.animals(box=DEER_NEAR).windows() == ()


def test_a_stream_of_frames_without_a_pause_has_no_window():
    night = Night()
    for step in range(68):
        night.add(step / 3, HANDS if step > 53 else None, ambient=1.0)
    assert night.windows() == ()


def test_another_focal_length_at_the_start_is_a_hand_even_in_the_dark():
    night = Night()
    start = night.add(0, None, focal_mm=28.0)
    end = night.add(0.5, None, focal_mm=28.0)
    assert night.animals().windows() == (Window(start, end),)


def test_a_view_that_moves_from_frame_to_frame_is_a_hand():
    night = Night()
    for step, shift in enumerate([0.10, 0.06, -0.03, 0.02]):
        night.add(step / 4, None, ambient=0.5, shift=(0.0, shift))
    (window,) = night.animals().windows()
    assert window.start == EVENING


def test_views_that_cannot_be_told_in_the_dark_are_no_hand():
    night = Night()
    for step, shift in enumerate([0.10, 0.06, -0.03, 0.02]):
        night.add(step / 4, None, shift=(0.0, shift), blind=0.9)
    assert night.animals().windows() == ()


def test_an_aim_that_moves_once_is_not_the_operator():
    night = Night()
    for step in range(10):
        night.add(40 * step, FOX, shift=(0.0, 0.05 if step < 3 else 0.0))
    assert night.windows() == ()


def test_a_camera_that_sets_its_own_exposure_at_dusk_is_not_a_hand():
    night = Night()
    night.add(0, FOX, ambient=0.8, exposure_s=0.01, iso=200.0)
    night.add(0.1, FOX, ambient=0.8, exposure_s=0.01, iso=200.0)
    assert night.animals().windows() == ()


def test_another_setting_after_somebody_came_near_is_a_coming_in_the_middle():
    night = Night().animals(last=300)
    start = night.add(320, HANDS, ambient=0.0)
    end = night.add(320.5, HANDS, ambient=0.0, iso=800.0)
    for minute in range(340, 600, 40):
        night.add(minute, FOX, iso=800.0)
    assert night.windows() == (Window(start, end),)


def test_a_large_animal_in_the_middle_of_the_night_is_not_the_operator():
    night = Night().animals(last=300)
    night.add(320, DEER_NEAR)
    night.add(320.1, DEER_NEAR)
    assert night.animals(first=340).windows() == ()


def test_doubtful_subjects_are_no_evidence():
    night = Night()
    night.add(0, HANDS, ambient=0.8, presence=0.3)
    night.add(0.1, HANDS, ambient=0.8, presence=0.3)
    assert night.animals().windows() == ()


def test_damaged_frames_and_tiny_cards_are_no_trouble():
    night = Night()
    night.add(0, HANDS, ambient=0.8)
    assert night.windows() == ()
    night.animals()
    assert work_out_setup(night.frames, [None] * len(night.frames)) == ()
    assert work_out_setup((), ()) == ()


def test_each_window_comes_with_its_reasons_and_an_honest_chance():
    night = Night()
    night.add(0, HANDS, ambient=0.8)
    night.add(0.2, HANDS, ambient=0.8)
    night.animals()
    (work,) = find_work(night.frames, night.measurements)
    assert 0.6 <= work.confidence <= 0.99
    assert "2 frames with a subject over a fifth of the picture" in work.why


def test_a_clock_that_jumped_back_makes_no_negative_window():
    night = Night().animals(first=600, last=900)
    night.add(0, HANDS, ambient=0.9)
    night.add(0.2, HANDS, ambient=0.9)
    for window in night.windows():
        assert window.start <= window.end
