"""The shift of the view, against the documented accuracy of scikit-image's registration."""

from functools import lru_cache

import cv2
import numpy as np
import pytest
from scipy.ndimage import fourier_shift
from skimage import data
from skimage.registration import phase_cross_correlation

from tests.scenes import view_shift
from triage.measure.alignment import SAME_VIEW_PX
from triage.measure.roots import root_lightness
from triage.measure.texture import detail

LIBRARY = "scikit-image 0.26, documentation of phase_cross_correlation: within 1 / upsample_factor pixel"

# The first row is the documentation's own example. Shifts in pixels, of 512 by 512; noise in codes of 255.
SHIFTS = [(-22.4, 13.32), (3.3, -4.7), (-2.5, 2.5), (8.0, 0.0), (40.0, -30.0)]
NOISES = [0.0, 60.0]


@lru_cache
def light(shift=(0.0, 0.0), noise=0.0):
    """Return the library's example picture as the program sees pictures, shifted in the frequency domain."""
    picture = np.fft.ifftn(fourier_shift(np.fft.fftn(data.camera() / 255.0), shift)).real
    picture = picture + np.random.default_rng(1).normal(0.0, noise / 255.0, picture.shape)
    return np.sqrt(np.clip(picture, 0.0, 1.0)).astype(np.float32)


def off(found, shift):
    return float(np.hypot(found[0] - shift[0], found[1] - shift[1]))


@pytest.mark.source("library", LIBRARY)
@pytest.mark.source(
    "paper", "Guizar-Sicairos, Thurman & Fienup 2008, Opt. Lett. 33:156, doi 10.1364/OL.33.000156"
)
def test_the_librarys_example_is_found_within_a_third_of_a_pixel(record_property):
    lines = [
        "View shift: error in pixels, ours and scikit-image's (upsample_factor 20), by noise in codes of 255"
    ]
    lines.append(
        f"{'true shift':>18}" + "".join(f"{f'ours {noise:.0f}':>10}{'theirs':>10}" for noise in NOISES)
    )
    for shift in SHIFTS:
        figures = ""
        for noise in NOISES:
            found = view_shift(light(), light(shift, noise))
            assert found is not None
            other, _, _ = phase_cross_correlation(light(), light(shift, noise), upsample_factor=20)
            theirs = off(-other, shift)
            assert theirs < 0.08  # documented: a twentieth along each axis
            assert off(found, shift) < 0.32
            figures += f"{off(found, shift):>10.2f}{theirs:>10.2f}"
        lines.append(f"{shift!s:>18}{figures}")
    record_property("table", "\n".join(lines))


@pytest.mark.source("library", LIBRARY)
@pytest.mark.parametrize("shift", [shift for shift in SHIFTS if float(np.sum(np.abs(shift) % 1)) == 0])
def test_whole_pixels_are_found_within_a_tenth_also_in_noise(shift):
    for noise in NOISES:
        assert off(view_shift(light(), light(shift, noise)), shift) < 0.1


@pytest.mark.source("library", f"{LIBRARY}; what it gives is the shift to be applied to the moving picture")
def test_the_sign_is_that_of_the_scene_and_opposite_to_the_librarys():
    found = view_shift(light(), light((6.0, -9.0)))
    other, _, _ = phase_cross_correlation(light(), light((6.0, -9.0)))
    assert found == pytest.approx((6.0, -9.0), abs=0.1)
    assert tuple(other) == (-6.0, 9.0)


@pytest.mark.source("data", "tree.avi of OpenCV's sample footage (Apache-2.0): a tree in the wind")
@pytest.mark.source("library", LIBRARY)
def test_two_real_frames_cut_out_apart_are_found_as_far_apart(real):
    # Two moments of one view, cut out at the same place and then 7 rows and 4 columns apart. The leaves move on their
    # own, by nearly a pixel here; what the cutting adds to that is known exactly.
    paths = sorted(real("windy-tree").rglob("*.JPG"))
    one, other = (
        root_lightness(np.ascontiguousarray(cv2.imread(str(paths[number]), cv2.IMREAD_COLOR)[..., ::-1]))
        for number in (10, 30)
    )
    reference, same, apart = one[10:220, 10:300], other[10:220, 10:300], other[17:227, 6:296]
    ours = np.subtract(view_shift(reference, apart), view_shift(reference, same))
    theirs = [
        -phase_cross_correlation(detail(reference), detail(frame), upsample_factor=20, normalization=None)[0]
        for frame in (apart, same)
    ]
    assert off(ours, (-7.0, 4.0)) < 0.3
    assert off(theirs[0] - theirs[1], (-7.0, 4.0)) < 0.3
    assert off(view_shift(reference, same), theirs[1]) < SAME_VIEW_PX / 2
