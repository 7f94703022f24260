import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes import Exposure, Visitor, make_site
from triage.measure.blocks import block_means
from triage.measure.darkness import dark_by_likeness

LAW = settings(deadline=None, max_examples=20)


def means_of(*exposures):
    site = make_site()
    return np.stack([block_means(site.shoot(each)) for each in exposures])


NIGHT = [Exposure(seed=seed, gain=1.0 + 0.01 * seed) for seed in range(3)]


def apart(count, *, step_s=5 * 3600.0):
    """Return times too far apart to tell anything by themselves."""
    return np.arange(count) * step_s


def raised(*evening, dark=0.4):
    """Return the chances of evening frames beside three of the dead of night."""
    chances = np.array([1.0] * len(NIGHT) + [dark] * len(evening), np.float32)
    return dark_by_likeness(means_of(*NIGHT, *evening), chances, apart(len(chances)))[len(NIGHT) :]


@pytest.mark.parametrize(
    "frame", [Exposure(seed=9), Exposure(seed=9, sway_px=0.8, visitors=(Visitor(0.5, 0.5),))]
)
def test_a_frame_lit_as_in_the_dead_of_night_was_dark(frame):
    assert raised(frame) == pytest.approx([0.9])


@pytest.mark.parametrize(
    "frame",
    [
        Exposure(ambient=0.3, seed=9),
        Exposure(0, 0, ambient=1.0, seed=9),
        Exposure(right=0.0, seed=9),
        Exposure(0, 0, seed=9),
    ],
)
def test_a_frame_lit_otherwise_keeps_the_clocks_chance(frame):
    assert raised(frame) == pytest.approx([0.4])


def test_one_flash_alone_is_known_by_its_likes_later_in_the_night():
    frames = means_of(*NIGHT, *[Exposure(right=0.0, seed=seed) for seed in range(5, 8)])
    chances = np.array([1, 1, 1, 1, 1, 0.3], np.float32)
    assert dark_by_likeness(frames, chances, apart(6))[-1] == pytest.approx(0.9)


@LAW
@given(st.lists(st.floats(0.0, 1.0), min_size=6, max_size=6))
def test_no_chance_is_ever_lowered(chances):
    frames = means_of(*NIGHT, *NIGHT)
    before = np.array(chances, np.float32)
    assert np.all(dark_by_likeness(frames, before, apart(6)) >= before)


def test_a_single_example_proves_nothing():
    frames = means_of(NIGHT[0], Exposure(seed=9))
    assert dark_by_likeness(frames, np.array([1.0, 0.4], np.float32), apart(2))[1] == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("minutes", "chance", "found"),
    [(60, 0.5, True), (60, 0.1, False), (10, 0.5, False), (240, 0.5, False)],
)
def test_light_that_is_the_same_an_hour_later_was_no_daylight(minutes, chance, found):
    frames = means_of(*[Exposure(seed=seed) for seed in range(4)])
    seconds = np.array([0.0, 1.0, 60.0 * minutes, 60.0 * minutes + 1])
    told = dark_by_likeness(frames, np.full(4, chance, np.float32), seconds)
    assert (told >= 0.9).all() == found


def test_daylight_that_falls_is_told_from_flash():
    frames = means_of(*[Exposure(0, 0, ambient=1.0 - 0.2 * step, seed=step) for step in range(4)])
    before = np.full(4, 0.5, np.float32)
    assert np.array_equal(dark_by_likeness(frames, before, np.arange(4) * 3000.0), before)
