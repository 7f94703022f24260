"""What the time line says, and what it gathers before it is painted."""

from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.gui import timeline_records as made
from triage.records.decision import Verdict
from triage.records.diagnosis import FaultKind, Part
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind
from triage.ui.timeline import tips
from triage.ui.timeline.axis import to_seconds
from triage.ui.timeline.scene import Scene, Standing, folded, standing, standing_together
from triage.ui.timeline.words import (
    days_words,
    duration_words,
    frames_words,
    list_words,
    offset_label,
    offset_words,
    sayable,
    short_days_words,
)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "0 s"),
        (0.42, "0.4 s"),
        (1.0, "1 s"),
        (9.96, "10 s"),
        (59.7, "1 min"),
        (65, "1 min 5 s"),
        (360, "6 min"),
        (599.8, "10 min"),
        (4_800, "1 h 20 min"),
        (86_399, "1 d"),
        (4 * 86_400 + 3 * 3_600, "4 d 3 h"),
    ],
)
def test_lengths_of_time_are_said_in_at_most_two_units(seconds: float, words: str) -> None:
    assert duration_words(seconds) == words


@pytest.mark.parametrize(
    ("seconds", "digits", "words"),
    [
        (0, None, "0 s"),
        (1.2, None, "+1.2 s"),
        (365, None, "+6 min 5 s"),
        (365.31, 1, "+6 min 5.3 s"),
        (365.31, 2, "+6 min 5.31 s"),
        (843.2, 0, "+14 min 3 s"),
        (600.2, 0, "+10 min 0 s"),
        (3_725.04, 1, "+1 h 2 min 5 s"),
        (59.96, 1, "+1 min 0 s"),
        (0.004, 2, "0 s"),
        (-3, None, "\N{MINUS SIGN}3 s"),
        (-843.2, 0, "\N{MINUS SIGN}14 min 3 s"),
    ],
)
def test_offsets_tell_how_long_after_the_first_frame(seconds: float, digits: int | None, words: str) -> None:
    assert offset_words(seconds, digits=digits) == words


def test_frames_side_by_side_are_told_apart_by_their_offsets() -> None:
    offsets = [0, 2, 600.4, 602.4, 603, 4_800, 4_810]
    labels = [offset_label(offsets, place) for place in range(len(offsets))]
    assert labels == [
        "0 s",
        "+2 s",
        "+10 min 0 s",
        "+10 min 2 s",
        "+10 min 3 s",
        "+1 h 20 min 0 s",
        "+1 h 20 min 10 s",
    ]


@given(st.lists(st.integers(0, 10**6), min_size=2, max_size=20, unique=True), st.booleans())
def test_no_two_neighbours_a_hundredth_apart_have_the_same_offset(
    hundredths: list[int], tenths: bool
) -> None:
    offsets = [each / 100 for each in sorted(hundredths)]
    labels = [offset_label(offsets, place, tenths=tenths) for place in range(len(offsets))]
    assert all(before != after for before, after in pairwise(labels))


def test_days_are_said_as_a_stretch() -> None:
    third, fourth = date(2026, 10, 3), date(2026, 10, 4)
    assert days_words(third, third) == "3 Oct 2026"
    assert days_words(third, fourth) == "3 to 4 Oct 2026"
    assert days_words(date(2026, 12, 31), date(2027, 1, 1)) == "31 Dec 2026 to 1 Jan 2027"
    assert short_days_words(date(2026, 9, 28), fourth) == "28 Sep to 4 Oct"


def test_counts_and_lists_read_as_in_a_sentence() -> None:
    assert [frames_words(count) for count in (1, 1200)] == ["1 frame", "1,200 frames"]
    assert [list_words(words) for words in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]


def test_a_file_name_with_broken_bytes_can_be_said() -> None:
    assert sayable("NGT_\udcff1.JPG") == "NGT_?1.JPG"


def event(kind: EventKind = EventKind.SUBJECT, frames: tuple[int, ...] = (0, 1, 2)) -> Event:
    return Event(12, datetime(2026, 10, 3, 21, 14, 3), datetime(2026, 10, 3, 21, 14, 5), frames, 1, kind)


def test_an_event_is_described_with_its_figures_and_decisions() -> None:
    words = tips.event_words(event(), {0: Verdict.KEEP, 1: Verdict.REJECT})
    assert words == (
        "Event 12, subject: 3 frames, Sat 3 Oct, 21:14:03, lasting 2 s. 1 kept, 1 rejected and 1 undecided."
    )
    assert tips.event_words(event(), {}).endswith("Nothing decided yet.")


def test_a_crowd_is_described_by_what_is_in_it() -> None:
    words = tips.cluster_words([event(), event(EventKind.EMPTY), event(EventKind.EMPTY)], {})
    assert words.startswith(
        "3 events close together: 1 subject and 2 empty; 9 frames, Sat 3 Oct, 21:14 to 21:14."
    )


