import numpy as np
import pytest

from tests.scenes import Exposure, Visitor, make_site
from triage.measure.blocks import block_means
from triage.measure.mixtures import mixed, pairs_by_fit
from triage.measure.roots import search_picture

DAY = Exposure(ambient=0.9, left=0.0, right=0.0)
NIGHT = Exposure(seed=1)
DUSK = Exposure(seed=2, ambient=0.5, left=0.4, right=0.4)


@pytest.fixture(scope="module")
def site():
    return make_site()


def means_of(site, *exposures):
    return np.stack([block_means(site.shoot(each)) for each in exposures])


def test_dusk_is_explained_by_a_frame_of_the_day_and_one_of_the_night(site):
    others = means_of(
        site, DAY, NIGHT, Exposure(seed=3, left=0.0), Exposure(seed=4, ambient=0.9, left=0.0, right=0.0)
    )
    pairs, misfit = pairs_by_fit(means_of(site, DUSK)[0], others)
    best = pairs[np.argmin(misfit)].tolist()
    assert best in ([0, 1], [1, 3])
    assert misfit.min() < 0.01


def test_a_pair_takes_no_light_away(site):
    # Nothing but less of the right flash would turn both flashes into the left alone.
    others = means_of(site, NIGHT, Exposure(seed=3, left=0.0))
    pairs, _ = pairs_by_fit(means_of(site, Exposure(seed=2, right=0.0))[0], others)
    assert not len(pairs)


def test_one_frame_alone_makes_no_pair(site):
    pairs, misfit = pairs_by_fit(means_of(site, DUSK)[0], means_of(site, NIGHT))
    assert (len(pairs), len(misfit)) == (0, 0)


def test_a_burnt_out_frame_serves_in_no_pair(site):
    white = np.ones((1, 384), np.float32)
    pairs, _ = pairs_by_fit(means_of(site, DUSK)[0], np.concatenate([means_of(site, DAY, NIGHT), white]))
    assert {tuple(pair) for pair in pairs.tolist()} == {(0, 1)}


@pytest.mark.parametrize("visitors", [(), (Visitor(0.5, 0.5),)])
def test_the_mixture_looks_like_dusk_and_is_not_drawn_along_by_a_visitor(site, visitors):
    with_visitor = Exposure(seed=2, ambient=0.5, left=0.4, right=0.4, visitors=visitors)
    frame, day, night = (search_picture(site.shoot(each)) for each in (with_visitor, DAY, NIGHT))
    empty = search_picture(site.shoot(DUSK))
    picture, means = mixed(frame, day, night)
    alone = [
        np.abs(empty - other * (np.median(empty[..., 0]) / np.median(other[..., 0])))
        for other in (day, night)
    ]
    left_over = np.median(np.abs(picture - empty)[..., 0])
    assert left_over < 0.5 * min(np.median(each[..., 0]) for each in alone)
    assert means == pytest.approx(block_means(site.shoot(DUSK)), rel=0.15, abs=2e-3)


def test_what_would_be_brighter_than_white_is_white():
    ones = np.dstack([np.ones((32, 48)), np.zeros((32, 48)), np.zeros((32, 48))]).astype(np.float32)
    picture, _ = mixed(ones, 0.9 * ones, 0.9 * ones)
    assert picture[..., 0].max() <= 1.0 + 1e-5
