"""Telling flashes apart that lean to no side: shares of random places, random powers, known truth."""

import numpy as np
import pytest

from triage.measure.blocks import GRID
from triage.measure.healthy import healthy_light, shows_scene
from triage.measure.unmixing import explain, part_light, ratios

PLACES = GRID[0] * GRID[1]


def scene(seed, lamps=2):
    """Return the healthy light of a textured scene, and the share of each lamp, which leans to no side."""
    rng = np.random.default_rng(seed)
    healthy = 0.1 * np.exp(0.5 * rng.standard_normal(PLACES))
    rows = np.arange(PLACES) // GRID[1] / GRID[0]
    shares = np.stack(
        [np.exp(0.25 * rng.standard_normal(PLACES) + which * 2.0 * rows) for which in range(lamps)]
    )
    return healthy.astype(np.float32), (shares / shares.sum(axis=0)).T.astype(np.float32)


def shoot(healthy, shares, powers, *, seed=0, noise=0.01):
    """Return frames lit with given powers, each with an animal somewhere on a twentieth of the blocks."""
    rng = np.random.default_rng(seed)
    frames = (
        healthy
        * (np.asarray(powers, float) @ shares.T)
        * (1 + noise * rng.standard_normal((len(powers), PLACES)))
    )
    for frame in frames:
        start = int(rng.integers(0, PLACES - PLACES // 20))
        frame[start : start + PLACES // 20] *= rng.uniform(0.3, 2.5)
    return frames.astype(np.float32)


def found(frames, lamps=2):
    healthy = healthy_light(frames)
    shares = part_light(frames, healthy, lamps)
    return None if shares is None else explain(shares, ratios(frames, healthy))[0]


def best_order(powers, truth):
    """Put the lamps, which have no names here, in the order that suits the truth."""
    return min((powers, powers[:, ::-1]), key=lambda each: float(np.abs(each - truth).sum()))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(
    "powers",
    [
        pytest.param([(1, 1)] * 3 + [(1, 0)] * 20, id="out after three frames"),
        pytest.param([(1, 1), (1, 0), (0, 1), (0, 0.02)] * 4, id="each fails at times"),
        pytest.param([(1, 1)] * 6 + [(1, 1 - step / 8) for step in range(9)], id="one fades"),
    ],
)
def test_lamps_that_lean_to_no_side_are_told_apart(seed, powers):
    truth = np.array(powers, float)
    apart = np.abs(best_order(found(shoot(*scene(seed), truth, seed=seed)), truth) - truth)
    assert np.median(apart) < 0.03
    assert np.mean(apart < 0.15) >= 0.85


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(
    "powers", [[(1, 1)] * 12, [(1, 1)] * 6 + [(step / 8, step / 8) for step in range(1, 9)]]
)
def test_lamps_that_never_part_are_one(seed, powers):
    assert found(shoot(*scene(seed), powers, seed=seed)) is None


@pytest.mark.parametrize("seed", range(4))
def test_three_lamps_are_told_apart_where_each_of_two_fails(seed):
    truth = np.array([(1, 1, 1)] * 5 + [(1, 1, 0)] * 5 + [(0, 1, 0)] * 5, float)
    told = found(shoot(*scene(seed, 3), truth, seed=seed), 3)
    assert np.sort(told[:5], axis=1) == pytest.approx(1.0, abs=0.1)
    assert np.sort(told[5:10], axis=1)[:, 0] == pytest.approx(0.0, abs=0.1)
    assert np.sort(told[10:], axis=1)[:, :2] == pytest.approx(0.0, abs=0.1)


def test_a_covered_view_does_not_show_the_scene():
    healthy, shares = scene(1)
    frames = shoot(healthy, shares, [(1, 1), (1, 0)])
    covered = np.full((1, PLACES), 0.2, np.float32)
    assert shows_scene(np.concatenate([frames, covered]), healthy).tolist() == [True, True, False]


def test_powers_are_never_below_nothing():
    healthy, shares = scene(2)
    frames = shoot(healthy, shares, [(1.2, 0.0), (0.0, 0.7)], noise=0.05)
    assert explain(shares, ratios(frames, healthy))[0].min() >= 0.0


def test_an_animal_that_stands_still_for_a_burst_is_no_fuller_light():
    healthy, shares = scene(3)
    frames = shoot(healthy, shares, [(1, 1)] * 20)
    trips = np.arange(20)
    trips[10:13] = 10
    frames[10:13, PLACES // 4 : PLACES // 2] = healthy[PLACES // 4 : PLACES // 2] * 3.0
    told = healthy_light(frames, trips)
    assert np.median(np.abs(told / healthy - 1.0)) < 0.05
    assert np.percentile(told / healthy, 97) < 1.2


def test_a_second_lamp_in_one_burst_only_is_a_fuller_light():
    healthy, shares = scene(4)
    trips = np.r_[np.zeros(3, int), np.arange(1, 18)]
    told = healthy_light(shoot(healthy, shares, [(1, 1)] * 3 + [(1, 0)] * 17), trips)
    assert np.median(np.abs(told / healthy - 1.0)) < 0.05


def test_only_what_may_be_a_flashs_light_is_tried():
    healthy, shares = scene(3)
    frames = shoot(healthy, shares, [(1, 1)] * 8 + [(1, 0)] * 8)
    whole = healthy_light(frames)
    assert part_light(frames, whole, 2, lambda lack: False) is None
    all_tried, some = (
        part_light(frames, whole, 2, admit) for admit in (None, lambda lack: float(lack.mean()) > 0.2)
    )
    assert all_tried is not None
    assert some == pytest.approx(all_tried)
