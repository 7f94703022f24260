"""A whole night's score, and the sum over nights."""

from typing import Any

import pytest

from tests.benchmarks.accuracy.counts import Counts
from tests.benchmarks.accuracy.frames import Seen
from tests.benchmarks.accuracy.rig import RigScore
from tests.benchmarks.accuracy.table import table
from tests.benchmarks.accuracy.tally import Tally, score, total
from tests.benchmarks.accuracy.truth import from_json
from tests.unit.benchmarks.cases import said_fault, said_frame, told_frame, told_night, told_subject

START = "2026-10-03T22:00:01"
FOX = [0.4, 0.4, 0.6, 0.6]


def small_night() -> Tally:
    """Four frames: a fox seen, a fox called empty, an empty frame found, an empty frame left."""
    told = [
        told_frame(number, subjects=[told_subject()] if number < 3 else [], event=number // 3)
        for number in range(1, 5)
    ]
    truth = from_json(told_night(told, (("flash-right", "stopped", START, False),)), "small")
    frames = [
        said_frame(1, box=FOX, event=1),
        said_frame(2, empty=0.9, event=1),
        said_frame(3, empty=0.95, event=2),
        said_frame(4, event=2) | {"unsure": True},
    ]
    report: dict[str, Any] = {
        "frames": frames,
        "diagnosis": [said_fault("flash-right", "stopped", START, 0.8)],
    }
    return score(report, truth, seconds=2.0)


def test_a_night_by_hand() -> None:
    tally = small_night()
    assert (tally.nights, tally.frames, tally.unsure, tally.lost) == (1, 4, 1, 0)
    assert tally.kinds["empty"] == Counts(hits=1, false=1, missed=1, passed=1)
    assert tally.seen == {Seen.SEEN: 1, Seen.HIDDEN: 1}
    assert tally.overlaps == [pytest.approx(1.0)]
    assert tally.rand == [(1.0, 4)]
    assert tally.flash_errors == [pytest.approx(0.03)] * 4
    assert tally.flash_untold == 4
    assert tally.ambient_night == [pytest.approx(0.001)] * 4
    assert tally.stated == {
        "subject": [(0.9, True)],
        "empty": [(0.9, False), (0.95, True)],
        "diagnosis": [(0.8, True)],
    }


def test_each_failure_is_listed_once_with_its_frame() -> None:
    listed = [(failure.kind, failure.path[-8:-4]) for failure in small_night().failures]
    assert listed == [("hidden", "0002"), ("missed empty", "0004")]


def test_the_sum_counts_everything_twice_and_spoils_no_part() -> None:
    night = small_night()
    both = total([night, night])
    assert both.kinds["empty"] == Counts(2, 2, 2, 2)
    assert both.seen == {Seen.SEEN: 2, Seen.HIDDEN: 2}
    assert (both.frames, both.seconds, len(both.failures), len(both.stated["empty"])) == (8, 4.0, 4, 4)
    assert night == small_night()


def test_a_frame_missing_from_the_report_is_lost() -> None:
    truth = from_json(told_night([told_frame(1)]), "night")
    tally = score({"frames": [], "diagnosis": []}, truth)
    assert (tally.lost, tally.kinds) == (1, {})
    assert tally.failures[0].kind == "lost"


def test_an_impossible_subject_is_set_apart() -> None:
    truth = from_json(told_night([told_frame(1, subjects=[told_subject(tonal_difference=5.0)])]), "night")
    tally = score({"frames": [said_frame(1, empty=0.9)], "diagnosis": []}, truth)
    assert (tally.impossible, tally.impossible_hidden, tally.seen) == (1, 1, {})
    assert "empty" not in tally.kinds


@pytest.mark.parametrize(
    ("figures", "hard"),
    [({}, Counts()), ({"visible_area": 0.001}, Counts(hits=1)), ({"tonal_difference": 12.0}, Counts(hits=1))],
)
def test_small_or_faint_subjects_are_counted_apart(figures: dict[str, float], hard: Counts) -> None:
    truth = from_json(told_night([told_frame(1, subjects=[told_subject(**figures)])]), "night")
    assert score({"frames": [said_frame(1, box=FOX)], "diagnosis": []}, truth).hard == hard


def test_figures_by_weather_are_those_of_its_frames() -> None:
    calm = {"wind": 0.1, "rain": 0.0, "snow": 0.0, "insects": 0.0, "sun_patches": 0.0}
    told = [
        told_frame(1, subjects=[told_subject()], conditions=calm),
        told_frame(2, conditions=calm),
        told_frame(3, conditions=calm | {"rain": 1.0}),
    ]
    said = [said_frame(1, empty=0.9), said_frame(2, empty=0.9), said_frame(3)]
    tally = score({"frames": said, "diagnosis": []}, from_json(told_night(told), "night"))
    assert tally.seen_in == {"calm": {Seen.HIDDEN: 1}}
    assert tally.empty_in == {"calm": Counts(hits=1, false=1), "flakes": Counts(missed=1)}
    assert rows([("all", total([tally, tally]))])["hidden or misplaced, calm"] == "100.0 % (2/2)"


def test_daylight_is_compared_in_stops() -> None:
    truth = from_json(told_night([told_frame(1, ambient=2.0)]), "night")
    said = said_frame(1) | {"light": {"ambient": 1.0}}
    assert score({"frames": [said], "diagnosis": []}, truth).ambient_day_stops == [1.0]


def rows(groups: list[tuple[str, Tally]]) -> dict[str, str]:
    lines = [line.rsplit("   ", 1) for line in table(groups).splitlines()]
    return {parts[0].strip(): parts[-1].strip() for parts in lines}


def test_the_table_shows_shares_with_counts() -> None:
    found = rows([("all", small_night())])
    assert found["empty"] == "P 50.0 % (1/2)  R 50.0 % (1/2)"
    assert found["unsure"] == "25.0 % (1/4)"
    # Exact interval of one in two, from the beta distribution: 1 - sqrt(0.975) and sqrt(0.975).
    assert found["hidden (filed as empty or setup)"] == "50.0 % (1/2) [1.3 to 98.7 %]"
    assert found["one fault: it stands first"] == "100.0 % (1/1)"


def test_visits_put_together_wrongly_lower_precision_and_are_listed() -> None:
    told = [told_frame(number, subjects=[told_subject()], event=number // 2) for number in range(4)]
    said = [said_frame(number, box=FOX, event=1) for number in range(4)]
    tally = score({"frames": said, "diagnosis": []}, from_json(told_night(told), "night"))
    # True visits {0 1} {2 3}, said to be one: two of six pairs belong together; no better than chance.
    assert tally.together == Counts(hits=2, false=4)
    assert rows([("all", tally)])["pairs put together"] == "P 33.3 % (2/6)  R 100.0 % (2/2)"
    assert rows([("all", tally)])["adjusted Rand index"] == "0.000 (n 4)"
    assert [failure.kind for failure in tally.failures] == ["grouping"]


def test_two_faults_count_two_and_a_healthy_night_is_alarmed_once() -> None:
    rigs = [
        RigScore(2, 1, ("lens: fogged",), ("aim: moved",), (4,), ()),
        RigScore(1, 0, (), ("aim: moved",), (), ()),
        RigScore(0, 0, ("lens: fogged", "focus: soft"), (), (), ()),
        RigScore(0, 0, (), (), (), ()),
    ]
    found = rows([("all", Tally(rigs=rigs))])
    assert found["one fault: it stands first"] == "0.0 % (0/1)"
    assert found["two faults: among the first two"] == "50.0 % (1/2)"
    assert found["healthy nights with a false alarm"] == "50.0 % (1/2)"
    assert found["false alarms on the other nights"] == "1 on 2"
    assert found["start wrong by frames, median / 95th"] == "4 / 4 (n 1)"


def test_the_table_shows_a_dash_where_there_is_nothing_to_judge() -> None:
    found = rows([("none", Tally())])
    judged = {
        name: cell
        for name, cell in found.items()
        if name.startswith(("hidden (", "overlap", "adjusted", "flash"))
    }
    assert len(judged) == 5
    assert set(judged.values()) == {"-"}
