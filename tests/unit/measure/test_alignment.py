import cv2
import numpy as np
import pytest
from skimage.registration import phase_cross_correlation

from tests.scenes import Exposure, make_site, moved, texture, view_shift
from triage.measure.alignment import ShiftFinder, fixed_detail, group_views, shifts_by_probes
from triage.measure.roots import root_lightness
from triage.measure.texture import detail

SHAPE = (160, 240)


def lightness(exposure=None):
    return root_lightness(make_site().shoot(exposure))


@pytest.mark.parametrize("shift", [(0.0, 0.0), (3.0, -5.0), (-8.0, 11.0)])
def test_a_shift_of_whole_pixels_is_found_to_a_tenth_of_a_pixel(shift):
    plane = np.asarray(0.4 + 0.06 * texture(*SHAPE, seed=4), np.float32)
    assert view_shift(plane, moved(plane, *shift)) == pytest.approx(shift, abs=0.1)


@pytest.mark.parametrize("shift", [(-2.4, 6.3), (0.5, 0.25), (-8.0, -11.5)])
def test_a_shift_between_pixels_is_found_to_a_fifth_of_a_pixel(shift):
    # The centroid around the correlation's peak leans towards whole pixels: 0.17 off at worst here.
    plane = np.asarray(0.4 + 0.06 * texture(*SHAPE, seed=4), np.float32)
    assert view_shift(plane, moved(plane, *shift)) == pytest.approx(shift, abs=0.2)


def test_the_hundredth_frame_is_compared_with_the_same_reference_as_the_first():
    reference, frame = (fixed_detail(lightness(Exposure(seed=seed))) for seed in (1, 2))
    before = reference.copy(), frame.copy()
    finder = ShiftFinder(reference)
    assert len({finder.shift_of(frame) for _ in range(5)}) == 1
    assert np.array_equal(reference, before[0])
    assert np.array_equal(frame, before[1])


@pytest.mark.source("library", "OpenCV, phaseCorrelate")
def test_the_shift_is_the_librarys():
    one = np.asarray(0.4 + 0.06 * texture(*SHAPE, seed=4), np.float32)
    other = moved(one, 3.4, -5.2)
    window = cv2.createHanningWindow(SHAPE[::-1], cv2.CV_32F)
    # On arrays of its own: the library may fade the borders of what it is given.
    (col, row), _ = cv2.phaseCorrelate(fixed_detail(one), fixed_detail(other), window)
    assert view_shift(one, other) == pytest.approx((row, col), abs=0.03)


def test_a_picture_of_odd_sides_shows_its_shift_too():
    plane = np.asarray(0.4 + 0.06 * texture(*SHAPE, seed=4), np.float32)
    one, other = (np.ascontiguousarray(each[:151, :217]) for each in (plane, moved(plane, 3.4, -5.2)))
    assert view_shift(one, other) == pytest.approx((3.4, -5.2), abs=0.2)


@pytest.mark.parametrize("shift", [(2.0, 4.0), (-3.6, 1.2)])
def test_noisy_frames_under_another_light_still_show_their_shift(shift):
    reference, frame = lightness(), lightness(Exposure(right=0.3, gain=0.7, seed=9, shift_px=shift))
    assert view_shift(reference, frame) == pytest.approx(shift, abs=0.25)


@pytest.mark.source("library", "scikit-image 0.26, phase_cross_correlation")
def test_an_independent_library_finds_the_same_shift():
    # scikit-image, phase_cross_correlation; its shift is the one to be applied to the moving image.
    reference, frame = lightness(), lightness(Exposure(seed=9, shift_px=(-2.6, 3.3)))
    other, _, _ = phase_cross_correlation(
        detail(reference), detail(frame), upsample_factor=20, normalization=None
    )
    assert view_shift(reference, frame) == pytest.approx(tuple(-other), abs=0.2)


def test_a_frame_has_no_shift_against_itself():
    assert view_shift(lightness(), lightness()) == pytest.approx((0.0, 0.0), abs=1e-3)


