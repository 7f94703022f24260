import cv2
import numpy as np
import pytest

from tests.scenes import Exposure, Visitor, ellipse, make_site
from triage.measure.blocks import block_means
from triage.measure.flakes import MANY, without_flakes
from triage.measure.roots import search_picture
from triage.measure.scenery import compare, sway_follower

SHAPE = (160, 240)


def change_with(spots=(), *, height=0.3, radius=2, seed=0):
    """Return a noisy change with round spots on it."""
    change = (0.01 * np.random.default_rng(seed).standard_normal((*SHAPE, 3))).astype(np.float32)
    for row, col in spots:
        disc = np.zeros(SHAPE, np.uint8)
        cv2.circle(disc, (col, row), radius, 1, -1)
        change[..., 0] += np.where(disc > 0, np.float32(height), np.float32(0))
    return change


def places_of(count):
    """Return places of flakes, none touching another, strewn over the whole picture."""
    places = [(row, col) for row in range(12, 150, 20) for col in range(12, 230, 20)]
    return [places[number] for number in np.random.default_rng(4).permutation(len(places))[:count]]


def test_a_frame_full_of_bright_spots_is_cleaned():
    cleaned, flaky = without_flakes(change_with(places_of(40)))
    assert flaky
    assert float(cleaned[..., 0].max()) < 0.06


def test_a_frame_with_few_bright_spots_is_left_as_it_is():
    change = change_with(places_of(MANY - 1))
    kept, flaky = without_flakes(change)
    assert not flaky
    assert kept is change


def test_a_frame_with_just_enough_spots_is_flaky():
    assert without_flakes(change_with(places_of(MANY)))[1]


def test_a_frame_with_one_bright_animal_is_left_as_it_is():
    change = change_with([(80, 120)], radius=15, height=0.5)
    kept, flaky = without_flakes(change)
    assert not flaky
    assert kept is change


def test_the_spots_of_one_animals_coat_are_no_flakes():
    coat = [(row, col) for row in range(60, 116, 9) for col in range(40, 76, 9)]
    assert len(coat) > MANY
    change = change_with(coat)
    kept, flaky = without_flakes(change)
    assert not flaky
    assert kept is change


def test_a_dark_subject_stays_whole_among_flakes():
    change = change_with(places_of(40))
    subject = ellipse(Visitor(0.5, 0.5), *SHAPE)
    change[subject, 0] = -0.3
    cleaned, flaky = without_flakes(change)
    assert flaky
    assert cleaned[subject, 0] == pytest.approx(-0.3)


def test_a_broad_bright_subject_stays_among_flakes():
    change = change_with(places_of(40))
    subject = ellipse(Visitor(0.5, 0.5, high=0.15, wide=0.12), *SHAPE)
    change[subject, 0] = 0.3
    cleaned, flaky = without_flakes(change)
    assert flaky
    assert float(np.median(cleaned[subject, 0])) == pytest.approx(0.3, abs=0.03)


def test_leaves_that_darken_as_often_as_they_brighten_are_no_flakes():
    places = places_of(80)
    change = change_with(places[::2]) + change_with(places[1::2], height=-0.3, seed=1)
    assert not without_flakes(change)[1]


def test_snow_is_told_among_swaying_leaves():
    places = places_of(80)
    leaves = change_with(places[:15], seed=2) + change_with(places[15:30], height=-0.3, seed=1)
    assert not without_flakes(leaves)[1]
    assert without_flakes(leaves + change_with(places[30:], seed=3))[1]


def test_the_change_given_is_never_written_to():
    change = change_with(places_of(40))
    before = change.copy()
    without_flakes(change)
    assert np.array_equal(change, before)


def test_snow_in_the_flash_is_taken_out_of_a_real_comparison():
    site = make_site()

    def seen(exposure):
        picture = site.shoot(exposure)
        return search_picture(picture), block_means(picture)

    references = [seen(Exposure(seed=seed)) for seed in (1, 2, 3)]
    change = compare(*seen(Exposure(flakes=70)), references, sway_follower()).change
    cleaned, flaky = without_flakes(change)
    assert flaky
    assert np.percentile(cleaned[..., 0], 99.5) < 0.4 * np.percentile(change[..., 0], 99.5)
