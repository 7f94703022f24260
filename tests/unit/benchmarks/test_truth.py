"""The truth, and what is set apart."""

from typing import Any

import pytest

from tests.benchmarks.accuracy.truth import TrueFrame, from_json, subject_is_visible
from tests.unit.benchmarks.cases import told_frame, told_night, told_subject


def only(**changes: Any) -> TrueFrame:
    return from_json(told_night([told_frame(**changes)]), "night").frames[0]


def events(*frames: dict[str, Any]) -> list[int | None]:
    return [frame.event for frame in from_json(told_night(list(frames)), "night").frames]


def test_a_lit_night_frame_with_nobody_is_empty_and_nothing_else() -> None:
    kinds = only().kinds
    assert kinds["empty"] is True
    assert not any(kinds[kind] for kind in ("setup", "dark", "half-lit", "dim", "edge", "damaged"))


@pytest.mark.parametrize("short", [(0.0002, 40, 1), (0.02, 9.9, 1), (0.02, 40, 0.1)])
def test_a_subject_is_impossible_if_one_figure_falls_short(short: tuple[float, float, float]) -> None:
    assert subject_is_visible(0.0003, 10.0, 0.15)
    assert not subject_is_visible(*short)


def test_a_frame_with_an_invisible_subject_is_judged_neither_empty_nor_not() -> None:
    frame = only(subjects=[told_subject(tonal_difference=4.0)])
    assert frame.kinds["empty"] is None
    assert frame.kinds["edge"] is None
    assert frame.visible == ()
    assert len(frame.subjects) == 1


def test_a_visible_subject_makes_empty_false_even_beside_an_invisible_one() -> None:
    frame = only(subjects=[told_subject(), told_subject(tonal_difference=4.0)])
    assert frame.kinds["empty"] is False
    assert len(frame.visible) == 1


def test_a_dark_frame_is_never_empty() -> None:
    assert (
        only(dark=True, empty=False, flashes={"flash-left": 0.0, "flash-right": 0.0}).kinds["empty"] is False
    )


def test_twilight_is_not_judged_for_flash() -> None:
    kinds = only(ambient=0.2, half_lit=True).kinds
    assert (kinds["dark"], kinds["half-lit"], kinds["dim"]) == (None, None, None)
    assert only(ambient=0.5).kinds["half-lit"] is False
    assert only(half_lit=True).kinds["half-lit"] is True


@pytest.mark.parametrize(
    ("left", "right", "dim"),
    [
        (1.0, 0.9, False),
        (0.4, 0.3, True),
        (0.4, 0.0, True),
        (0.0, 0.0, False),
        (0.5, 0.5, None),
        (1.0, 0.3, None),
    ],
)
def test_dim_is_a_stop_less_from_all_that_fired(left: float, right: float, dim: bool | None) -> None:
    assert only(flashes={"flash-left": left, "flash-right": right}).kinds["dim"] is dim


@pytest.mark.parametrize(
    ("inside", "cut", "edge"), [(1.0, [], False), (0.6, ["left"], True), (0.99, ["left"], None)]
)
def test_edge_is_a_real_cut_and_grazing_is_not_judged(
    inside: float, cut: list[str], edge: bool | None
) -> None:
    assert only(subjects=[told_subject(inside=inside, cut_by=cut)]).kinds["edge"] is edge


def test_while_the_operator_is_there_neither_light_nor_edge_nor_emptiness_is_judged() -> None:
    frame = only(setup=True, dark=True, half_lit=True, soft=True, fogged=False, clipped=True)
    judged = {kind for kind, answer in frame.kinds.items() if answer is not None}
    assert judged.isdisjoint({"dark", "half-lit", "dim", "edge", "soft", "fogged", "clipped"})
    assert only(setup=True).kinds["empty"] is None
    assert only(setup=True).kinds["setup"] is True


