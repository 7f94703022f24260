import numpy as np
import pytest

from tests.scenes import Exposure, Visitor, make_site
from triage.measure.blocks import block_means
from triage.measure.references import APART_S, COMPARED, Others

BLOCKS = 384
VISITOR = Visitor(0.55, 0.5)


def others_of(seconds, *, means=None):
    """Return frames that are alike but for what a test says."""
    count = len(seconds)
    alike = np.full((count, BLOCKS), 0.1, np.float32)
    return Others(alike if means is None else means, np.asarray(seconds, float))


def chosen_for(index, seconds, *, means=None, views=None):
    """Choose references, all of one frame."""
    views = np.zeros(len(seconds), np.int64) if views is None else np.asarray(views)
    return [frame for (frame,) in others_of(seconds, means=means).references(index, views)]


@pytest.mark.parametrize("count", [1, 2, 5, 9, 30, 400])
def test_a_frame_is_never_compared_with_itself(count):
    for index in {0, count // 2, count - 1}:
        chosen = chosen_for(index, np.arange(count) * 200.0)
        assert index not in chosen
        assert len(chosen) == len(set(chosen)) == min(COMPARED, count - 1)


def test_a_frame_alone_has_nothing_to_be_compared_with():
    assert chosen_for(0, [0.0]) == []


def test_frames_of_the_same_visit_are_avoided_where_there_are_others():
    visit = [1000.0 + step for step in range(10)]
    others = [3000.0 + 200.0 * step for step in range(10)]
    chosen = chosen_for(0, visit + others)
    assert all(index >= len(visit) for index in chosen)


def test_frames_of_the_same_visit_serve_where_there_are_no_others():
    assert sorted(chosen_for(2, [0.0, 1.0, 2.0, 3.0])) == [0, 1, 3]


def test_references_are_spread_over_visits():
    seconds = np.concatenate([visit * 1000.0 + np.arange(5) for visit in range(12)])
    chosen = seconds[chosen_for(0, seconds)]
    apart = np.diff(np.sort(chosen))
    assert np.all(apart >= APART_S)


def test_frames_of_another_view_come_last():
    seconds = np.arange(40) * 300.0
    views = np.arange(40) % 2
    assert set(views[chosen_for(10, seconds, views=views)]) == {0}


def test_frames_of_like_light_are_preferred():
    site = make_site()
    lit, half = (block_means(site.shoot(each)) for each in (Exposure(), Exposure(right=0)))
    means = np.stack([lit, half] * 20)
    for index in (4, 5):
        chosen = chosen_for(index, np.arange(40) * 300.0, means=means)
        assert {other % 2 for other in chosen} == {index % 2}


def test_odd_frames_are_passed_over():
    means = np.full((40, BLOCKS), 0.1, np.float32)
    means[1::4, :20] = 0.13  # small and bright: in the middle of the picture the light is the same
    assert all(index % 4 != 1 for index in chosen_for(0, np.arange(40) * 300.0, means=means))


def burst_of(index, seconds, *, means=None, views=None):
    """Choose the frames of the same visit."""
    views = np.zeros(len(seconds), np.int64) if views is None else np.asarray(views)
    return others_of(seconds, means=means).burst(index, views)


def test_a_burst_gives_the_two_frames_nearest_in_time():
    seconds = [0.0, 1.0, 2.5, 3.0, 500.0]
    assert [burst_of(index, seconds) for index in range(5)] == [[1, 2], [0, 2], [3, 1], [2, 1], []]


def test_a_burst_leaves_out_frames_of_another_light_or_view():
    means = np.full((4, BLOCKS), 0.1, np.float32)
    means[1] = 0.004
    assert burst_of(0, [0.0, 1.0, 2.0, 3.0], means=means) == [2, 3]
    assert burst_of(0, [0.0, 1.0, 2.0, 3.0], views=[0, 1, 1, 0]) == [3]


def test_a_clock_set_back_does_not_part_a_burst():
    # Two visits in turn, as they stand on a card whose clock was set back between.
    assert burst_of(3, [1000.0, 1001.0, 10.0, 11.0, 12.0]) == [2, 4]


def test_frames_far_off_in_time_are_no_references():
    # All but the frame itself and those a night and more away look odd.
    means = np.full((1000, BLOCKS), 0.1, np.float32)
    means[300:700, :20] = 0.13
    chosen = chosen_for(500, np.arange(1000) * 100.0, means=means)
    assert all(300 < index < 700 for index in chosen)


def oddness_of(means):
    return Others(np.stack(means), np.arange(len(means)) * 300.0).oddness


def test_oddness_ranks_from_nought_to_one():
    site = make_site()
    means = [block_means(site.shoot(Exposure(seed=seed))) for seed in range(7)]
    oddness = oddness_of(means)
    assert sorted(oddness) == pytest.approx(np.linspace(0, 1, 7))


def test_frames_with_visitors_are_the_odd_ones():
    site = make_site()
    exposures = [
        Exposure(seed=seed, sway_px=0.8, visitors=(VISITOR,) if seed in {3, 8} else ()) for seed in range(12)
    ]
    oddness = oddness_of([block_means(site.shoot(each)) for each in exposures])
    assert set(np.argsort(oddness)[-2:].tolist()) == {3, 8}


def test_more_light_alone_is_not_odd():
    site = make_site()
    exposures = [Exposure(seed=seed, gain=0.5 if seed == 5 else 1.0) for seed in range(9)]
    exposures[2] = Exposure(seed=2, visitors=(VISITOR,))
    oddness = oddness_of([block_means(site.shoot(each)) for each in exposures])
    assert oddness[2] == 1.0
    assert oddness[5] < 1.0


def test_a_single_frame_is_not_odd():
    assert oddness_of([np.full(BLOCKS, 0.1, np.float32)]).tolist() == [0.0]
