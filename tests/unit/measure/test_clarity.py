import numpy as np
import pytest

from tests.scenes import Exposure, make_site
from triage.measure.blocks import block_means
from triage.measure.clarity import (
    ClearView,
    Contrast,
    block_contrast,
    haze_and_sharpness,
    learn_clear_view,
    veil_far_off,
)
from triage.measure.roots import root_lightness


def seen(exposure):
    picture = make_site().shoot(exposure)
    return block_contrast(root_lightness(picture)), block_means(picture)


@pytest.fixture(scope="module")
def view():
    contrasts = [seen(Exposure(seed=seed, sway_px=0.5))[0] for seed in range(6)]
    return learn_clear_view(contrasts, [True] * 6)


def measured(view, exposure):
    return haze_and_sharpness(view, *seen(exposure))


def test_a_clear_sharp_frame_has_no_haze_and_full_sharpness(view):
    haze, sharpness = measured(view, Exposure(seed=50))
    assert haze < 0.1
    assert sharpness == pytest.approx(1.0, abs=0.1)


def test_haze_grows_with_the_veil(view):
    hazes = [measured(view, Exposure(seed=50, veil=veil))[0] for veil in (0.0, 0.2, 0.4, 0.6, 0.8)]
    assert hazes == sorted(hazes)
    assert hazes[-1] > 0.6


@pytest.mark.parametrize("veil", [0.3, 0.5, 0.7])
def test_haze_is_the_share_of_contrast_that_is_lost(view, veil):
    assert measured(view, Exposure(seed=50, veil=veil))[0] == pytest.approx(veil, abs=0.12)


def test_sharpness_falls_with_blur(view):
    found = [measured(view, Exposure(seed=50, blur_px=blur))[1] for blur in (0.0, 0.6, 1.0, 1.5, 2.5)]
    assert found == sorted(found, reverse=True)
    assert found[-1] < 0.5


def test_blur_is_no_haze(view):
    assert measured(view, Exposure(seed=50, blur_px=1.0))[0] < 0.25


def test_a_picture_far_out_of_focus_is_soft_and_not_fogged(view):
    haze, sharpness = measured(view, Exposure(seed=50, blur_px=5.0))
    assert haze < 0.35
    assert sharpness < 0.6


def test_fog_on_the_glass_is_no_blur(view):
    assert measured(view, Exposure(seed=50, veil=0.4))[1] > 0.85


@pytest.mark.parametrize("light", [{"gain": 0.4}, {"right": 0.4}, {"left": 0.4}])
def test_less_light_is_no_haze(view, light):
    haze, sharpness = measured(view, Exposure(seed=50, **light))
    assert haze < 0.15
    assert sharpness > 0.8


def far_in_fog():
    """Return a clear and a foggy frame, and one whose upper part is the foggy one's."""
    clear, foggy = (seen(Exposure(seed=50, veil=veil)) for veil in (0.0, 0.8))
    far = np.arange(384) < 384 * 6 // 10
    bands = ("fine", "middle", "coarse")
    mixed = Contrast(*(np.where(far, getattr(foggy[0], band), getattr(clear[0], band)) for band in bands))
    return clear, foggy, (mixed, clear[1])


def test_fog_far_away_is_no_haze_while_the_near_ground_is_clear(view):
    _, foggy, far = far_in_fog()
    assert haze_and_sharpness(view, *far)[0] < 0.1
    assert haze_and_sharpness(view, *foggy)[0] > 0.6


def test_fog_far_away_is_a_veil(view):
    clear, foggy, far = far_in_fog()
    assert veil_far_off(view, *clear) < 0.1
    assert veil_far_off(view, *far) > 0.6
    assert veil_far_off(view, *foggy) > 0.6


def test_a_picture_out_of_focus_and_a_dark_one_show_no_veil(view):
    assert veil_far_off(view, *seen(Exposure(seed=50, blur_px=1.5))) < 0.2
    assert veil_far_off(view, *seen(Exposure(0.001, 0.001, seed=50))) == 0.0


def test_haze_is_found_where_the_near_ground_lies_in_the_dark(view):
    contrast, means = seen(Exposure(seed=50, veil=0.6))
    near = np.arange(384) >= 384 * 6 // 10
    haze, sharpness = haze_and_sharpness(view, contrast, np.where(near, 0.0, means).astype(np.float32))
    assert haze > 0.4
    assert sharpness is not None


def test_a_dark_frame_cannot_tell(view):
    assert measured(view, Exposure(left=0, right=0)) == (None, None)


def test_haze_and_sharpness_stay_within_their_bounds(view):
    blocks = np.full(384, 0.2, np.float32)
    nothing = block_contrast(np.full((160, 240), 0.4, np.float32))
    assert haze_and_sharpness(view, nothing, blocks)[0] == 1.0
    crisp = ClearView(view.fine / 10, view.middle, view.coarse)
    assert measured(crisp, Exposure())[1] == 2.0


@pytest.mark.parametrize("lit", [0, 1, 2])
def test_fewer_than_three_lit_frames_are_no_clear_view(lit):
    contrasts = [seen(Exposure(seed=seed))[0] for seed in range(3)]
    assert learn_clear_view(contrasts, [number < lit for number in range(3)]) is None


def test_fogged_frames_do_not_spoil_the_clear_view(view):
    clear = [seen(Exposure(seed=seed))[0] for seed in range(4)]
    foggy = [seen(Exposure(seed=seed, veil=0.7))[0] for seed in range(10, 14)]
    mixed = learn_clear_view(clear + foggy, [True] * 8)
    assert float(np.median(mixed.middle / view.middle)) == pytest.approx(1.0, abs=0.1)


def test_contrast_does_not_depend_on_an_even_change_of_light():
    plane = root_lightness(make_site().shoot())
    once, less = block_contrast(plane), block_contrast(0.7 * plane)
    assert float(np.median(less.middle / once.middle)) == pytest.approx(1.0, abs=0.02)


def test_an_even_picture_has_no_contrast():
    contrast = block_contrast(np.full((160, 240), 0.4, np.float32))
    assert contrast.fine == pytest.approx(0.0, abs=1e-5)
    assert contrast.middle == pytest.approx(0.0, abs=1e-5)
