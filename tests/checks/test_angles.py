"""Angles of view, and the aim advice that rests on them, against tables, an independent program and a general library.

More focal lengths of the same tables stand beside the code, in `tests/unit/diagnose/test_optics.py`.
"""

import math
import re

import cv2
import numpy as np
import pytest

from triage.diagnose.framing import Sight, Stand, framing_advice, framing_of
from triage.diagnose.optics import angle_of_view_deg, view_of
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.records.frame import Capture

# Angle of view across, upright and along the diagonal of 36 x 24 mm, degrees.
TABLE = {
    20: (84.0, 61.9, 94.5),
    28: (65.5, 46.4, 75.4),
    100: (20.4, 13.7, 24.4),
    135: (15.2, 10.2, 18.2),
    200: (10.3, 6.9, 12.3),
    300: (6.9, 4.6, 8.2),
}


def film(focal_mm):
    """Return what a camera with a sensor of 36 x 24 mm records."""
    return Capture(focal_mm=focal_mm, sensor_mm=(36.0, 24.0), width=6000, height=4000)


@pytest.mark.source("memory", "angles of view as makers' lens tables print them for 36 x 24 mm")
@pytest.mark.source("law", "angle of view 2 arctan(d / 2f) of a rectilinear lens")
@pytest.mark.parametrize(("focal_mm", "angles"), TABLE.items())
def test_angles_are_those_of_the_lens_tables(focal_mm, angles):
    view = view_of(film(focal_mm))
    diagonal = angle_of_view_deg(math.hypot(36, 24), focal_mm)
    assert (view.width_deg, view.height_deg, diagonal) == pytest.approx(angles, abs=0.06)


@pytest.mark.source("library", "OpenCV 5.0, calibrationMatrixValues")
@pytest.mark.parametrize(
    ("focal_mm", "sensor_mm"), [(28, (23.5, 15.6)), (50, (36.0, 24.0)), (18, (17.3, 13.0))]
)
def test_angles_are_those_of_a_general_librarys_camera(focal_mm, sensor_mm):
    width = 6000
    height = round(width * sensor_mm[1] / sensor_mm[0])
    view = view_of(Capture(focal_mm=focal_mm, sensor_mm=sensor_mm, width=width, height=height))
    per_mm = np.array([width, height]) / sensor_mm
    matrix = np.array(
        [[focal_mm * per_mm[0], 0, width / 2], [0, focal_mm * per_mm[1], height / 2], [0, 0, 1.0]]
    )
    across, upright, *_ = cv2.calibrationMatrixValues(matrix, (width, height), *sensor_mm)
    assert (view.width_deg, view.height_deg) == pytest.approx((across, upright), abs=0.01)


@pytest.mark.source("data", "ianare/exif-samples (CC BY-SA 4.0)")
@pytest.mark.source("tool", "ExifTool 12.57, Composite:FOV and ScaleFactor35efl")
def test_real_files_have_the_angle_an_independent_program_gives_them(real, exiftool):
    # It takes 36 mm across whatever the shape of the picture, where the diagonal is what the scale factor makes equal.
    # For pictures of 4 by 3 that is 4 % too wide: where a file tells its sensor's width, 2 arctan(d / 2f) is ours.
    root = real("exif")
    seen = {}
    for group in list_card(root).groups:
        capture = read_header(root, group).capture
        if (view := view_of(capture)) is not None:
            seen[group[0].name] = (view, capture)
    told = exiftool(["-n", "-FOV", "-ScaleFactor35efl"], [root / name for name in seen])
    alike, odd = 0, []
    for (view, capture), one in zip(seen.values(), told, strict=True):
        long, short = max(capture.width, capture.height), min(capture.width, capture.height)
        shape = long / math.hypot(long, short) * math.hypot(36, 24) / 36
        theirs = math.degrees(2 * math.atan(math.tan(math.radians(one["FOV"] / 2)) * shape))
        ours = max(view.width_deg, view.height_deg)
        if ours == pytest.approx(theirs, rel=0.004):  # the focused distance shifts one of them by 0.3 %
            alike += 1
        else:
            odd.append(capture)
    # One picture was made smaller after its pixels were counted; there it goes by the sensor in the maker's notes.
    assert (alike, len(odd)) == (20, 1)
    assert odd[0].focal35_mm is None
    assert all(
        view.half_width == pytest.approx(capture.sensor_mm[0] / 2 / capture.focal_mm)
        for view, capture in seen.values()
        if capture.sensor_mm
    )


def pixel_of(point_m, focal_mm, turned_deg=(0.0, 0.0)):
    """Project a point (right, down, ahead); return its place from the middle, in fractions of the picture."""
    across, upright = np.radians(turned_deg)
    turn, _ = cv2.Rodrigues(np.array([0.0, -across, 0.0]))
    tilt, _ = cv2.Rodrigues(np.array([upright, 0.0, 0.0]))
    rotation, _ = cv2.Rodrigues(tilt @ turn)
    matrix = np.diag([focal_mm / 36.0, focal_mm / 24.0, 1.0])
    points, _ = cv2.projectPoints(np.array([point_m], float), rotation, np.zeros(3), matrix, None)
    return tuple(float(value) for value in points.ravel())


@pytest.mark.source("library", "OpenCV 5.0, projectPoints and Rodrigues: a pinhole camera, turned")
@pytest.mark.parametrize("point_m", [(0.6, 0.0, 3.5), (-1.0, 0.0, 3.5), (0.0, 0.4, 2.0), (0.0, -0.25, 5.0)])
def test_turning_the_camera_as_advised_brings_the_subject_to_the_middle(point_m):
    place = pixel_of(point_m, 35.0)
    stand = Stand(np.array([place] * 5), np.array([np.nan, np.nan]))
    told = framing_of(stand, Sight(view_of(film(35.0)), point_m[2]))
    assert pixel_of(point_m, 35.0, (told.turn_deg, told.tilt_deg)) == pytest.approx((0.0, 0.0), abs=0.002)
    assert (told.across_cm, told.down_cm) == pytest.approx((100 * point_m[0], 100 * point_m[1]), abs=1.0)


@pytest.mark.source(
    "law",
    "field of view = distance x sensor / focal length (similar triangles): 50 mm at 3.5 m, 2.52 m across",
)
def test_the_advice_says_the_angle_and_the_length_of_the_handbooks_triangle():
    # A quarter of the width to the right of the middle: 63 cm, and arctan(0.63 / 3.5) = 10.2 degrees.
    stand = Stand(np.array([(0.25, 0.0)] * 6), np.array([0.2, 0.2]))
    said = framing_advice(stand, Sight(view_of(film(50.0)), 3.5))
    assert said is not None
    assert re.findall(r"(\d+\.\d)°", said) == ["10.2"]
    assert set(re.findall(r"(\d+) cm", said)) == {"63"}
    assert "turn the camera 10.2° (63 cm at 3.5 m) to the right" in said
