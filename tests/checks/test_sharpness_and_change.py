"""Sharpness, haze and change, against published laws and the references of OpenCV and scikit-image."""

import math
from itertools import pairwise

import cv2
import numpy as np
import pytest
from scipy.stats import rankdata
from skimage import data
from skimage.filters import difference_of_gaussians
from skimage.measure import blur_effect
from skimage.metrics import structural_similarity

from tests.scenes import Exposure, Visitor, code, ellipse, make_site
from triage.findings.thresholds import SOFT_SCENE
from triage.measure.blocks import GRID, block_means
from triage.measure.clarity import block_contrast, detail_bands, haze_and_sharpness, learn_clear_view
from triage.measure.roots import root_lightness, search_picture
from triage.measure.scenery import compare, sway_follower
from triage.measure.texture import detail
from triage.measure.tone import linear, luminance

FOCUS = "Pertuz, Puig & Garcia 2013, Pattern Recognition 46:1415, doi 10.1016/j.patcog.2012.11.011"
ANSCOMBE = "Anscombe 1948, Biometrika 35:246, doi 10.1093/biomet/35.3-4.246"
BLURS = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0)


def picture(grey):
    return np.repeat(np.asarray(grey, np.uint8)[..., None], 3, axis=2)


def seen(grey):
    shot = picture(grey)
    return block_contrast(root_lightness(shot)), block_means(shot)


def clear_view(*greys):
    return learn_clear_view([seen(grey)[0] for grey in greys], [True] * len(greys))


def blurred(grey, sigma):
    return cv2.GaussianBlur(grey, (0, 0), sigma) if sigma else grey


def noisy(grey, sigma, seed):
    drawn = np.random.default_rng(seed).normal(0.0, sigma, grey.shape)
    return np.clip(np.rint(grey + drawn), 0, 255).astype(np.uint8)


def laplacian(grey):
    return float(cv2.Laplacian(grey, cv2.CV_64F).var())


# --- sharpness


@pytest.mark.source("paper", FOCUS)
@pytest.mark.source("library", "OpenCV 5.0, variance of the Laplacian; scikit-image 0.26, blur_effect")
def test_more_blur_is_less_sharp_as_for_two_libraries_measures(record_property):
    camera = data.camera()
    view = clear_view(camera, camera, camera)
    lines = [
        f"Sharpness of scikit-image's `camera`\n{'blur, px':>10}{'ours':>8}{'Laplacian':>11}{'blur_effect':>13}"
    ]
    rows = []
    for sigma in BLURS:
        shot = blurred(camera, sigma)
        rows.append((haze_and_sharpness(view, *seen(shot))[1], laplacian(shot), float(blur_effect(shot))))
        lines.append(f"{sigma:>10.1f}{rows[-1][0]:>8.2f}{rows[-1][1]:>11.1f}{rows[-1][2]:>13.2f}")
    for one, two in pairwise(rows):
        assert one[0] > two[0]
        assert one[1] > two[1]
        assert one[2] < two[2]
    record_property("table", "\n".join(lines))


@pytest.mark.source("law", "variance of the Laplacian goes with the square of exposure; sharpness must not")
@pytest.mark.parametrize("gain", [0.5, 0.25])
def test_sharpness_does_not_go_with_exposure_while_the_plain_measure_does(gain):
    camera = data.camera()
    darker = code(linear(camera) * gain)
    haze, sharpness = haze_and_sharpness(clear_view(camera, camera, camera), *seen(darker))
    assert sharpness == pytest.approx(1.0, abs=0.02)
    assert haze == pytest.approx(0.0, abs=0.03)
    assert laplacian(np.rint(camera * gain).astype(np.uint8)) == pytest.approx(
        gain**2 * laplacian(camera), rel=0.05
    )


def band_energy(inner, outer, blur):
    """Energy of a difference of two Gaussians on white noise under a Gaussian blur, up to a factor (Parseval)."""
    return 1 / (inner**2 + blur**2) + 1 / (outer**2 + blur**2) - 4 / (inner**2 + outer**2 + 2 * blur**2)


@pytest.mark.source(
    "law", "a Gaussian blur multiplies the spectrum by a Gaussian (Parseval); computed in closed form"
)
@pytest.mark.parametrize("blur", [0.5, 1.0, 1.5, 2.0, 3.0])
def test_detail_falls_with_blur_by_the_law_of_gaussians(blur):
    drawn = np.random.default_rng(0).standard_normal((320, 480)).astype(np.float32)
    texture = cv2.GaussianBlur(drawn, (0, 0), 1.0)
    texture /= texture.std()
    sharp, soft = (
        block_contrast((0.5 + 0.03 * blurred(texture, each)).astype(np.float32)) for each in (0.0, blur)
    )
    for name, inner, outer in (("fine", 0.7, 1.8), ("middle", 1.8, 5.0)):
        law = math.sqrt(band_energy(inner, outer, math.hypot(1.0, blur)) / band_energy(inner, outer, 1.0))
        kept = float(np.median(getattr(soft, name) / getattr(sharp, name)))
        assert kept == pytest.approx(law, rel=0.06)


@pytest.mark.source("paper", f"{FOCUS}: operators of the Laplacian's kind are sensitive to noise")
def test_noise_makes_the_plain_measure_prefer_a_blurred_frame_and_ours_not_against_frames_as_noisy():
    camera = data.camera()
    soft = blurred(camera, 3.0)
    assert laplacian(noisy(soft, 10.0, 1)) > laplacian(camera)
    for sigma in (2.0, 5.0, 10.0):
        view = clear_view(*(noisy(camera, sigma, seed) for seed in range(3)))
        sharp = haze_and_sharpness(view, *seen(noisy(camera, sigma, 4)))[1]
        blur = haze_and_sharpness(view, *seen(noisy(soft, sigma, 5)))[1]
        assert sharp == pytest.approx(1.0, abs=0.03)
        assert blur < 0.9 * sharp
        # Up to noise of 5 codes at the size measured, a blur of 3 pixels is called soft; at 10 noise hides it.
        assert (blur < SOFT_SCENE) == (sigma <= 5.0)


