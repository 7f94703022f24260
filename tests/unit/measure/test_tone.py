import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.color import rgb2xyz

from tests.scenes import code, make_site
from triage.measure.tone import LUMINANCE, linear, luminance

LAW = settings(deadline=None, max_examples=40)

# Decoding of sRGB codes, computed from the formula of IEC 61966-2-1:1999.
DECODED = {
    0: 0.0,
    1: 0.00030,
    10: 0.00304,
    11: 0.00335,
    32: 0.01444,
    64: 0.05127,
    118: 0.18116,
    128: 0.21586,
    188: 0.50289,
    235: 0.83077,
    255: 1.0,
}


@pytest.mark.parametrize(("coded", "light"), DECODED.items())
@pytest.mark.source("standard", "IEC 61966-2-1:1999, decoding")
def test_codes_decode_as_the_standard_says(coded, light):
    assert linear(np.array([coded], np.uint8))[0] == pytest.approx(light, abs=6e-6)


@pytest.mark.source("standard", "IEC 61966-2-1:1999, computed")
def test_a_stop_less_light_gives_the_code_the_standard_formula_gives():
    # 118 one stop under is 84.9, 128 one stop under is 92.4 (IEC 61966-2-1, computed).
    for coded, under in ((118, 84.9), (128, 92.4)):
        half = linear(np.array([coded], np.uint8)) / 2
        assert code(half)[0] == pytest.approx(under, abs=0.51)


def test_decoding_rises_with_every_code():
    assert np.all(np.diff(linear(np.arange(256, dtype=np.uint8))) > 0)


def test_coding_undoes_decoding_for_every_code():
    codes = np.arange(256, dtype=np.uint8)
    assert np.array_equal(code(linear(codes)), codes)


@pytest.mark.source("standard", "ITU-R BT.709 and IEC 61966-2-1, weights of the primaries")
def test_luminance_weighs_the_primaries_as_rec_709_does():
    # Weights of ITU-R BT.709 primaries, also in IEC 61966-2-1.
    primaries = np.eye(3, dtype=np.float32)[None]
    assert luminance(primaries)[0] == pytest.approx([0.2126, 0.7152, 0.0722])
    assert float(LUMINANCE.sum()) == pytest.approx(1.0)


@pytest.mark.source("library", "scikit-image 0.26, rgb2xyz")
def test_luminance_agrees_with_an_independent_library():
    # scikit-image, `skimage.color.rgb2xyz`: Y of CIE XYZ under D65.
    picture = make_site().shoot()
    assert np.allclose(luminance(linear(picture)), rgb2xyz(picture)[..., 1], atol=2e-4)


@LAW
@given(st.integers(0, 255))
def test_the_luminance_of_a_grey_is_the_light_of_its_channels(coded):
    grey = np.full((1, 1, 3), coded, np.uint8)
    assert luminance(linear(grey))[0, 0] == pytest.approx(float(linear(grey)[0, 0, 0]), abs=1e-6)
