import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes import Exposure, Visitor, ellipse, make_site
from triage.measure.blocks import BURNT, GRID, block_means, block_trust, gain_over, smooth_log_gains
from triage.measure.tone import linear, luminance

LAW = settings(deadline=None, max_examples=40)

BLOCKS = GRID[0] * GRID[1]


def gain_to(means, reference):
    """Return the log gain from one reference to a frame."""
    return smooth_log_gains(means, reference[None])[0]


@pytest.fixture(scope="module")
def healthy():
    return block_means(make_site().shoot())


def test_the_mean_of_the_blocks_is_the_mean_of_the_picture():
    picture = make_site().shoot()
    assert block_means(picture).mean() == pytest.approx(float(luminance(linear(picture)).mean()), rel=1e-4)


@pytest.mark.parametrize("shape", [(160, 240), (240, 160), (97, 131), (9, 14)])
def test_an_even_picture_gives_even_blocks_at_any_size(shape):
    picture = np.full((*shape, 3), 118, np.uint8)
    assert block_means(picture).shape == (BLOCKS,)
    assert block_means(picture) == pytest.approx(0.18116, abs=1e-4)


def test_blocks_go_row_by_row_from_the_top_left():
    picture = np.zeros((160, 240, 3), np.uint8)
    picture[:10, -10:] = 255
    assert np.flatnonzero(block_means(picture) > 0.5).tolist() == [GRID[1] - 1]


@LAW
@given(st.floats(0.2, 4.0))
def test_an_even_gain_is_found_everywhere(factor):
    means = np.linspace(0.05, 0.2, BLOCKS, dtype=np.float32)
    found = gain_to(factor * means, means)
    assert found == pytest.approx(math.log(factor), abs=0.05)
    assert float(np.median(found)) == pytest.approx(math.log(factor), abs=0.03)


@LAW
@given(st.floats(0.25, 2.0))
def test_more_light_on_a_frame_adds_as_much_to_its_gain(factor):
    healthy, one_side = (block_means(make_site().shoot(each)) for each in (Exposure(), Exposure(right=0.3)))
    apart = gain_to(factor * one_side, healthy) - gain_to(one_side, healthy)
    assert apart == pytest.approx(math.log(factor), abs=0.05)


def test_the_gain_back_is_the_gain_there_turned_round(healthy):
    other = block_means(make_site().shoot(Exposure(left=0.5)))
    assert gain_to(other, healthy) == pytest.approx(-gain_to(healthy, other), abs=0.02)


def test_a_frame_has_no_gain_against_itself(healthy):
    assert gain_to(healthy, healthy) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("lost", ["left", "right"])
def test_the_loss_of_one_flash_is_followed_from_side_to_side(lost, healthy):
    site = make_site()
    means = block_means(site.shoot(Exposure(**{lost: 0.0})))
    lamp = site.right if lost == "left" else site.left
    share = lamp / (site.left + site.right)
    true = np.log(share.reshape(16, 10, 24, 10).mean(axis=(1, 3))).ravel()
    apart = gain_to(means, healthy) - true
    assert float(np.sqrt(np.mean(apart**2))) < 0.06


@pytest.mark.parametrize("shade", [0.02, 0.95])
def test_a_visitor_on_a_twelfth_of_the_picture_hardly_changes_the_gain(shade, healthy):
    visitor = Visitor(0.5, 0.4, high=0.18, wide=0.15, shade=shade)
    assert ellipse(visitor).mean() == pytest.approx(0.085, abs=0.005)
    means = block_means(make_site().shoot(Exposure(visitors=(visitor,), gain=0.5)))
    apart = gain_to(means, healthy) - math.log(0.5)
    assert np.median(np.abs(apart)) < 0.02
    assert np.max(np.abs(apart)) < 0.12


@LAW
@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_trust_stays_within_its_bounds(one, other):
    trust = block_trust(np.array([one], np.float32), np.array([other], np.float32))[0]
    assert 0.02 - 1e-6 < trust <= 1.0


@LAW
@given(st.floats(0.0, 0.5), st.floats(0.0, 0.5))
def test_a_darker_block_is_never_trusted_more(one, other):
    dark, bright = sorted((one, other))
    trust = block_trust(np.array([dark, bright], np.float32))
    assert trust[0] <= trust[1]


def test_dark_and_burnt_blocks_are_trusted_little():
    trust = block_trust(np.array([0.0, 0.1, BURNT + 0.05], np.float32))
    assert trust == pytest.approx([0.02, 1.0, 0.05])


def test_a_block_is_trusted_as_little_as_in_the_worse_of_two_frames():
    fine, dark, burnt = (np.array([value], np.float32) for value in (0.2, 1e-4, 0.99))
    assert block_trust(fine, dark) == block_trust(dark)
    assert block_trust(fine, burnt) == block_trust(burnt)


def test_dark_corners_do_not_draw_the_gain_along(healthy):
    means = 0.5 * healthy
    means[: GRID[1] * 3] = 0.0
    lower = np.arange(BLOCKS) >= GRID[1] * 6
    assert gain_to(means, healthy)[lower] == pytest.approx(math.log(0.5), abs=0.08)


def test_a_wholly_dark_frame_still_gives_numbers(healthy):
    assert np.all(np.isfinite(gain_to(np.zeros(BLOCKS, np.float32), healthy)))


def test_several_references_at_once_give_what_each_gives_alone(healthy):
    site = make_site()
    frame = block_means(site.shoot(Exposure(gain=0.7, visitors=(Visitor(0.5, 0.5),))))
    references = np.stack([healthy, block_means(site.shoot(Exposure(right=0.0))), 0.02 * healthy])
    alone = np.stack([gain_to(frame, each) for each in references])
    assert smooth_log_gains(frame, references) == pytest.approx(alone, abs=1e-4)


@pytest.mark.parametrize("shape", [(160, 240), (97, 131)])
def test_four_times_the_light_is_twice_its_root_everywhere(shape):
    assert gain_over(shape, np.full(BLOCKS, math.log(4.0), np.float32)) == pytest.approx(np.full(shape, 2.0))


def test_a_gain_lies_over_the_picture_as_its_blocks_do():
    log_gain = np.zeros(GRID, np.float32)
    log_gain[:, GRID[1] // 2 :] = math.log(4.0)
    spread = gain_over((160, 240), log_gain.ravel())
    assert spread[:, :100] == pytest.approx(np.ones((160, 100)), abs=0.1)
    assert spread[:, 140:] == pytest.approx(np.full((160, 100), 2.0), abs=0.2)
