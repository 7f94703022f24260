import numpy as np
import pytest

from tests.scenes import Visitor, box_of, ellipse, overlap, texture
from triage.measure.outline import cast_shadow, outlined
from triage.measure.regions import region_of

SHAPE = (120, 160)
ANIMAL = ellipse(Visitor(0.5, 0.4, high=0.12, wide=0.1), *SHAPE)
SHADOW = ellipse(Visitor(0.58, 0.58, high=0.08, wide=0.12), *SHAPE) & ~ANIMAL


def scenery():
    """Return brownish ground: lightness and its two differences of colour."""
    lightness = 0.4 + 0.05 * texture(*SHAPE, seed=3)
    return np.stack([lightness, 0.15 * lightness, -0.1 * lightness], axis=2).astype(np.float32)


def frame_with(colour, *, shade=0.6):
    """Return a frame with an animal of some colour and its shadow on the ground, and what changed by them."""
    frame = scenery()
    frame[SHADOW] *= np.float32(shade)
    frame[ANIMAL] = colour
    return frame, frame - scenery()


GREY_FUR = (0.55, 0.0, 0.0)


def test_ground_in_shadow_is_told_from_an_animal():
    shadow = cast_shadow(*frame_with(GREY_FUR))
    assert shadow[SHADOW].mean() > 0.95
    assert shadow[ANIMAL].mean() < 0.05


@pytest.mark.parametrize("colour", [(0.55, 0.0825, -0.055), (0.3, 0.25, 0.0), (0.05, 0.0, 0.0)])
def test_what_is_brighter_or_of_another_colour_or_next_to_black_is_no_shadow(colour):
    assert cast_shadow(*frame_with(colour))[ANIMAL].mean() < 0.2


def test_a_frame_without_change_holds_no_shadow():
    assert not cast_shadow(scenery(), np.zeros((*SHAPE, 3), np.float32)).any()


def test_the_outline_leaves_out_the_shadow_and_takes_in_the_dim_legs():
    frame, change = frame_with(GREY_FUR)
    fine = np.where(SHADOW, np.float32(30), np.float32(0))
    fine[ANIMAL] = 100.0
    legs = ANIMAL & (np.arange(SHAPE[0])[:, None] > 66)
    fine[legs] = 9.0
    seen = (ANIMAL & ~legs) | SHADOW
    region = outlined(region_of(seen, 100.0), fine, frame, change)
    assert overlap(region.box, box_of(ANIMAL)) > 0.9
    assert region.strength == 100.0


def test_what_lies_apart_does_not_join():
    frame, change = frame_with(GREY_FUR)
    fine = np.where(ANIMAL, np.float32(50), np.float32(0))
    fine[5:15, 140:150] = 50.0
    region = outlined(region_of(ANIMAL, 50.0), fine, frame, change)
    assert overlap(region.box, box_of(ANIMAL)) > 0.9


def test_a_region_that_is_nowhere_clear_stays_as_it_is():
    frame, change = frame_with(GREY_FUR)
    region = region_of(ANIMAL, 4.0)
    assert outlined(region, np.full(SHAPE, 3.0, np.float32), frame, change) is region


def test_single_pixels_at_its_side_do_not_widen_a_subject():
    frame, change = frame_with(GREY_FUR)
    fine = np.where(ANIMAL, np.float32(50), np.float32(0))
    fine[60, 85:110:3] = 50.0
    region = outlined(region_of(ANIMAL, 50.0), fine, frame, change)
    assert overlap(region.box, box_of(ANIMAL)) > 0.95


def test_a_subject_of_one_pixel_keeps_it():
    frame, change = frame_with(GREY_FUR)
    fine = np.zeros(SHAPE, np.float32)
    fine[60, 64] = 20.0
    assert outlined(region_of(fine > 0, 20.0), fine, frame, change).mask.sum() == 1