def test_the_sky_is_told_at_any_moment() -> None:
    of = made.night()
    assert (
        tips.sky_words(of, to_seconds(of.start))
        == "Sat 3 Oct, 17:25; setup window, worked out; Day until 18:34."
    )
    assert (
        tips.sky_words(of, to_seconds(datetime(2026, 10, 4, 1)))
        == "Sun 4 Oct, 01:00; Night until 05:24; moon up, 42\u00a0% lit."
    )
    dark = made.night(with_sky=False)
    assert (
        tips.sky_words(dark, to_seconds(datetime(2026, 10, 4, 1)))
        == "Sun 4 Oct, 01:00. Sun unknown: give a place."
    )


def test_a_doubtful_fault_is_said_to_be_one() -> None:
    at = datetime(2026, 10, 4, 2, 10)
    assert tips.fault_label(made.fault(Part.FLASH_LEFT, FaultKind.STOPPED, at)) == "stopped 02:10"
    assert (
        tips.fault_label(made.fault(Part.LENS, FaultKind.FOGGED, at, confidence=0.3))
        == "perhaps fogged 02:10"
    )
    assert tips.fault_label(made.fault(Part.CLOCK, FaultKind.WRONG, None)) == "wrong"


def test_a_frame_is_described_with_its_findings() -> None:
    of = made.night()
    frames, events = made.bursts([of.start], [3])
    scene = Scene.of(made.triage(of, frames, events))
    words = tips.frame_words(scene, events[0], 1, Verdict.KEEP)
    assert words == "Frame 2 of 3, +0.7 s, NGT_0002.JPG; nothing against it; shows the event best; kept."


@pytest.mark.parametrize(
    ("verdicts", "expected"),
    [
        ({}, Standing.OPEN),
        ({0: Verdict.KEEP}, Standing.BEGUN),
        ({0: Verdict.REJECT, 1: Verdict.REJECT, 2: Verdict.REJECT}, Standing.REJECTED),
        ({0: Verdict.REJECT, 1: Verdict.KEEP, 2: Verdict.REJECT}, Standing.KEPT),
    ],
)
def test_an_event_is_decided_when_each_of_its_frames_is(
    verdicts: dict[int, Verdict], expected: Standing
) -> None:
    assert standing(event(), verdicts) is expected


def test_events_drawn_as_one_are_decided_when_all_are() -> None:
    assert standing_together([Standing.KEPT, Standing.REJECTED]) is Standing.KEPT
    assert standing_together([Standing.REJECTED, Standing.REJECTED]) is Standing.REJECTED
    assert standing_together([Standing.KEPT, Standing.OPEN]) is Standing.BEGUN


def test_only_parts_with_something_to_show_get_a_lane() -> None:
    of = made.night()
    frames, events = made.visits(20, of)
    triage = made.triage(of, frames, events, [made.fault(Part.LENS, FaultKind.FOGGED, of.start)])
    lanes = Scene.of(triage).lanes
    assert [lane.part for lane in lanes] == [Part.FLASH_LEFT, Part.FLASH_RIGHT, Part.LENS]
    assert [len(lane.samples) for lane in lanes] == [len(frames), len(frames), 0]
    assert [[position for position, _ in lane.faults] for lane in lanes] == [[], [], [0]]


def test_lanes_folded_into_one_name_the_part_of_each_fault_the_worst_first() -> None:
    of = made.night()
    frames, events = made.visits(20, of)
    faults = [
        made.fault(Part.LENS, FaultKind.FOGGED, of.start),
        made.fault(Part.FLASH_LEFT, FaultKind.STOPPED, of.start),
    ]
    lanes = Scene.of(made.triage(of, frames, events, faults)).lanes
    (rig,) = folded(lanes)
    assert [position for position, _ in rig.faults] == [0, 1]
    assert tips.lane_name(rig) == "rig"
    assert tips.stretch_label(rig, faults[1]) == f"flash-left {tips.fault_label(faults[1])}"
    assert tips.stretch_label(lanes[0], faults[1]) == tips.fault_label(faults[1])
    assert folded(lanes[:1]) == lanes[:1]


def test_light_that_cannot_be_told_stays_unknown_in_its_lane() -> None:
    of = made.night()
    frames, events = made.bursts([of.start, of.start + timedelta(hours=5)], [1, 1])
    triage = made.triage(of, frames, events)
    left = Scene.of(triage).lanes[0]
    assert left.samples[0].output is None
    assert left.samples[1].output is not None


def test_a_reset_clock_does_not_stretch_the_night_over_decades() -> None:
    of = made.night()
    frames, events = made.bursts([datetime(2000, 1, 1), of.start, of.end + timedelta(hours=1)], [1, 1, 1])
    axis = Scene(tuple(frames), of, tuple(events)).axis()
    assert axis.first == to_seconds(of.start)
    assert axis.last == to_seconds(of.end + timedelta(hours=1))


def test_findings_word_the_unsure_frame() -> None:
    of = made.night()
    frames, events = made.bursts([of.start], [1])
    scene = Scene(
        tuple(frames), of, tuple(events), (made.judgement(0, FindingKind.DIM, unsure=True),), is_final=True
    )
    assert "dim; unsure whether a subject is there" in tips.frame_words(scene, events[0], 0, None)
