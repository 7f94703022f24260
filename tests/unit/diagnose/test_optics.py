"""Angles and lengths, against tables of handbooks."""

import math

import pytest

from triage.diagnose.optics import angle_of_view_deg, offset_deg, offset_m, stops, view_of
from triage.records.frame import Capture


# Source: angles of view of lenses on 36 x 24 mm as handbooks of photography print them (across, upright,
# diagonal; from memory, each also by 2 arctan(d / 2f)).
@pytest.mark.parametrize(
    ("focal_mm", "across", "upright", "diagonal"),
    [(24, 73.7, 53.1, 84.1), (35, 54.4, 37.8, 63.4), (50, 39.6, 27.0, 46.8), (85, 23.9, 16.1, 28.6)],
)
@pytest.mark.source("memory", "angles of view as handbooks print them for 36 x 24 mm")
def test_angles_of_view_are_those_of_the_tables(focal_mm, across, upright, diagonal):
    view = view_of(Capture(focal_mm=focal_mm, sensor_mm=(36.0, 24.0), width=6000, height=4000))
    assert view is not None
    assert view.width_deg == pytest.approx(across, abs=0.06)
    assert view.height_deg == pytest.approx(upright, abs=0.06)
    assert angle_of_view_deg(math.hypot(36, 24), focal_mm) == pytest.approx(diagonal, abs=0.06)


def test_the_film_equivalent_gives_the_same_view_as_the_sensor_it_stands_for():
    # A sensor of 24 x 16 mm makes 40 mm see what 60 mm see on film (both by definition of the tag).
    by_sensor = view_of(Capture(focal_mm=40.0, sensor_mm=(24.0, 16.0), width=6000, height=4000))
    by_film = view_of(Capture(focal35_mm=60.0, width=6000, height=4000))
    assert by_sensor is not None
    assert by_film is not None
    assert by_film.width_deg == pytest.approx(by_sensor.width_deg)
    assert by_film.height_deg == pytest.approx(by_sensor.height_deg)


def test_an_upright_picture_sees_more_upright_than_across():
    view = view_of(Capture(focal35_mm=50.0, width=4000, height=6000))
    assert view is not None
    assert (view.width_deg, view.height_deg) == pytest.approx((27.0, 39.6), abs=0.06)


@pytest.mark.parametrize(
    "capture",
    [
        Capture(),
        Capture(focal_mm=35.0, width=6000, height=4000),
        Capture(focal35_mm=50.0),
        Capture(focal35_mm=50.0, width=9000, height=1000),
    ],
)
def test_without_lens_or_size_there_is_no_view(capture):
    assert view_of(capture) is None


def test_the_border_lies_at_half_the_angle_of_view():
    view = view_of(Capture(focal35_mm=50.0, width=6000, height=4000))
    assert view is not None
    assert offset_deg(view.half_width, 0.5) == pytest.approx(view.width_deg / 2)
    assert offset_deg(view.half_width, -0.5) == pytest.approx(-view.width_deg / 2)


def test_what_a_lens_sees_at_a_distance_is_distance_times_sensor_over_focal_length():
    # By similar triangles: 36 mm behind 50 mm see 2.88 m at 4 m; half of it lies on each side.
    view = view_of(Capture(focal_mm=50.0, sensor_mm=(36.0, 24.0), width=6000, height=4000))
    assert view is not None
    assert offset_m(view.half_width, 0.5, 4.0) == pytest.approx(1.44)
    assert offset_m(view.half_width, 0.25, 4.0) == pytest.approx(0.72)


# Source: common flash arithmetic (two equal flashes, one fails: one stop), halving twice is two stops.
def test_stops_are_doublings():
    assert (stops(2.0), stops(0.25), stops(1.0)) == (1.0, -2.0, 0.0)
