import numpy as np
import pytest

from tests.scenes import Exposure, Visitor, ellipse, make_site
from triage.measure.blocks import block_means
from triage.measure.roots import search_picture
from triage.measure.scenery import (
    APART_S,
    COMPARED,
    choose_references,
    compare,
    sway_follower,
    typical_oddness,
)

BLOCKS = 384


def chosen_for(index, seconds, *, means=None, views=None, oddness=None):
    """Choose among frames that are alike but for what a test says."""
    count = len(seconds)
    return choose_references(
        index,
        np.full((count, BLOCKS), 0.1, np.float32) if means is None else means,
        np.asarray(seconds, float),
        np.zeros(count, np.int64) if views is None else np.asarray(views),
        np.zeros(count, np.float32) if oddness is None else np.asarray(oddness, np.float32),
    )


def seen(exposure):
    """Return the searched picture and the block means of a frame of the usual site."""
    picture = make_site().shoot(exposure)
    return search_picture(picture), block_means(picture)


def compared(frame, others):
    return compare(*seen(frame), [seen(other) for other in others], sway_follower())


def size_on(change, mask):
    """Return the usual size of a change of lightness on a mask."""
    return float(np.median(np.abs(change[..., 0][mask])))


VISITOR = Visitor(0.55, 0.5)
ON_VISITOR = ellipse(VISITOR)


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
    oddness = np.array([0.0, 1.0] * 20)
    assert {index % 2 for index in chosen_for(0, np.arange(40) * 300.0, oddness=oddness)} == {0}


def test_a_frame_against_itself_shows_no_change():
    same = compared(Exposure(), [Exposure(), Exposure()])
    # Sub-pixel optical flow may leave rounding; a code at middle grey is 4e-3 in these units.
    assert float(np.abs(same.change).max()) < 4e-3


def test_the_expected_picture_is_the_scene_without_the_visitor():
    found = compared(Exposure(visitors=(VISITOR,)), [Exposure(seed=step) for step in (1, 2, 3)])
    empty = search_picture(make_site().shoot(Exposure(seed=9)))
    apart = np.abs(found.expected - empty[..., 0])
    assert float(np.median(apart[~ON_VISITOR])) < 0.02


@pytest.mark.parametrize(("left", "right", "gain"), [(1, 1, 0.4), (1, 0, 1), (0, 1, 1), (1, 1, 1.6)])
def test_a_visitor_stands_out_under_another_light_than_the_references(left, right, gain):
    references = [Exposure(seed=step) for step in (1, 2, 3)]
    frame = Exposure(left, right, gain=gain, visitors=(VISITOR,))
    change = compared(frame, references).change
    assert size_on(change, ON_VISITOR) > 6 * size_on(change, ~ON_VISITOR)


def test_a_reference_with_a_visitor_in_the_same_place_does_not_explain_it_away():
    frame = Exposure(visitors=(VISITOR,))
    spoiled = Exposure(seed=1, visitors=(VISITOR,))
    change = compared(frame, [Exposure(seed=2), spoiled, Exposure(seed=3), Exposure(seed=4)]).change
    assert size_on(change, ON_VISITOR) > 6 * size_on(change, ~ON_VISITOR)


def test_a_visitor_in_one_reference_leaves_no_ghost_in_an_empty_frame():
    references = [Exposure(seed=1, visitors=(VISITOR,)), Exposure(seed=2), Exposure(seed=3)]
    change = compared(Exposure(), references).change
    assert size_on(change, ON_VISITOR) < 2 * size_on(change, ~ON_VISITOR)


def test_what_two_references_show_too_counts_as_scenery():
    # A branch that hangs this way in a quarter of the frames.
    branch = Visitor(0.3, 0.5, high=0.04, wide=0.2, shade=0.5)
    hanging = [Exposure(seed=step, visitors=(branch,)) for step in (1, 2)]
    change = compared(
        Exposure(visitors=(branch,)), [*hanging, *(Exposure(seed=step) for step in range(3, 9))]
    ).change
    assert size_on(change, ellipse(branch)) < 2 * size_on(change, ~ellipse(branch))


def test_the_order_of_the_references_does_not_matter():
    references = [seen(Exposure(seed=step, sway_px=1.0)) for step in range(4)]
    frame = seen(Exposure(seed=20, visitors=(VISITOR,)))
    forth, back = (compare(*frame, each, sway_follower()).change for each in (references, references[::-1]))
    assert np.allclose(forth, back, atol=1e-6)


def test_one_more_reference_never_makes_the_change_larger():
    references = [Exposure(seed=step, sway_px=1.0) for step in range(1, 6)]

    def total(count):
        return float(np.abs(compared(Exposure(sway_px=1.0), references[:count]).change[..., 0]).mean())

    sizes = [total(count) for count in (2, 3, 4, 5)]
    assert sizes == sorted(sizes, reverse=True)


def test_sway_is_followed():
    still, swaying = Exposure(seed=1), Exposure(seed=2, sway_px=1.5)
    followed = compared(swaying, [still, Exposure(seed=3)]).change
    apart = (seen(swaying)[0] - seen(still)[0])[..., 0]
    assert float(np.abs(followed[..., 0]).mean()) < 0.7 * float(np.abs(apart).mean())


def test_the_best_match_forgives_what_one_reference_shows():
    frame = Exposure(visitors=(VISITOR,))
    references = [seen(Exposure(seed=1, visitors=(VISITOR,))), seen(Exposure(seed=2)), seen(Exposure(seed=3))]
    best, second = (compare(*seen(frame), references, sway_follower(), best=rank).change for rank in (1, 2))
    assert size_on(best, ON_VISITOR) < 0.3 * size_on(second, ON_VISITOR)


def test_oddness_ranks_from_nought_to_one():
    site = make_site()
    means = [block_means(site.shoot(Exposure(seed=seed))) for seed in range(7)]
    oddness = typical_oddness(np.stack(means))
    assert sorted(oddness) == pytest.approx(np.linspace(0, 1, 7))


def test_frames_with_visitors_are_the_odd_ones():
    site = make_site()
    exposures = [
        Exposure(seed=seed, sway_px=0.8, visitors=(VISITOR,) if seed in {3, 8} else ()) for seed in range(12)
    ]
    oddness = typical_oddness(np.stack([block_means(site.shoot(each)) for each in exposures]))
    assert set(np.argsort(oddness)[-2:].tolist()) == {3, 8}


def test_more_light_alone_is_not_odd():
    site = make_site()
    exposures = [Exposure(seed=seed, gain=0.5 if seed == 5 else 1.0) for seed in range(9)]
    exposures[2] = Exposure(seed=2, visitors=(VISITOR,))
    oddness = typical_oddness(np.stack([block_means(site.shoot(each)) for each in exposures]))
    assert oddness[2] == 1.0
    assert oddness[5] < 1.0


def test_a_single_frame_is_not_odd():
    assert typical_oddness(np.full((1, BLOCKS), 0.1, np.float32)).tolist() == [0.0]
