from dataclasses import replace

import cv2
import numpy as np
import pytest

from tests.scenes import Exposure, Visitor, box_of, code, ellipse, make_site, overlap, texture
from triage.measure.blocks import block_means
from triage.measure.outline import REFERENCES, other_light, outlined
from triage.measure.regions import region_of
from triage.measure.roots import colour_roots
from triage.records.measurement import Side

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
    shadow = other_light(*frame_with(GREY_FUR))
    assert shadow[SHADOW].mean() > 0.95
    assert shadow[ANIMAL].mean() < 0.05


@pytest.mark.parametrize("colour", [(0.55, 0.0825, -0.055), (0.3, 0.25, 0.0), (0.05, 0.0, 0.0)])
def test_what_is_brighter_or_of_another_colour_or_next_to_black_is_no_shadow(colour):
    assert other_light(*frame_with(colour))[ANIMAL].mean() < 0.2


def test_ground_in_a_patch_of_sun_is_told_from_an_animal():
    frame = scenery()
    frame[SHADOW] *= np.float32(1.6)
    inner = cv2.erode(SHADOW.astype(np.uint8), np.ones((9, 9))) > 0
    assert other_light(frame, frame - scenery())[inner].mean() > 0.9
    assert not other_light(*frame_with((0.7, 0.0, 0.0)))[ANIMAL].any()


SITE = make_site()
VISITOR = Visitor(0.5, 0.4)
EMPTY = [SITE.shoot(Exposure(seed=seed)) for seed in range(20, 20 + REFERENCES)]


