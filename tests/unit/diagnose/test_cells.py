from dataclasses import replace
from datetime import timedelta

import pytest

from tests.factories_sites import make_fault, make_night
from triage.diagnose.cells import cell_outlooks
from triage.diagnose.site_night import has_right_clock, site_night, visits
from triage.records.diagnosis import FaultKind, Part
from triage.records.event import EventKind

DIED = make_fault(Part.FLASH_LEFT, FaultKind.STOPPED)


def left(nights):
    return next(one for one in cell_outlooks(nights) if one.part is Part.FLASH_LEFT)


def test_without_a_whole_set_nothing_is_foretold():
    found = left([make_night(0, fired=40), make_night(1, fired=30)])
    assert (found.fires_left, found.nights_left, found.lives) == (None, None, ())
    assert found.reached == 70
    assert [one.fires for one in found.sets] == [70]


def test_a_set_counts_from_fresh_to_its_end_and_the_next_begins_the_night_after():
    nights = [
        make_night(0, fired=100, fresh=True),
        make_night(1, fired=90, faults=[DIED]),
        make_night(2, fired=50),
    ]
    found = left(nights)
    assert [(one.fires, one.began_fresh, one.ran_out) for one in found.sets] == [
        (190, True, True),
        (50, True, False),
    ]
    assert found.lives == (190,)
    assert found.fires_left == pytest.approx(140)
    assert found.nights_left == pytest.approx(140 / 80)
    assert (found.fires_least, found.fires_most) == (None, None)
    right = next(one for one in cell_outlooks(nights) if one.part is Part.FLASH_RIGHT)
    assert [one.fires for one in right.sets] == [240]


def test_two_whole_sets_give_an_interval_around_the_expected():
    nights = []
    for start in (0, 2):
        nights += [
            make_night(start, fired=100, fresh=True),
            make_night(start + 1, fired=90 + start, faults=[DIED]),
        ]
    found = left([*nights, make_night(4, fired=20)])
    assert found.fires_least is not None
    assert found.fires_most is not None
    assert 0 <= found.fires_least <= found.fires_left <= found.fires_most


def test_a_set_that_was_in_before_the_record_or_came_out_early_is_no_life():
    found = left(
        [make_night(0, fired=60, faults=[DIED]), make_night(1, fired=80), make_night(2, fired=30, fresh=True)]
    )
    assert [(one.fires, one.began_fresh, one.ran_out) for one in found.sets] == [
        (60, False, True),
        (80, True, False),
        (30, True, False),
    ]
    assert found.lives == ()
    assert found.reached == 80


def test_a_doubt_ends_no_set_and_a_link_that_stops_is_no_cell():
    doubt = make_fault(Part.FLASH_LEFT, FaultKind.STOPPED, confidence=0.4)
    link = make_fault(Part.FLASH_LINK, FaultKind.STOPPED)
    assert len(left([make_night(0, faults=[doubt, link]), make_night(1)]).sets) == 1
    faded = make_fault(Part.FLASH_LINK, FaultKind.FADING)
    assert len(left([make_night(0, faults=[faded]), make_night(1)]).sets) == 2


def test_a_site_without_flashes_has_no_cells():
    assert cell_outlooks([]) == ()


def test_a_night_is_recorded_without_place_or_path(make_triage):
    triage = make_triage("/cards/secret place")
    night = site_night(triage, site="Old Oak", digest="d")
    assert "secret" not in repr(night)
    assert [event.kind for event in night.events] == [
        EventKind.SETUP, EventKind.SUBJECT, EventKind.EMPTY, EventKind.MIXED,
    ]  # fmt: skip
    assert [window.start for window in visits(night)] == [triage.frames[1].time]
    assert dict(night.found)[next(iter(dict(night.found)))] == 1
    assert night.keys == tuple(frame.key for frame in triage.frames)
    assert (night.watched.start, night.watched.end) == (triage.night.start, triage.night.end)


def test_hours_after_the_camera_stopped_were_not_watched(make_triage):
    triage = make_triage()
    stop = triage.night.start + timedelta(hours=3)
    (fault,) = triage.faults
    ended = replace(fault, part=Part.CAMERA, kind=FaultKind.STOPPED_EARLY, start=stop)
    assert site_night(replace(triage, faults=(ended,)), site="x", digest="d").watched.end == stop
    doubt = replace(ended, confidence=0.3)
    assert site_night(replace(triage, faults=(doubt,)), site="x", digest="d").watched.end == triage.night.end


def test_a_wrong_clock_keeps_a_night_out_of_the_times():
    assert has_right_clock(make_night())
    assert not has_right_clock(make_night(faults=[make_fault(Part.CLOCK, FaultKind.WRONG)]))
    assert has_right_clock(make_night(faults=[make_fault(Part.CLOCK, FaultKind.WRONG, confidence=0.2)]))
