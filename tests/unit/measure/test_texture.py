import numpy as np
import pytest

from tests.scenes import Visitor, ellipse, texture
from triage.measure.texture import detail, texture_kept, texture_kept_around

SHAPE = (120, 160)
PLACE = ellipse(Visitor(0.5, 0.5), *SHAPE)


def lightness(seed, *, gain=1.0):
    return np.asarray(gain * (0.4 + 0.08 * texture(*SHAPE, seed=seed)), np.float32)


def kept(shown, expected, place=PLACE):
    return texture_kept(detail(shown), detail(expected), place)


def test_the_same_texture_is_kept_whole():
    assert kept(lightness(1), lightness(1)) == pytest.approx(1.0)


@pytest.mark.parametrize("gain", [0.25, 0.5, 2.0])
def test_the_same_texture_under_another_light_is_still_kept(gain):
    assert kept(lightness(1, gain=gain), lightness(1)) == pytest.approx(1.0, abs=1e-4)


def test_the_same_texture_under_a_soft_shadow_is_still_kept():
    shade = np.linspace(0.3, 1.0, SHAPE[1], dtype=np.float32)[None, :]
    assert kept(shade * lightness(1), lightness(1)) > 0.9


def test_unrelated_texture_is_not_kept():
    found = [kept(lightness(seed), lightness(1)) for seed in range(2, 8)]
    assert max(abs(each) for each in found) < 0.5
    assert abs(float(np.mean(found))) < 0.2


def test_keeping_is_mutual():
    noisy = lightness(1) + 0.05 * np.random.default_rng(0).standard_normal(SHAPE).astype(np.float32)
    assert kept(noisy, lightness(1)) == pytest.approx(kept(lightness(1), noisy))


def test_the_more_another_texture_covers_it_the_less_is_kept():
    found = [
        kept((1 - share) * lightness(1) + share * lightness(2), lightness(1)) for share in (0, 0.3, 0.6, 1)
    ]
    assert found == sorted(found, reverse=True)


def test_a_negative_is_kept_with_the_opposite_sign():
    assert kept(0.8 - lightness(1), lightness(1)) == pytest.approx(-1.0, abs=1e-4)


def test_scenery_without_detail_cannot_tell():
    assert kept(lightness(1), np.full(SHAPE, 0.4, np.float32)) is None


def test_a_small_place_cannot_tell():
    place = np.zeros(SHAPE, bool)
    place[10:13, 10:23] = True
    assert place.sum() == 39
    assert kept(lightness(1), lightness(1), place) is None


def test_a_place_without_any_detail_of_its_own_cannot_tell():
    assert kept(np.full(SHAPE, 0.4, np.float32) * 0, lightness(1)) is None


def test_an_even_plane_has_no_detail_and_a_fine_pattern_has():
    assert detail(np.full(SHAPE, 0.4, np.float32)) == pytest.approx(0.0, abs=1e-6)
    assert float(detail(lightness(1)).std()) > 0.01


@pytest.mark.parametrize("gain", [0.5, 2.0])
def test_around_each_pixel_the_same_texture_is_kept_under_another_light(gain):
    assert texture_kept_around(lightness(1, gain=gain), lightness(1), 1.5).min() > 0.9


def test_around_each_pixel_another_texture_is_seen_only_where_it_is():
    frame = np.where(PLACE, lightness(2), lightness(1))
    found = texture_kept_around(frame, lightness(1), 1.5)
    assert found[5:20, 5:20].min() > 0.95
    assert np.median(np.abs(found[PLACE])) < 0.6


def test_around_each_pixel_of_even_planes_nothing_is_kept():
    even = np.full(SHAPE, 0.4, np.float32)
    assert np.abs(texture_kept_around(even, even, 1.5)).max() < 1e-3
