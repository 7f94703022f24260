"""Coded values and light, against the sRGB standard and general libraries.

Decoding of single codes and weights of luminance are checked beside the code, in `tests/unit/measure/test_tone.py`.
"""

import cv2
import numpy as np
import pytest
from PIL import Image

from sample_cards.truth import GREY
from tests import factories_files as files
from triage.measure.tone import linear, luminance

CODES = np.arange(256, dtype=np.uint8)

# Linear light and its code, from the encoding of IEC 61966-2-1 (1.055 l^(1/2.4) - 0.055, 12.92 l up to 0.0031308).
ENCODED = {
    0.0031308: 10.31, 0.01: 25.46, 0.02: 38.68, 0.045: 59.87, 0.09: 84.62, 0.127: 99.84, 0.18: 117.65, 0.36: 161.73,
    0.50: 187.52, 0.72: 220.59, 1.0: 255.0,
}  # fmt: skip

# A code, and what it becomes under so many stops, by the same formula without any curve of a camera's.
STOPS = [
    (118, -1, 84.9), (118, -2, 60.1), (118, 1, 162.2), (128, -1, 92.4), (128, -2, 65.7), (128, 1, 175.6),
    (200, -1, 146.3), (200, -2, 106.1), (235, -1, 172.5), (235, -2, 125.7),
]  # fmt: skip


def code_of(light):
    """Read the decoding table backwards, with fractions of a code."""
    return float(np.interp(light, linear(CODES), CODES))


@pytest.mark.source("standard", "IEC 61966-2-1:1999, encoding of linear light; 18 % grey is code 118")
@pytest.mark.parametrize(("light", "code"), ENCODED.items())
def test_light_has_the_code_of_the_standard(light, code):
    assert code_of(light) == pytest.approx(code, abs=0.05)


@pytest.mark.source("standard", "IEC 61966-2-1:1999, computed: a stop is a factor of two in linear light")
@pytest.mark.parametrize(("code", "stops", "becomes"), STOPS)
def test_a_stop_moves_a_code_as_the_standard_says(code, stops, becomes):
    assert code_of(linear(CODES)[code] * 2.0**stops) == pytest.approx(becomes, abs=0.1)


@pytest.mark.source(
    "table", "W3C, WCAG 2.2, relative luminance: the older threshold 0.03928 gives the same eight-bit codes"
)
def test_the_older_threshold_of_the_straight_part_decodes_every_code_alike():
    coded = CODES / 255.0
    older = np.where(coded <= 0.03928, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    assert np.allclose(linear(CODES), older, atol=1e-6)


@pytest.mark.source("library", "OpenCV 5.0, COLOR_RGB2XYZ on linear light: Y, by Rec. 709 primaries")
def test_luminance_is_the_y_of_opencv():
    # It has the weights to six digits (0.212671, 0.715160, 0.072169), the standard rounds them to four.
    light = linear(files.scene())
    assert np.allclose(luminance(light), cv2.cvtColor(light, cv2.COLOR_RGB2XYZ)[..., 1], atol=1e-4)


@pytest.mark.source("standard", "ITU-R BT.601, luma 0.299, 0.587, 0.114 (from memory)")
@pytest.mark.source("library", "OpenCV 5.0, COLOR_RGB2GRAY; Pillow 13.0, mode L")
def test_the_grey_in_which_the_truth_counts_levels_is_that_of_two_libraries():
    picture = files.scene()
    grey = picture.astype(np.float32) @ GREY
    assert np.abs(grey - cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)).max() <= 0.51
    assert np.abs(grey - np.asarray(Image.fromarray(picture).convert("L"))).max() <= 1.0