def close_up(picture, rough, references=EMPTY, **how):
    """Outline what was found roughly, by a mask of half the picture's size."""
    half = cv2.resize(rough.astype(np.uint8), (rough.shape[1] // 2, rough.shape[0] // 2)) > 0
    others = [(colour_roots(other), block_means(other)) for other in references]
    return outlined(region_of(half, 20.0), colour_roots(picture), block_means(picture), others, **how).region


def spot(visitor, share):
    """Return the middle of a visitor only."""
    return ellipse(Visitor(visitor.row, visitor.col, visitor.high * share, visitor.wide * share), *SITE.shape)


@pytest.mark.parametrize("share", [0.2, 0.6, 1.0, 1.3])
def test_a_rough_region_becomes_the_visitors_outline(share):
    region = close_up(SITE.shoot(Exposure(visitors=(VISITOR,), seed=3)), spot(VISITOR, share))
    assert overlap(region.box, box_of(ellipse(VISITOR))) > 0.9
    assert region.strength == 20.0
    assert region.mask.shape == SITE.shape
    assert region.cut_by == ()


def test_a_small_visitor_gets_a_close_box():
    mouse = Visitor(0.7, 0.6, high=0.03, wide=0.03)
    region = close_up(SITE.shoot(Exposure(visitors=(mouse,), seed=3)), ellipse(mouse))
    assert overlap(region.box, box_of(ellipse(mouse))) > 0.75


@pytest.mark.parametrize(
    ("row", "col", "side"), [(0.5, 0.0, Side.LEFT), (0.5, 1.0, Side.RIGHT), (1.0, 0.5, Side.BOTTOM)]
)
def test_the_border_that_cuts_a_visitor_is_told(row, col, side):
    cut = Visitor(row, col)
    assert close_up(SITE.shoot(Exposure(visitors=(cut,), seed=3)), spot(cut, 0.6)).cut_by == (side,)


def test_a_faint_visitor_keeps_its_outline():
    clean = replace(SITE, noise=0.002)
    others = [clean.shoot(Exposure(seed=seed)) for seed in range(20, 20 + REFERENCES)]
    body = ellipse(VISITOR)
    ground = cv2.GaussianBlur(others[0].astype(np.float32), (0, 0), 6.0)
    coat = ground + 10.0 + 8.0 * texture(*SITE.shape, seed=8)[..., None]  # ten grey levels off its background
    picture = clean.shoot(Exposure(seed=3))
    picture[body] = np.clip(coat, 0, 255).astype(np.uint8)[body]
    assert overlap(close_up(picture, spot(VISITOR, 0.6), others).box, box_of(body)) > 0.9


@pytest.mark.parametrize("power", [0.3, 0.6, 1.6])
def test_more_or_less_flash_does_not_widen_a_visitor(power):
    picture = SITE.shoot(Exposure(visitors=(VISITOR,), left=power, right=power, seed=3))
    assert overlap(close_up(picture, spot(VISITOR, 0.6)).box, box_of(ellipse(VISITOR))) > 0.9


def test_leaves_that_sway_beside_it_do_not_widen_a_visitor():
    swaying = [SITE.shoot(Exposure(seed=seed, sway_px=1.0)) for seed in range(20, 20 + REFERENCES)]
    picture = SITE.shoot(Exposure(visitors=(VISITOR,), seed=3, sway_px=1.0))
    assert overlap(close_up(picture, spot(VISITOR, 0.6), swaying).box, box_of(ellipse(VISITOR))) > 0.75


def test_another_visitor_in_the_same_place_in_one_of_the_others_takes_nothing_away():
    others = [SITE.shoot(Exposure(visitors=(Visitor(0.5, 0.42, seed=1),), seed=9)), *EMPTY[1:]]
    picture = SITE.shoot(Exposure(visitors=(VISITOR,), seed=3))
    assert overlap(close_up(picture, spot(VISITOR, 0.6), others).box, box_of(ellipse(VISITOR))) > 0.85


def test_the_shadow_on_the_ground_stays_outside():
    light = SITE.light(Exposure(visitors=(VISITOR,)))
    shaded = ellipse(Visitor(0.6, 0.58, high=0.05, wide=0.12)) & ~ellipse(VISITOR)
    light[shaded] *= np.float32(0.4)
    seen = spot(VISITOR, 0.8) | shaded
    assert overlap(close_up(code(light), seen).box, box_of(ellipse(VISITOR))) > 0.85


def test_the_black_shadow_of_the_only_flash_stays_outside():
    light = SITE.light(Exposure(visitors=(VISITOR,), right=0.0))
    shaded = ellipse(Visitor(0.6, 0.58, high=0.05, wide=0.12)) & ~ellipse(VISITOR)
    light[shaded] *= np.float32(0.03)
    others = [SITE.shoot(Exposure(seed=seed, right=0.0)) for seed in range(20, 20 + REFERENCES)]
    seen = spot(VISITOR, 0.8) | shaded
    assert overlap(close_up(code(light), seen, others, one_flash=True).box, box_of(ellipse(VISITOR))) > 0.85
    assert overlap(close_up(code(light), seen, others).box, box_of(ellipse(VISITOR))) < 0.8


@pytest.mark.parametrize(("row", "col"), [(0.5, 0.8), (0.27, 0.4), (0.73, 0.4)])
def test_what_lies_apart_does_not_join(row, col):
    picture = SITE.shoot(Exposure(visitors=(VISITOR, Visitor(row, col, high=0.02, wide=0.03)), seed=3))
    assert overlap(close_up(picture, spot(VISITOR, 0.6)).box, box_of(ellipse(VISITOR))) > 0.9


def test_a_head_beyond_a_trunk_belongs_to_its_body():
    head = Visitor(0.42, 0.57, high=0.06, wide=0.04)
    picture = SITE.shoot(Exposure(visitors=(VISITOR, head), seed=3))
    both = box_of(ellipse(VISITOR) | ellipse(head))
    assert overlap(close_up(picture, spot(VISITOR, 0.6)).box, both) > 0.8


@pytest.mark.parametrize(("shade", "cut"), [(0.7, (Side.TOP,)), (0.08, ())])
def test_the_tips_of_antlers_are_kept_where_they_were_found_and_shine(shade, cut):
    deer = Visitor(0.2, 0.4)
    tips = [Visitor(0.0, col, high=0.03, wide=0.008, shade=shade) for col in (0.36, 0.44)]
    picture = SITE.shoot(Exposure(visitors=(deer, *tips), seed=3))
    rough = spot(deer, 0.6) | ellipse(tips[0]) | ellipse(tips[1])
    assert close_up(picture, rough).cut_by == cut


def test_where_nothing_is_clear_there_is_no_outline():
    rough = spot(VISITOR, 0.6)
    half = region_of(cv2.resize(rough.astype(np.uint8), (120, 80)) > 0, 4.0)
    picture = SITE.shoot(Exposure(seed=3))
    others = [(colour_roots(other), block_means(other)) for other in EMPTY]
    seen = outlined(half, colour_roots(picture), block_means(picture), others)
    assert seen.region is None
    assert seen.contrast < 0.01
    assert not seen.darker


@pytest.mark.parametrize("shade", [0.05, 0.7])
def test_it_is_told_how_far_a_visitor_stands_out_and_to_which_side(shade):
    visitor = replace(VISITOR, shade=shade)
    half = cv2.resize(ellipse(visitor).astype(np.uint8), (120, 80)) > 0
    others = [(colour_roots(other), block_means(other)) for other in EMPTY]
    picture = SITE.shoot(Exposure(visitors=(visitor,), seed=3))
    seen = outlined(region_of(half, 20.0), colour_roots(picture), block_means(picture), others)
    truth = (colour_roots(picture) - others[0][0])[ellipse(visitor)][:, 0]
    assert seen.contrast == pytest.approx(np.abs(truth).mean(), rel=0.3)
    assert seen.darker == (truth.mean() < 0)


def test_one_other_frame_is_enough():
    picture = SITE.shoot(Exposure(visitors=(VISITOR,), seed=3))
    assert overlap(close_up(picture, spot(VISITOR, 0.6), EMPTY[:1]).box, box_of(ellipse(VISITOR))) > 0.9
