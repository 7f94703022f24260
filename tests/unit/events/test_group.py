"""Frames into visits."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.events import limits
from triage.events.group import group_by_time, group_events
from triage.records.card import CardFile, FileKind
from triage.records.event import EventKind
from triage.records.finding import Finding, FindingKind, Judgement
from triage.records.frame import Capture, Frame
from triage.records.measurement import Box, Light, Measurement, Subject

DUSK = datetime(2026, 10, 3, 18)


def frames_at(*seconds):
    return tuple(
        Frame(
            index=index,
            key=f"{index:032x}",
            files=(CardFile(f"DCIM/100NIGHT/NGT_{index + 1:04}.JPG", FileKind.JPEG, 1, 0),),
            capture=Capture(taken=DUSK + timedelta(seconds=second)),
            time=DUSK + timedelta(seconds=second),
        )
        for index, second in enumerate(seconds)
    )


def judged(index, *kinds, presence=0.0, unsure=False, box=None, cut_by=(), confidence=0.95, sharp=None):
    subject = None if box is None else Subject(Box(*box), presence, cut_by)
    measurement = Measurement(
        Light(0.0, {}, 0.1), subject, presence=presence, blind=0.0, subject_sharpness=sharp
    )
    if FindingKind.DAMAGED in kinds:
        measurement = None
    return Judgement(index, tuple(Finding(kind, confidence, "") for kind in kinds), measurement, unsure)


def animal(index, **more):
    return judged(index, **{"presence": 0.98, "box": (0.4, 0.4, 0.6, 0.6), **more})


def empty(index, **more):
    return judged(index, FindingKind.EMPTY, presence=0.01, **more)


def groups(*seconds):
    return [event.frames for event in group_by_time(frames_at(*seconds))]


def test_no_frames_make_no_event():
    assert group_by_time(()) == ()
    assert group_events((), ()) == ()


def test_bursts_a_few_seconds_apart_are_one_visit():
    assert groups(0, 0.5, 1, 12, 12.5, 30) == [(0, 1, 2, 3, 4, 5)]


def test_two_animals_a_minute_apart_are_two_visits():
    assert groups(0, 0.5, 1, 61, 61.5, 62) == [(0, 1, 2), (3, 4, 5)]
    assert groups(0, 1, 11, 12, 72, 73, 83, 84) == [(0, 1, 2, 3), (4, 5, 6, 7)]


def test_an_animal_that_stays_twenty_minutes_is_one_visit_while_frames_keep_coming():
    # Re-triggers by one animal come every 8 to 15 s on average (Kühl et al. 2023); one pause of 70 s among
    # them.
    seconds = [12.0 * step for step in range(60)]
    later = [seconds[-1] + 70 + 12 * step for step in range(40)]
    assert len(groups(*seconds, *later)) == 1


def test_a_sensor_with_a_dead_time_of_a_minute_does_not_chop_a_visit():
    assert len(groups(*(60 * step for step in range(10)))) == 1


def test_a_pause_beyond_the_longest_always_ends_a_visit():
    seconds = [10 * step for step in range(60)]
    assert len(groups(*seconds, seconds[-1] + limits.LONGEST_GAP_S + 1)) == 2


def test_a_pause_of_exactly_the_limit_still_joins():
    assert groups(0, limits.VISIT_GAP_S) == [(0, 1)]
    assert groups(0, limits.VISIT_GAP_S + 0.1) == [(0,), (1,)]


def test_a_clock_set_back_starts_a_new_event():
    assert groups(36000, 36001, 0, 1) == [(0, 1), (2, 3)]


def test_coarse_file_times_in_the_wrong_order_do_not_part_a_burst():
    assert groups(10, 12, 10, 12) == [(0, 1, 2, 3)]


def test_the_end_of_summer_time_does_not_part_a_burst():
    assert groups(3600, 3601, 2, 3) == [(0, 1, 2, 3)]


def test_an_absurd_jump_forwards_starts_a_new_event():
    assert groups(0, 1, 10 * 365 * 86400) == [(0, 1), (2,)]


def test_setup_never_shares_an_event_with_an_animal():
    frames = frames_at(0, 5, 10, 15)
    judgements = [
        judged(0, FindingKind.SETUP),
        judged(1, FindingKind.SETUP, presence=0.9),
        animal(2),
        animal(3),
    ]
    events = group_events(frames, judgements)
    assert [(event.frames, event.kind) for event in events] == [
        ((0, 1), EventKind.SETUP),
        ((2, 3), EventKind.SUBJECT),
    ]


def test_one_coming_of_the_operator_is_one_event_despite_longer_pauses():
    events = group_events(frames_at(0, 200, 500), [judged(index, FindingKind.SETUP) for index in range(3)])
    assert [event.kind for event in events] == [EventKind.SETUP]


@pytest.mark.parametrize(
    ("judgements", "kind"),
    [
        ([empty(0), empty(1)], EventKind.EMPTY),
        ([empty(0), animal(1)], EventKind.SUBJECT),
        ([judged(0, FindingKind.DARK), judged(1, FindingKind.DARK)], EventKind.DARK),
        ([judged(0, FindingKind.DARK), empty(1)], EventKind.MIXED),
        ([empty(0), judged(1, FindingKind.DAMAGED)], EventKind.MIXED),
        ([judged(0, FindingKind.DAMAGED), judged(1, FindingKind.DAMAGED)], EventKind.MIXED),
        ([animal(0, unsure=True), empty(1)], EventKind.MIXED),
        ([animal(0, unsure=True), animal(1)], EventKind.SUBJECT),
        ([judged(0, FindingKind.HALF_LIT, presence=0.9), empty(1)], EventKind.SUBJECT),
    ],
)
def test_kind_says_what_an_event_is_made_of(judgements, kind):
    (event,) = group_events(frames_at(0, 1), judgements)
    assert event.kind is kind


def test_a_branch_in_the_wind_does_not_glue_the_night_together():
    # A fire every 20 s for two hours, all empty, and an animal for half a minute in the middle.
    seconds = [20 * step for step in range(360)]
    frames = frames_at(*seconds)
    judgements = [animal(i) if 180 <= i < 183 else empty(i) for i in range(360)]
    events = group_events(frames, judgements)
    assert [(event.frames[0], event.frames[-1], event.kind) for event in events] == [
        (0, 179, EventKind.EMPTY),
        (180, 182, EventKind.SUBJECT),
        (183, 359, EventKind.EMPTY),
    ]


def test_a_few_empty_frames_around_an_animal_belong_to_its_visit():
    events = group_events(frames_at(0, 10, 20, 30, 40), [empty(0), animal(1), empty(2), animal(3), empty(4)])
    assert [event.frames for event in events] == [(0, 1, 2, 3, 4)]


def test_doubtful_empties_do_not_part_a_visit():
    frames = frames_at(*(20 * step for step in range(20)))
    judgements = [animal(i) if i in {0, 19} else empty(i, confidence=0.6) for i in range(20)]
    assert len(group_events(frames, judgements)) == 1


@pytest.mark.parametrize(
    ("worse", "why"),
    [
        (animal(0, cut_by=("left",)), "cut by the border"),
        (animal(0, sharp=0.2), "soft"),
        (judged(0, FindingKind.HALF_LIT, presence=0.98, box=(0.4, 0.4, 0.6, 0.6)), "half lit"),
        (animal(0, presence=0.6), "doubtful"),
        (animal(0, box=(0.0, 0.4, 0.2, 0.6)), "off to the side"),
        (empty(0), "empty"),
        (judged(0, FindingKind.DAMAGED), "damaged"),
        (judged(0, FindingKind.DARK, presence=0.5), "dark"),
    ],
)
def test_the_better_frame_leads(worse, why):
    (event,) = group_events(frames_at(0, 1), [worse, animal(1, sharp=0.9)])
    assert event.lead == 1, why


def test_of_equal_frames_the_first_leads():
    (event,) = group_events(frames_at(0, 1, 2), [animal(index) for index in range(3)])
    assert event.lead == 0


SMALL, LARGE = (0.40, 0.56, 0.48, 0.64), (0.40, 0.36, 0.70, 0.60)


def test_an_animal_found_again_where_it_was_left_has_stayed():
    # Three bursts of one animal with pauses of 95 and 150 s, longer than any gap rule would join.
    frames = frames_at(0, 1, 96, 97, 247, 248)
    assert len(group_by_time(frames)) == 3
    events = group_events(frames, [animal(index, box=LARGE) for index in range(6)])
    assert [event.frames for event in events] == [(0, 1, 2, 3, 4, 5)]


def test_a_larger_animal_a_minute_later_is_another_visit():
    frames = frames_at(0, 1, 68, 69)
    judgements = [animal(0, box=SMALL), animal(1, box=SMALL), animal(2, box=LARGE), animal(3, box=LARGE)]
    assert len(group_events(frames, judgements)) == 2


def test_one_that_left_on_the_right_and_one_that_comes_on_the_left_are_two_visits():
    frames = frames_at(0, 1, 70, 71)
    boxes = [(0.4, 0.4, 0.6, 0.6), (0.8, 0.4, 1.0, 0.6), (0.0, 0.4, 0.2, 0.6), (0.3, 0.4, 0.5, 0.6)]
    judgements = [animal(index, box=box) for index, box in enumerate(boxes)]
    assert len(group_events(frames, judgements)) == 2


def test_three_minutes_without_a_frame_end_any_stay():
    frames = frames_at(0, limits.LONGEST_STAY_S + 1)
    assert len(group_events(frames, [animal(0, box=LARGE), animal(1, box=LARGE)])) == 2


@given(
    seconds=st.lists(st.floats(-5000, 5000), min_size=1, max_size=40),
    kinds=st.lists(
        st.sampled_from(["setup", "empty", "animal", "dark", "damaged"]), min_size=40, max_size=40
    ),
)
def test_every_frame_is_in_exactly_one_event_in_order(seconds, kinds):
    frames = frames_at(*seconds)
    make = {
        "setup": lambda i: judged(i, FindingKind.SETUP),
        "empty": empty,
        "animal": animal,
        "dark": lambda i: judged(i, FindingKind.DARK),
        "damaged": lambda i: judged(i, FindingKind.DAMAGED),
    }
    judgements = [make[kind](index) for index, kind in enumerate(kinds[: len(frames)])]
    for events in (group_by_time(frames), group_events(frames, judgements)):
        assert [index for event in events for index in event.frames] == list(range(len(frames)))
        assert [event.id for event in events] == list(range(1, len(events) + 1))
        assert all(event.lead in event.frames and event.start <= event.end for event in events)
