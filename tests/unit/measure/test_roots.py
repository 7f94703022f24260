import numpy as np
import pytest

from tests.scenes import Exposure, make_site
from triage.measure.roots import colour_roots, root_lightness, search_picture


def grey(code, shape=(320, 480)):
    return np.full((*shape, 3), code, np.uint8)


@pytest.mark.parametrize(("code", "linear"), [(0, 0.0), (118, 0.18116), (255, 1.0)])
def test_lightness_is_the_root_of_linear_light(code, linear):
    # IEC 61966-2-1: code 118 stands for 18.1 % of white.
    assert root_lightness(grey(code)) == pytest.approx(np.sqrt(linear), abs=1e-3)
    assert search_picture(grey(code))[..., 0] == pytest.approx(np.sqrt(linear), abs=1e-3)


def test_grey_has_no_colour_differences():
    assert np.abs(search_picture(grey(130))[..., 1:]).max() < 1e-5


def test_colour_shows_against_green():
    picture = grey(100)
    picture[..., 0] = 160
    lightness, red, blue = search_picture(picture)[10, 10]
    assert red > 0.2
    assert blue == pytest.approx(0.0, abs=1e-5)
    assert lightness > search_picture(grey(100))[10, 10, 0]


@pytest.mark.parametrize(
    ("shape", "searched"), [((320, 480), (160, 240)), ((480, 320), (240, 160)), ((160, 240), (160, 240))]
)
def test_large_pictures_are_searched_at_half_size_and_small_ones_at_their_own(shape, searched):
    assert search_picture(grey(90, shape)).shape == (*searched, 3)


def test_colours_at_full_size_are_those_searched_at_half():
    picture = make_site(320, 480).shoot()
    full = colour_roots(picture)
    assert full.shape == (320, 480, 3)
    assert full.mean(axis=(0, 1)) == pytest.approx(search_picture(picture).mean(axis=(0, 1)), abs=1e-3)


def test_the_root_makes_photon_noise_alike_in_shadow_and_light():
    # Anscombe 1948: the variance of the square root of a Poisson number does not depend on its mean.
    site = make_site()
    spreads = []
    for gain in (0.3, 1.0):
        roots = np.stack([search_picture(site.shoot(Exposure(gain=gain, seed=seed))) for seed in range(12)])
        spreads.append(float(np.median(roots.std(axis=0))))
    assert spreads[1] == pytest.approx(spreads[0], rel=0.2)