def test_the_shift_back_is_the_shift_there_turned_round():
    one, other = lightness(), lightness(Exposure(seed=9, shift_px=(4.0, -2.0)))
    there, back = view_shift(one, other), view_shift(other, one)
    assert back == pytest.approx((-there[0], -there[1]), abs=0.05)


def test_another_scene_has_no_shift():
    planes = [np.asarray(0.4 + 0.06 * texture(*SHAPE, seed=seed), np.float32) for seed in (4, 5)]
    assert view_shift(*planes) is None


def test_a_frame_without_detail_has_no_shift():
    assert view_shift(lightness(), np.full(SHAPE, 0.2, np.float32)) is None


def test_frames_that_look_the_same_way_are_one_view():
    views, centres = group_views([(0.1, 0.0), (0.0, -0.2), (-0.1, 0.1), (0.2, 0.0)])
    assert views == [0, 0, 0, 0]
    assert centres[0] == pytest.approx((0.05, 0.0))


def test_a_view_that_moves_and_stays_becomes_a_second_view():
    views, centres = group_views([(0.0, 0.0)] * 5 + [(7.0, -3.0)] * 4)
    assert views == [0] * 5 + [1] * 4
    assert centres == [(0.0, 0.0), (7.0, -3.0)]


def test_a_chance_match_joins_the_view_before_it():
    views, centres = group_views([(0.0, 0.0)] * 4 + [(40.0, 9.0)] + [(0.0, 0.0)] * 2)
    assert views == [0] * 7
    assert len(centres) == 1


def test_a_frame_of_unknown_shift_joins_the_view_before_it():
    known = [(0.0, 0.0)] * 3 + [None] + [(9.0, 0.0)] * 3 + [None]
    assert group_views(known)[0] == [0, 0, 0, 0, 1, 1, 1, 1]


def test_unknown_frames_at_the_start_join_the_first_view_known():
    assert group_views([None, None] + [(5.0, 5.0)] * 3)[0] == [0] * 5


@pytest.mark.parametrize(
    "shifts", [[], [None], [None, None, None], [(0.0, 0.0), (0.0, 0.0)], [(0.0, 0.0), (9.0, 9.0)]]
)
def test_too_few_frames_to_tell_are_one_view(shifts):
    assert group_views(shifts) == ([0] * len(shifts), [(0.0, 0.0)])


def test_a_slow_drift_is_followed_as_one_view():
    assert set(group_views([(0.1 * step, 0.0) for step in range(12)])[0]) == {0}


def views_by_probes(true):
    """Group frames of known shifts by probes, and tell how many of them were looked at."""
    looked_at = []

    def shift(index):
        looked_at.append(index)
        return true[index]

    seen = shifts_by_probes(range(len(true)), shift)
    return group_views([seen[index] for index in range(len(true))])[0], len(looked_at)


def test_while_nothing_moves_one_frame_in_three_is_looked_at():
    views, looked_at = views_by_probes([(0.1, 0.0)] * 31)
    assert views == [0] * 31
    assert looked_at == 11


@pytest.mark.parametrize("first", range(4, 12))
@pytest.mark.parametrize("frames", [3, 4, 5, 9])
def test_probes_find_the_very_frames_that_show_another_view(first, frames):
    true = [(7.0, -3.0) if first <= index < first + frames else (0.0, 0.0) for index in range(24)]
    assert views_by_probes(true)[0] == group_views(true)[0]


def test_where_a_probe_cannot_be_told_its_neighbours_are_looked_at():
    true = [(0.0, 0.0)] * 3 + [None] + [(0.0, 0.0)] * 3 + [(7.0, -3.0)] * 5
    views, looked_at = views_by_probes(true)
    assert views == group_views(true)[0]
    assert looked_at > 7


def test_without_frames_nothing_is_looked_at():
    assert shifts_by_probes([], dict.__getitem__) == {}
