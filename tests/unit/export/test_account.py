from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.factories import make_frame, make_judgement
from triage.export.account import account
from triage.records.card import LeftOut
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind
from triage.records.result import Triage

Make = Callable[..., Triage]


def test_the_night_comes_first_in_one_sentence(make_triage: Make) -> None:
    summary = "One visit in 13 hours; the right flash stopped at 22:00."
    assert account(make_triage()).startswith(f"{summary}\nCard ")


def test_the_card_is_told_with_figures(make_triage: Make) -> None:
    told = account(make_triage("/cards/night"))
    assert "Card /cards/night: 5 frames in 7 files, 6.3 MB." in told
    assert "First frame 2026-10-03 17:25:10, last frame 2026-10-04 06:30:00" in told


def test_events_worth_a_look_are_told_with_time_and_lead_and_the_others_are_not(make_triage: Make) -> None:
    listed = account(make_triage()).partition("Worth a look:")[2].partition("\n\n")[0]
    assert "2026-10-03 22:00:05    2 frames  subject  DCIM/100NIGHT/NGT_0002.JPG" in listed
    assert "NGT_0001" not in listed  # the operator
    assert "NGT_0004" not in listed  # empty


def test_a_fault_is_told_with_since_when_and_what_to_do(make_triage: Make) -> None:
    told = account(make_triage())
    assert (
        "1. Right flash: stopped\n     Almost sure, 96\u00a0%; from 3 Oct 2026, 22:00:07, to the end." in told
    )
    assert "Do: Put fresh cells into the right flash." in told


def test_a_doubtful_fault_stands_apart(make_triage: Make) -> None:
    small = make_triage()
    doubtful = replace(small.faults[0], confidence=0.4, end=small.frames[3].time)
    told = account(replace(small, faults=(doubtful,)))
    assert (
        "Doubtful, worth a look:\n  1. Right flash: stopped\n     Perhaps, 40\u00a0%; from 3 Oct 2026, 22:00:07 to"
        in told
    )


def test_what_cannot_be_read_and_what_is_left_out_is_listed_with_its_reason(make_triage: Make) -> None:
    told = account(make_triage())
    assert "1 frame could not be read whole:\n  DCIM/100NIGHT/NGT_0005.JPG: the file ends too early" in told
    assert "readme.txt: not a picture" in told


def test_a_damaged_frame_without_a_reason_of_its_own_is_told_by_its_finding(make_triage: Make) -> None:
    small = make_triage()
    frames = (*small.frames[:4], replace(small.frames[4], problem=None))
    assert "NGT_0005.JPG: damaged, with figures" in account(replace(small, frames=frames))


def test_a_healthy_night_says_so(make_triage: Make) -> None:
    told = account(make_triage(faults=()))
    assert "Nothing to mend: no part of the rig shows a likely fault." in told


def test_a_night_without_visits_says_so(make_triage: Make) -> None:
    small = make_triage()
    told = account(replace(small, events=(small.events[0], small.events[2])))
    assert "No event seems worth a look." in told


def test_where_the_tool_cannot_tell_it_says_so(make_triage: Make) -> None:
    small = make_triage()
    unsure = replace(make_judgement(3), unsure=True)
    event = Event(3, small.frames[3].time, small.frames[3].time, (3,), 3, EventKind.MIXED)
    told = account(
        replace(
            small,
            judgements=(*small.judgements[:3], unsure, small.judgements[4]),
            events=(*small.events[:2], event, small.events[3]),
        )
    )
    assert "1  where the tool cannot tell whether something is there" in told
    assert "(cannot tell)" in told


def test_the_usual_cautions_are_pointed_to_and_defer_to_law_and_practice(make_triage: Make) -> None:
    told = account(make_triage())
    assert "before-dusk sheet" in told
    assert "flashes, nests, dens and bait, land, people, cells" in told
    assert "Local law, codes of practice and your licence go first." in told


def test_long_lists_are_cut_and_the_rest_is_counted(make_triage: Make) -> None:
    small = make_triage()
    left_out = tuple(LeftOut(f"clip_{number:03d}.txt", "not a picture") for number in range(33))
    told = account(replace(small, card=replace(small.card, left_out=left_out)))
    assert told.count("clip_") == 20
    assert "... and 13 more" in told


@pytest.mark.parametrize("kind", [kind for kind in FindingKind if kind is not FindingKind.DAMAGED])
def test_every_finding_is_counted_in_words(make_triage: Make, kind: FindingKind) -> None:
    small = make_triage()
    frames = tuple(make_frame(index) for index in range(5))
    judgements = tuple(make_judgement(index, kind) for index in range(5))
    counts = account(replace(small, frames=frames, judgements=judgements)).split("\n\n")[1]
    assert len(counts.splitlines()) == 2
    assert counts.splitlines()[1].startswith("      5  ")


def test_a_name_cannot_disturb_the_terminal(make_triage: Make) -> None:
    small = make_triage("/cards/\x1b[2Jnight\udcff")
    assert account(small).isascii() or "\x1b" not in account(small)
    assert "\x1b" not in account(small)
    account(small).encode("utf-8")
