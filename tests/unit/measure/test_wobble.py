import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from triage.measure.wobble import COARSER, SCALES, at_scales, learn_wobble

SHAPE = (80, 120, 3)


def noise(seed, *, size=0.01):
    return (size * np.random.default_rng(seed).standard_normal(SHAPE)).astype(np.float32)


def test_there_is_one_wobble_for_each_scale():
    wobble = learn_wobble([noise(0)])
    assert [size.shape for size in wobble.sizes] == [
        (SHAPE[0] // coarser, SHAPE[1] // coarser, 3) for coarser in COARSER
    ]


def test_a_still_card_has_a_wobble_above_nought():
    wobble = learn_wobble([np.zeros(SHAPE, np.float32)] * 4)
    assert all(float(size.min()) > 0 for size in wobble.sizes)


def test_noise_shrinks_with_the_scale_and_an_even_change_does_not():
    spreads = [float(smoothed.std()) for smoothed in at_scales(noise(0))]
    assert spreads == sorted(spreads, reverse=True)
    assert at_scales(np.full(SHAPE, 0.3, np.float32))[-1] == pytest.approx(0.3, rel=1e-5)


@pytest.mark.source("library", "SciPy's Gaussian filter, on the picture at its full size")
def test_a_coarser_picture_shows_what_the_full_one_shows_at_that_scale():
    change = noise(0)
    for smoothed, scale, coarser in zip(at_scales(change), SCALES, COARSER, strict=True):
        wanted = gaussian_filter(change, (scale, scale, 0), mode="mirror", truncate=6)
        wanted = wanted.reshape(SHAPE[0] // coarser, coarser, SHAPE[1] // coarser, coarser, 3).mean(
            axis=(1, 3)
        )
        # Averaging over squares lets a little of the finest noise through; borders are mirrored at each size.
        inner = np.s_[16 // coarser : -16 // coarser, 16 // coarser : -16 // coarser]
        assert float((smoothed - wanted)[inner].std()) < 0.2 * float(wanted.std())


@pytest.mark.parametrize("factor", [2.0, 5.0])
def test_more_noise_is_more_wobble_in_proportion(factor):
    changes = [noise(seed, size=0.05) for seed in range(10)]
    once = learn_wobble(changes)
    more = learn_wobble([factor * change for change in changes])
    for small, large in zip(once.sizes[:2], more.sizes[:2], strict=True):
        assert float(np.median(large)) == pytest.approx(factor * float(np.median(small)), rel=0.15)


def test_the_sign_of_a_change_does_not_matter():
    changes = [noise(seed) for seed in range(5)]
    for one, other in zip(
        learn_wobble(changes).sizes, learn_wobble([-change for change in changes]).sizes, strict=True
    ):
        assert np.allclose(one, other)


def test_the_order_of_the_frames_does_not_matter():
    changes = [noise(seed) for seed in range(6)]
    for one, other in zip(learn_wobble(changes).sizes, learn_wobble(changes[::-1]).sizes, strict=True):
        assert np.allclose(one, other)


def test_where_leaves_move_the_wobble_is_larger_than_elsewhere():
    changes = [noise(seed, size=0.005) for seed in range(12)]
    for seed, change in enumerate(changes):
        change[:, :40] += noise(seed + 50, size=0.05)[:, :40]
    size = learn_wobble(changes).sizes[0][..., 0]
    assert float(np.median(size[:, :30])) > 4 * float(np.median(size[:, 60:]))


def test_a_visitor_in_every_frame_but_elsewhere_each_time_hardly_adds_to_the_wobble():
    changes = [noise(seed) for seed in range(12)]
    plain = learn_wobble(changes)
    for number, change in enumerate(changes):
        change[30:50, 8 * number : 8 * number + 12] += 0.4
    # The widest scales reach across half of so small a picture, so they see every visitor everywhere.
    for without, within in zip(plain.sizes[:2], learn_wobble(changes).sizes[:2], strict=True):
        assert float(np.median(within)) < 1.5 * float(np.median(without))
        assert float(within.max()) < 0.04


def test_an_animal_that_comes_to_one_place_in_two_frames_of_five_is_not_the_places_unrest():
    changes = [noise(seed) for seed in range(20)]
    place = np.zeros(SHAPE[:2], bool)
    place[20:30, 20:30] = True
    for change in changes[::5] + changes[1::5]:
        change[place] += 0.3
    size = learn_wobble(changes).sizes[0][..., 0]  # the visits themselves are thirty times the noise
    assert float(size[place].max()) < 5 * float(np.median(size[~place]))