def test_a_flash_that_gave_almost_nothing_is_not_judged_as_missing() -> None:
    kinds = only(flashes={"flash-left": 1.0, "flash-right": 0.2}, half_lit=False).kinds
    assert (kinds["dark"], kinds["half-lit"]) == (None, None)
    assert only(flashes={"flash-left": 1.0, "flash-right": 0.05}, half_lit=True).kinds["half-lit"] is True


def test_touching_the_border_is_not_judged_and_near_it_is_no_edge() -> None:
    assert only(subjects=[told_subject(box=[0.001, 0.4, 0.2, 0.6])]).kinds["edge"] is None
    assert only(subjects=[told_subject(box=[0.4, 0.4, 0.6, 0.997])]).kinds["edge"] is None
    assert only(subjects=[told_subject(box=[0.005, 0.4, 0.2, 0.6])]).kinds["edge"] is False


@pytest.mark.parametrize(
    ("changes", "ambient", "weather"),
    [
        ({}, 0.0, "calm"),
        ({"wind": 0.4}, 0.0, "wind, sun, day"),
        ({"sun_patches": 0.5}, 0.0, "wind, sun, day"),
        ({}, 0.8, "wind, sun, day"),
        ({"snow": 0.5, "wind": 0.9}, 0.0, "flakes"),
    ],
)
def test_weather_is_the_hardest_of_what_there_is(
    changes: dict[str, float], ambient: float, weather: str
) -> None:
    conditions = {"wind": 0.2, "rain": 0.0, "snow": 0.0, "insects": 0.0, "sun_patches": 0.0} | changes
    assert only(conditions=conditions, ambient=ambient).weather == weather
    assert only().weather is None


def test_light_is_compared_at_night_without_the_operator_and_unclipped() -> None:
    assert set(only().flashes) == {"flash-left", "flash-right"}
    assert only(ambient=0.3).flashes == {}
    assert only(setup=True).flashes == {}
    assert only(clipped=True).flashes == {}


def test_a_damaged_file_is_judged_as_damaged_only() -> None:
    frame = only(damaged=True, setup=True, subjects=[told_subject()])
    assert {kind for kind, answer in frame.kinds.items() if answer is not None} == {"damaged"}
    assert frame.subjects == ()
    assert frame.event is None


def test_what_the_truth_file_tells_is_taken_over() -> None:
    assert only().kinds["soft"] is None
    assert only(soft=True, fogged=False).kinds["soft"] is True
    assert only(soft=True, fogged=False).kinds["fogged"] is False


def test_visits_are_those_of_the_truth_file_where_it_numbers_them() -> None:
    assert events(told_frame(1, event=7), told_frame(2, event=None), told_frame(3, event=9)) == [7, None, 9]


def test_visits_by_rule_part_other_animals_and_long_pauses() -> None:
    fox, owl = [told_subject()], [told_subject(species="tawny owl")]
    assert events(
        told_frame(1, subjects=fox),
        told_frame(2),  # after the fox left, in its burst
        told_frame(30, subjects=owl),
        told_frame(31),
        told_frame(32),
        told_frame(120),  # far from anybody: not judged
        told_frame(600, subjects=owl),
    ) == [1, 1, 2, 2, 2, None, 3]


def test_the_operator_stays_from_coming_to_leaving() -> None:
    frames = [told_frame(number, setup=True) for number in (0, 600, 1200)]
    windows = [["2026-10-03T22:00:00", "2026-10-03T22:12:00"], ["2026-10-03T22:19:00", "2026-10-03T22:30:00"]]
    night = from_json(told_night(frames) | {"setup_windows": windows}, "night")
    assert [frame.event for frame in night.frames] == [1, 1, 2]


def test_the_operator_is_a_visit_of_its_own() -> None:
    assert events(
        told_frame(1, setup=True), told_frame(2, setup=True), told_frame(3, subjects=[told_subject()])
    ) == [
        1,
        1,
        2,
    ]
