"""From which side flash light comes, on scenes of known reflectance and known lamps."""

import numpy as np
import pytest

from triage.measure.blocks import GRID
from triage.measure.lean import flash_lean

SCENE = np.random.default_rng(7).uniform(0.02, 0.6, GRID[0] * GRID[1]).astype(np.float32)
ACROSS = np.tile(np.linspace(-1.0, 1.0, GRID[1]), GRID[0])
SKY = 0.35


def lamp(place, power=0.05):
    """Light a wall two metres away, two metres across, by the inverse-square law."""
    return (power * SCENE / (1.0 + (ACROSS - place) ** 2 / 4.0) ** 1.5).astype(np.float32)


def by_day(flash, sky=1.0):
    return np.minimum(sky * SKY * SCENE + flash, 1.0).astype(np.float32)


@pytest.mark.source(
    "law", "light of a small lamp falls with the square of the distance and the cosine of the angle"
)
def test_a_lamp_to_one_side_leans_as_the_law_has_it():
    flash = lamp(-2.0)
    third = GRID[1] // 3
    by_law = np.log(flash / SCENE).reshape(GRID)
    expected = by_law[:, :third].mean() - by_law[:, -third:].mean()
    assert flash_lean(by_day(flash), flash) == pytest.approx(expected, abs=0.01)
    assert expected > 0.3


def test_a_mirror_image_leans_the_other_way_and_both_lamps_not_at_all():
    left, right = lamp(-2.0), lamp(2.0)
    assert flash_lean(by_day(left), left) == pytest.approx(-flash_lean(by_day(right), right), abs=0.02)
    both = left + right
    assert flash_lean(by_day(both), both) == pytest.approx(0.0, abs=0.02)


def test_what_the_scene_reflects_does_not_matter():
    dark_right = SCENE * np.where(ACROSS > 0, 0.3, 1.0).astype(np.float32)
    flash = (lamp(-2.0) / SCENE * dark_right).astype(np.float32)
    day = (SKY * dark_right + flash).astype(np.float32)
    assert flash_lean(day, flash) == pytest.approx(flash_lean(by_day(lamp(-2.0)), lamp(-2.0)), abs=0.02)


def test_dusk_and_night_tell_nothing():
    flash = lamp(-2.0)
    assert flash_lean(by_day(flash, sky=0.1), flash) is None
    assert flash_lean(flash, flash) is None


def test_a_picture_burnt_out_on_one_side_tells_nothing():
    flash = lamp(-2.0)
    day = by_day(flash)
    day[ACROSS > 0] = 1.0
    assert flash_lean(day, flash) is None
