"""Light obeys the handbooks."""

import itertools
from datetime import datetime

import numpy as np
import pytest

from sample_cards.arrays import vector
from sample_cards.camera import Camera, develop
from sample_cards.light import Flash, Place, heights, skylight_lux

FLASH = Flash((0.0, 2.0, 0.0), (0.0, 2.0, 10.0), 10.0)
GREENWICH = Place(51.4779, 0.0, 0.0)


def ev(brighter: float, darker: float) -> float:
    return float(np.log2(brighter / darker))


@pytest.mark.parametrize(("near", "far", "stops"), [(2.0, 4.0, 2.0), (3.0, 4.0, 0.83), (3.0, 3.5, 0.44)])
def test_flash_light_falls_with_the_square_of_the_distance(near: float, far: float, stops: float) -> None:
    # Guide number = distance x f-number (makers' flash manuals): 2 to 4 m costs 2 EV, 3 to 4 m 0.83, 3 to 3.5 m 0.44.
    points = np.array([[0, 2, near], [0, 2, far]], dtype=np.float32)
    light = FLASH.on(points, np.broadcast_to(vector(0, 0, -1), (2, 3)))
    assert ev(light[0], light[1]) == pytest.approx(stops, abs=0.01)


@pytest.mark.source("law", "Lambert's cosine law")
def test_flash_light_falls_with_the_cosine_on_a_surface_without_wrap() -> None:
    # Lambert's cosine law.
    point = np.array([[0, 2, 3]], dtype=np.float32)
    tilted = np.array([[np.sin(np.radians(60)), 0, -np.cos(np.radians(60))]], dtype=np.float32)
    square = FLASH.on(point, np.array([[0, 0, -1]], dtype=np.float32), wrap=0.0)
    assert FLASH.on(point, tilted, wrap=0.0)[0] / square[0] == pytest.approx(0.5, abs=1e-3)


def test_beam_has_fallen_to_a_half_at_its_stated_angle() -> None:
    angle = np.radians(FLASH.spread_deg)
    points = np.array([[0, 2, 3], [3 * np.sin(angle), 2, 3 * np.cos(angle)]], dtype=np.float32)
    arriving, _ = FLASH.at(points)
    assert arriving[1] / arriving[0] == pytest.approx(0.5, abs=1e-3)


@pytest.mark.source("table", "US Naval Observatory settings, sunset at 51.48 N on 20 March 2024")
def test_sun_stands_at_the_horizon_at_the_published_sunset() -> None:
    # Greenwich, 20 March 2024, sunset 18:13:49 UTC (US Naval Observatory settings: centre of the sun at -0.83 degrees).
    sun, _, _ = heights(GREENWICH, datetime(2024, 3, 20, 18, 13, 49))
    assert sun == pytest.approx(-0.83, abs=0.05)


def test_light_falls_with_the_sun_all_through_twilight() -> None:
    lux = [skylight_lux(height, -10.0, 0.5) for height in range(20, -19, -1)]
    assert all(before > after for before, after in itertools.pairwise(lux))


def test_cloud_takes_light_away() -> None:
    assert skylight_lux(5.0, -10.0, 0.0, cloud=1.0) < 0.5 * skylight_lux(5.0, -10.0, 0.0)


def test_middle_grey_is_coded_near_118() -> None:
    # sRGB (IEC 61966-2-1): 18 % reflectance is code 118; the camera's own tone may move it by a few levels.
    assert int(develop(np.full((1, 1, 3), 0.18, np.float32))[0, 0, 0]) == pytest.approx(118, abs=6)


def test_brighter_light_is_never_coded_darker() -> None:
    codes = develop(np.linspace(0, 1.5, 4000, dtype=np.float32)[None, :, None].repeat(3, axis=2))[
        0, :, 0
    ].astype(int)
    assert (np.diff(codes) >= 0).all()
    assert codes[0] == 0
    assert codes[-1] >= 250


@pytest.mark.source("standard", "ISO 2720 (from memory)")
def test_full_scale_follows_the_incident_meter() -> None:
    # Exposure value at ISO 100 from aperture and time; an incident meter with C = 250 reads 2.5 x 2^EV lux (ISO 2720).
    camera = Camera(f_number=8.0, exposure_s=1 / 125, iso=100.0)
    ev100 = np.log2(8.0**2 * 125)
    assert camera.full_scale_lux == pytest.approx(2.5 * 2**ev100, rel=1e-6)


def test_point_in_focus_has_no_blur_disc_and_near_points_have_large_ones() -> None:
    camera = Camera()
    assert camera.blur_mm(camera.focus_m) == pytest.approx(0.0, abs=1e-9)
    assert camera.blur_mm(0.3) > camera.blur_mm(1.0) > camera.blur_mm(3.0) > 0
