"""The place as it leaves, against what is published of sensitive places."""

import math

import numpy as np
import pytest

from triage.export.privacy import (
    METRES_PER_DEG_LAT,
    METRES_PER_DEG_LON,
    STEPS_DEG,
    USUAL_STEP_DEG,
    public_place,
)

GBIF = (
    "Chapman 2020, Generalizing Sensitive Species Occurrence Data, GBIF, doi 10.15468/doc-5jp4-5g10, table 7"
)


@pytest.mark.source("table", GBIF)
@pytest.mark.parametrize(
    ("step", "lat", "lon"),
    [(0.1, "50.1", "8.7"), (0.01, "50.12", "8.65"), (0.001, "50.123", "8.654"), (1.0, "50", "9")],
)
def test_the_grids_are_those_of_the_four_categories(step, lat, lon):
    place = public_place(50.12345, 8.65432, step)
    assert (place.lat, place.lon) == (lat, lon)
    south_west = public_place(-50.12345, -8.65432, step)
    assert (south_west.lat, south_west.lon) == (f"-{lat}", f"-{lon}")
    assert set(STEPS_DEG) == {1.0, 0.1, 0.01, 0.001}


@pytest.mark.source("table", GBIF + ": category 2, high sensitivity, where it is not known which")
def test_the_usual_grid_is_that_of_high_sensitivity():
    assert USUAL_STEP_DEG == 0.1


@pytest.mark.source(
    "law", "great circles on a sphere as large as the ellipsoid's longest degree: never farther than said"
)
@pytest.mark.parametrize("step", STEPS_DEG)
def test_the_rig_is_never_farther_away_than_the_uncertainty_says(step):
    draw = np.random.default_rng(5)
    worst = 0.0
    for _ in range(2000):
        lat, lon = draw.uniform(-89, 89), draw.uniform(-179, 179)
        place = public_place(lat, lon, step)
        north = (lat - float(place.lat)) * METRES_PER_DEG_LAT
        middle = math.radians((lat + float(place.lat)) / 2)
        east = (lon - float(place.lon)) * METRES_PER_DEG_LON * math.cos(middle)
        worst = max(worst, math.hypot(north, east) / place.uncertainty_m)
    assert 0.85 < worst <= 1.0


@pytest.mark.source(
    "memory",
    "Wieczorek's table: a whole 0.1 degree at the equator is 15 690 m across both ways; rounding errs by half",
)
def test_the_uncertainty_at_the_equator_is_half_the_published_one():
    assert public_place(0.0, 0.0, 0.1).uncertainty_m == pytest.approx(15_690 / 2, rel=0.01)


@pytest.mark.source(
    "table", GBIF + ": never randomised, so that many records of one place tell no more than one"
)
def test_all_places_of_a_cell_leave_as_one():
    places = {
        public_place(51.16 + north / 1000, 7.26 + east / 1000, 0.1)
        for north in range(80)
        for east in range(80)
    }
    assert len(places) == 1