@pytest.mark.source("library", "scikit-image 0.26, difference_of_gaussians")
def test_the_bands_of_detail_are_the_librarys_differences_of_gaussians():
    plane = np.sqrt(linear(data.camera())).astype(np.float32)
    fine, middle = detail_bands(plane)
    for ours, inner, outer in ((fine, 0.7, 1.8), (detail(plane, finest=0.8, coarsest=2.5), 0.8, 2.5)):
        theirs = difference_of_gaussians(plane, inner, outer, mode="mirror")
        assert np.allclose(ours, theirs, atol=1e-5)
    theirs = difference_of_gaussians(plane, 1.8, 5.0, mode="mirror")
    assert np.std(middle - theirs) < 0.02 * np.std(theirs)


# --- haze


@pytest.mark.source("law", "veiling light adds: contrast falls by V / (L + V) (Weber contrast, Koschmieder)")
@pytest.mark.parametrize("veil", [0.05, 0.2, 0.4])
def test_haze_is_the_share_of_contrast_that_added_light_takes(veil):
    drawn = cv2.GaussianBlur(np.random.default_rng(2).standard_normal((320, 480)), (0, 0), 1.2)
    light = 0.2 * (1 + 0.12 * drawn / drawn.std())
    clear = code(light)
    haze, sharpness = haze_and_sharpness(clear_view(clear, clear, clear), *seen(code(light + veil)))
    assert haze == pytest.approx(veil / (0.2 + veil), abs=0.01)
    assert sharpness == pytest.approx(1.0, abs=0.02)


# --- change


@pytest.mark.source("paper", ANSCOMBE)
@pytest.mark.source("law", "photons arrive by Poisson's law: the variance of light is its mean")
def test_photon_noise_is_as_large_in_shadows_as_in_lights_once_rooted():
    rng = np.random.default_rng(0)
    rooted, plain = [], []
    for level in (0.02, 0.05, 0.1, 0.2, 0.4, 0.8):
        shot = picture(code(rng.poisson(level * 20_000, (120, 180)) / 20_000))
        rooted.append(float(root_lightness(shot).std()))
        plain.append(float(linear(shot).std()))
    assert max(rooted) < 1.1 * min(rooted)
    assert plain[-1] / plain[0] == pytest.approx(math.sqrt(0.8 / 0.02), rel=0.1)


@pytest.mark.source("library", "NumPy 2.4: plain means over the blocks of the grid")
def test_block_means_are_the_plain_means_of_light():
    shot = make_site(160, 240).shoot(Exposure(seed=3))
    light = luminance(linear(shot)).reshape(GRID[0], 160 // GRID[0], GRID[1], 240 // GRID[1])
    assert np.allclose(block_means(shot), light.mean(axis=(1, 3)).ravel(), atol=1e-6)


def visited(gain):
    """Compare a frame with a visitor with eight empty ones in full light; return change, root pictures and place."""
    site, visitor = make_site(), Visitor(0.55, 0.5)
    shots = [site.shoot(Exposure(seed=seed)) for seed in range(1, 9)]
    frame = site.shoot(Exposure(seed=40, gain=gain, visitors=(visitor,)))
    references = [(search_picture(shot), block_means(shot)) for shot in shots]
    found = compare(search_picture(frame), block_means(frame), references, sway_follower())
    return (
        np.abs(found.change[..., 0]),
        search_picture(frame)[..., 0],
        references[0][0][..., 0],
        ellipse(visitor),
    )


def told_apart(measure, place):
    """Chance that a pixel of the place has a larger value than one outside (area under the curve)."""
    ranks = rankdata(measure.ravel())
    inside = int(place.sum())
    above = ranks[place.ravel()].sum() - inside * (inside + 1) / 2
    return float(above / (inside * (place.size - inside)))


@pytest.mark.source("library", "OpenCV 5.0, absdiff; scikit-image 0.26, structural_similarity")
def test_in_equal_light_change_is_the_plain_difference_and_finds_the_place_as_the_libraries_do():
    change, frame, empty, place = visited(1.0)
    plain = cv2.absdiff(frame, empty)
    assert float(np.corrcoef(change.ravel(), plain.ravel())[0, 1]) > 0.9
    unlike = 1 - structural_similarity(frame, empty, data_range=1.0, full=True)[1]
    assert min(told_apart(each, place) for each in (change, plain, unlike)) > 0.98


@pytest.mark.source("library", "OpenCV 5.0, absdiff; scikit-image 0.26, structural_similarity")
@pytest.mark.parametrize("gain", [0.5, 0.25])
def test_in_other_light_the_plain_difference_is_blind_and_change_is_not(gain):
    change, frame, empty, place = visited(gain)
    plain = cv2.absdiff(frame, empty)
    assert told_apart(plain, place) < 0.5
    assert told_apart(change, place) > 0.98
    assert float(change[~place].mean()) < 0.05 * float(plain[~place].mean())
    # Structure does not mind the light either, so it has to agree on where something is.
    unlike = 1 - structural_similarity(frame, empty, data_range=1.0, full=True)[1]
    assert told_apart(unlike, place) > 0.9
