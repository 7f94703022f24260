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


def raised(*evening, dark=0.4):
    """Return the chances of evening frames beside three of the dead of night."""
    chances = np.array([1.0] * len(NIGHT) + [dark] * len(evening), np.float32)
    return dark_by_likeness(means_of(*NIGHT, *evening), chances)[len(NIGHT) :]


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
    assert dark_by_likeness(frames, chances)[-1] == pytest.approx(0.9)


@LAW
@given(st.lists(st.floats(0.0, 1.0), min_size=6, max_size=6))
def test_no_chance_is_ever_lowered(chances):
    frames = means_of(*NIGHT, *NIGHT)
    before = np.array(chances, np.float32)
    assert np.all(dark_by_likeness(frames, before) >= before)


def test_a_single_example_proves_nothing():
    frames = means_of(NIGHT[0], Exposure(seed=9))
    assert dark_by_likeness(frames, np.array([1.0, 0.4], np.float32))[1] == pytest.approx(0.4)
