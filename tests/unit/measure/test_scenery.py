import numpy as np
import pytest

from tests.scenes import Exposure, Visitor, ellipse, make_site
from triage.measure.blocks import block_means
from triage.measure.roots import search_picture
from triage.measure.scenery import compare, shrunk_by_following, sway_follower


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


def test_without_a_follower_the_references_are_taken_as_they_stand():
    frame, reference = seen(Exposure(sway_px=1.5)), seen(Exposure(seed=2, sway_px=1.5))
    same = compare(*frame, [frame, frame], None)
    assert float(np.abs(same.change).max()) < 1e-4
    still, followed = (compare(*frame, [reference], flow).change for flow in (None, sway_follower()))
    assert float(np.abs(still).mean()) > float(np.abs(followed).mean())


@pytest.mark.parametrize("visitors", [(), (VISITOR,)])
def test_following_makes_changes_smaller_in_wind_only(visitors):
    def shrunk(sway_px):
        frame = Exposure(seed=1, sway_px=sway_px, visitors=visitors)
        return shrunk_by_following(*seen(frame), seen(Exposure(seed=2, sway_px=sway_px)))

    calm, windy = shrunk(0.0), shrunk(1.5)
    assert calm < 1.02
    assert windy > 1.2


def test_a_visitor_lies_beyond_all_that_others_show_and_what_sways_does_not():
    others = [Exposure(seed=step, sway_px=1.0) for step in range(1, 9)]
    beyond = compared(Exposure(seed=20, sway_px=1.0, visitors=(VISITOR,)), others).beyond
    assert float(np.median(beyond[ON_VISITOR])) > 0.02
    assert float(np.median(beyond[~ON_VISITOR])) == 0.0
    assert float(beyond.min()) >= 0.0


def test_one_reference_with_the_visitor_does_not_bring_it_within_reach():
    others = [Exposure(seed=1, visitors=(VISITOR,)), *(Exposure(seed=step) for step in (2, 3, 4))]
    assert float(np.median(compared(Exposure(seed=9, visitors=(VISITOR,)), others).beyond[ON_VISITOR])) > 0.02


def test_with_one_reference_that_one_counts():
    same = compared(Exposure(), [Exposure()])
    assert float(same.beyond.max()) < 4e-3
