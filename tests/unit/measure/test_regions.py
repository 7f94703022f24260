import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes import Visitor, box_of, ellipse, overlap
from triage.measure.regions import evidence, region_of, strongest_region
from triage.measure.wobble import learn_wobble
from triage.records.measurement import Box, Side

LAW = settings(deadline=None, max_examples=40)

ROWS, COLS = 160, 240


def noise(seed, *, size=0.01):
    return (size * np.random.default_rng(seed).standard_normal((ROWS, COLS, 3))).astype(np.float32)


@pytest.fixture(scope="module")
def wobble():
    return learn_wobble([noise(seed) for seed in range(12)])


def outlined(change, wobble):
    """Outline what stands out most in a change."""
    found = evidence(change, wobble)
    return strongest_region(found.peak, found.scales[0])


def region_with(visitor, wobble, *, height=0.15, seed=100):
    change = noise(seed)
    change[ellipse(visitor, ROWS, COLS)] += height
    return outlined(change, wobble)


@pytest.mark.parametrize("height", [0.1, 0.3, -0.2])
@pytest.mark.parametrize("place", [(0.3, 0.3), (0.6, 0.7)])
@pytest.mark.parametrize("size", [0.06, 0.12, 0.25])
def test_the_box_lies_around_the_planted_subject(wobble, height, place, size):
    visitor = Visitor(*place, high=size, wide=size)
    region = region_with(visitor, wobble, height=height)
    assert overlap(region.box, box_of(ellipse(visitor))) >= 0.7


@pytest.mark.parametrize(
    ("row", "col", "sides"),
    [
        (0.5, 0.0, (Side.LEFT,)),
        (0.0, 0.5, (Side.TOP,)),
        (0.5, 1.0, (Side.RIGHT,)),
        (1.0, 0.5, (Side.BOTTOM,)),
        (0.0, 0.0, (Side.LEFT, Side.TOP)),
        (1.0, 1.0, (Side.RIGHT, Side.BOTTOM)),
        (0.5, 0.5, ()),
    ],
)
def test_the_borders_that_cut_a_subject_are_named(wobble, row, col, sides):
    assert region_with(Visitor(row, col), wobble).cut_by == sides


@pytest.mark.parametrize(("row", "col"), [(0.5, 0.11 + 0.05), (0.13 + 0.07, 0.5), (0.5, 0.84), (0.8, 0.5)])
def test_no_border_is_named_for_a_subject_that_ends_a_little_inside(wobble, row, col):
    assert region_with(Visitor(row, col), wobble).cut_by == ()


def test_a_subject_just_touching_a_border_is_cut_by_it():
    mask = np.zeros((ROWS, COLS), bool)
    mask[60:90, :30] = True
    assert region_of(mask, 9.0).cut_by == (Side.LEFT,)
    inside = np.roll(mask, 4, axis=1)
    assert region_of(inside, 9.0).cut_by == ()


def test_a_region_is_described_in_fractions_of_the_picture():
    mask = np.zeros((100, 200), bool)
    mask[20:40, 50:100] = True
    region = region_of(mask, 5.0)
    assert region.box == Box(0.25, 0.2, 0.5, 0.4)
    assert region.area == pytest.approx(0.05)
    assert region.strength == 5.0


def test_a_region_of_one_pixel_has_a_box():
    mask = np.zeros((10, 10), bool)
    mask[4, 7] = True
    assert region_of(mask, 1.0).box == Box(0.7, 0.4, 0.8, 0.5)


@LAW
@given(st.integers(0, 30), st.integers(0, 30), st.integers(1, 30), st.integers(1, 30))
def test_boxes_stay_within_the_picture_and_hold_their_mask(top, left, high, wide):
    mask = np.zeros((40, 40), bool)
    mask[top : top + high, left : left + wide] = True
    box = region_of(mask, 1.0).box
    assert 0 <= box.x0 < box.x1 <= 1
    assert 0 <= box.y0 < box.y1 <= 1
    assert box.area >= mask.mean() - 1e-9


def test_mere_noise_makes_no_strong_region(wobble):
    for seed in range(100, 104):
        region = outlined(noise(seed), wobble)
        assert region is None or region.strength < 8


def test_nothing_at_all_makes_no_region(wobble):
    found = evidence(np.zeros((ROWS, COLS, 3), np.float32), wobble)
    assert strongest_region(found.peak, found.scales[0]) is None
    assert found.unrest == 0.0


def test_a_stronger_change_is_a_stronger_region(wobble):
    strengths = [
        region_with(Visitor(0.5, 0.5), wobble, height=height).strength for height in (0.05, 0.1, 0.2, 0.4)
    ]
    assert strengths == sorted(strengths)
    assert len(set(strengths)) == 4


def test_darkening_counts_as_much_as_brightening(wobble):
    change = np.zeros((ROWS, COLS, 3), np.float32)
    change[ellipse(Visitor(0.5, 0.5))] = 0.2
    brighter, darker = evidence(change, wobble), evidence(-change, wobble)
    assert np.allclose(brighter.peak, darker.peak)
    assert brighter.unrest == darker.unrest


def test_the_strongest_of_two_subjects_is_outlined(wobble):
    change = noise(100)
    strong, weak = ellipse(Visitor(0.5, 0.25)), ellipse(Visitor(0.5, 0.75))
    change[strong] += 0.3
    change[weak] += 0.15
    region = outlined(change, wobble)
    assert overlap(region.box, box_of(strong)) >= 0.7
    assert not region.mask[weak].any()


def test_a_subject_behind_a_thin_stem_is_one_region(wobble):
    visitor = Visitor(0.5, 0.5, high=0.15, wide=0.12)
    change = noise(100)
    change[ellipse(visitor)] += 0.2
    stem = slice(118, 122)
    change[:, stem] = noise(101)[:, stem]
    region = outlined(change, wobble)
    assert overlap(region.box, box_of(ellipse(visitor))) >= 0.7


def test_a_subject_with_a_glaring_part_is_outlined_whole(wobble):
    visitor = Visitor(0.5, 0.5, high=0.3, wide=0.25)
    change = noise(100)
    change[ellipse(visitor)] += 0.2
    change[ellipse(Visitor(0.5, 0.4, high=0.03, wide=0.02))] += 3.0
    region = outlined(change, wobble)
    assert overlap(region.box, box_of(ellipse(visitor))) >= 0.7


def test_a_restless_frame_is_judged_by_its_own_unrest(wobble):
    calm, restless = (evidence(noise(100, size=size), wobble) for size in (0.01, 0.05))
    assert calm.unrest < 1.0
    assert restless.unrest > 2.0
    assert float(np.median(restless.peak)) < 3.0
