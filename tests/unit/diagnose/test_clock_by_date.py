"""Dates that make no sense: years, jumps, file times, and light that fits another season."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from tests.unit.diagnose import nights
from tests.unit.diagnose.nights import make_night
from triage.records.diagnosis import FaultKind, Part
from triage.sky.heaven import night_sky, sun_altitude

ZONE = timezone(timedelta(hours=1))
PLACE = (50.0, 15.0)


def clock_faults(made):
    return [fault for fault in made.faults() if fault.part is Part.CLOCK]


def starting(moment):
    def spoil(shots, _rng):
        for shot in shots:
            shot.time = moment + timedelta(seconds=shot.second)

    return spoil


@pytest.mark.parametrize(
    ("moment", "kind", "sure"),
    [
        (datetime(1980, 1, 3, 17, 30), FaultKind.RESET, 0.9),
        (datetime(1970, 1, 1, 17, 30), FaultKind.RESET, 0.9),
        (datetime(2000, 1, 12, 17, 30), FaultKind.RESET, 0.7),
        (datetime(2001, 8, 20, 17, 30), FaultKind.WRONG, 0.7),
        (datetime(2093, 10, 3, 17, 30), FaultKind.WRONG, 0.5),
    ],
)
def test_a_year_in_which_no_such_card_was_made_is_no_right_one(moment, kind, sure):
    (fault,) = clock_faults(make_night(700, starting(moment), sky=False))
    assert fault.kind is kind
    assert fault.confidence >= sure
    assert fault.start == moment
    assert str(moment.year) in fault.say


@pytest.mark.parametrize("year", [2008, 2017, 2026, 2035])
def test_other_years_may_be_right(year):
    assert not clock_faults(make_night(701, starting(datetime(year, 10, 3, 17, 30)), sky=False))


def test_a_few_frames_ahead_of_those_around_them_are_the_wrong_ones():
    def spoil(shots, rng):
        onset = nights.some_moment(shots, rng, 0.3, 0.5)
        for shot in shots[onset : onset + 6]:
            shot.time += timedelta(days=3000)
        return onset

    for seed in range(702, 708):
        made = make_night(seed, spoil, sky=False, visits=14)
        (fault,) = clock_faults(made)
        assert (fault.kind, fault.start) == (FaultKind.WRONG, made.onset)
        assert len(fault.evidence) == 6
        assert "3000 days ahead" in fault.say


def test_a_clock_that_was_set_right_again_was_wrong_until_then():
    def spoil(shots, rng):
        onset = nights.some_moment(shots, rng, 0.3, 0.5)
        for shot in shots[onset : onset + 8]:
            shot.time = datetime(2020, 1, 1) + timedelta(seconds=shot.second)
        return onset

    for seed in range(708, 712):
        made = make_night(seed, spoil, sky=False, visits=14)
        (fault,) = clock_faults(made)
        assert (fault.kind, fault.start) == (FaultKind.RESET, made.onset)
        assert fault.end is not None
        assert "for 8 frames" in fault.say


def written(made, days):
    """Give the files times of their own: so many days after the camera's."""
    frames = tuple(
        replace(
            frame,
            files=tuple(
                replace(
                    file,
                    modified_ns=int(
                        (frame.time + timedelta(days=days)).replace(tzinfo=UTC).timestamp() * 1e9
                    ),
                )
                for file in frame.files
            ),
        )
        for frame in made.frames
    )
    return replace(made, frames=frames)


def test_pictures_taken_after_their_files_were_written_are_spoken_of_but_are_no_fault():
    made = written(make_night(712, sky=False), -40)
    assert not clock_faults(made)  # either of two clocks may be wrong
    assert any("40 days after" in said for said in made.review().untold)


@pytest.mark.parametrize("days", [-0.5, 0, 0.5, 30, 800])
def test_files_copied_later_or_in_another_zone_say_nothing(days):
    made = written(make_night(713, sky=False), days)
    assert not clock_faults(made)
    assert not any("last written" in said for said in made.review().untold)


def by_the_sun(made, seen_from):
    """Give frames the light that the sun gives on another date, and a sky by the clock's own."""
    judgements = []
    for frame, judgement in zip(made.frames, made.judgements, strict=True):
        moment = (frame.time + seen_from).replace(tzinfo=ZONE).astimezone(UTC)
        height = sun_altitude(moment, *PLACE)
        found = judgement.measurement
        ambient = 0.9 if height > 0 else 0.9 * 0.5 ** (-height / 0.8)
        lit = dict.fromkeys(nights.SIDES, 1.0)
        light = replace(found.light, ambient=ambient, flashes=lit)
        judgements.append(replace(judgement, measurement=replace(found, light=light)))
    sky = night_sky(made.night.start, made.night.end, lat=PLACE[0], lon=PLACE[1], zone=ZONE)
    return replace(made, judgements=tuple(judgements), night=replace(made.night, sky=sky))


@pytest.mark.parametrize(
    ("start", "months"), [(datetime(2026, 6, 20, 15, 0), 6), (datetime(2026, 12, 20, 15, 0), 6)]
)
def test_light_of_another_season_accuses_the_date(start, months):
    named = 0
    for seed in range(714, 720):
        made = by_the_sun(
            make_night(seed, starting(start), visits=40, days=0.3), timedelta(days=30.4 * months)
        )
        found = [fault for fault in clock_faults(made) if fault.confidence >= 0.5]
        named += bool(found) and "sun" in found[0].say
    assert named >= 5


@pytest.mark.parametrize(
    "start", [datetime(2026, 3, 20, 15), datetime(2026, 6, 20, 15), datetime(2026, 12, 20, 15)]
)
def test_light_of_its_own_season_accuses_no_date(start):
    for seed in range(720, 724):
        made = by_the_sun(make_night(seed, starting(start), visits=30, days=0.3), timedelta(0))
        assert not [fault for fault in clock_faults(made) if fault.confidence >= 0.5]
