"""Nights before photographs: the same photograph gives the same card, and its truth is true."""

import json
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.benchmarks.photographs import plan
from tests.benchmarks.photographs.card import made
from tests.benchmarks.photographs.stand import smooth_noise, stand

SIZE = (180, 120)


@pytest.fixture
def photograph(tmp_path: Path) -> Path:
    rng = np.random.default_rng(1)
    grey = 120 + 35 * smooth_noise(rng, (240, 360), 40) + 20 * smooth_noise(rng, (240, 360), 5)
    path = tmp_path / "place.png"
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).save(path)
    return path


def night(name: str, visits: int = 8) -> plan.Plan:
    (found,) = (one for one in plan.plans(3) if one.name == name)
    return replace(found, visits=visits)


def takes_of(name: str, visits: int = 20) -> tuple[tuple[plan.Take, ...], dict[plan.Fault, datetime]]:
    return plan.night_of(night(name, visits), np.random.default_rng(3))


@pytest.mark.source(
    "memory", "illuminance by the height of the sun: 400 lx at sunset, 3.4 lx as civil twilight ends"
)
def test_twilight_is_as_bright_as_handbooks_say() -> None:
    assert plan.sky_lux(plan.SUNSET, moon=False) == pytest.approx(400, rel=0.01)
    assert plan.sky_lux(plan.SUNSET + timedelta(minutes=6.3 * 6), moon=False) == pytest.approx(3.4, rel=0.01)


def test_a_lamp_lights_its_own_side_more(photograph: Path) -> None:
    place = stand(photograph, SIZE, ("flash-left", "flash-right"), np.random.default_rng(2))
    near = place.far_m < 6.0
    share = place.lamps["flash-left"] / (place.lamps["flash-left"] + place.lamps["flash-right"])
    assert share[:, :60][near[:, :60]].mean() > 0.5 > share[:, -60:][near[:, -60:]].mean()


def test_a_lamp_that_stopped_stays_dark() -> None:
    takes, begun = takes_of("left-stops")
    (begin,) = begun.values()
    after = [take.powers["flash-left"] for take in takes if take.taken >= begin]
    before = [take.powers["flash-left"] for take in takes if take.taken < begin]
    assert set(after) == {0.0}
    assert min(before) > 0.9


def test_the_camera_that_stops_takes_nothing_more() -> None:
    takes, begun = takes_of("camera-stops")
    assert begun == {plan.Fault("camera", "stopped-early", 0.5): takes[-1].taken}
    assert takes[-1].taken < plan.SUNRISE - timedelta(hours=3)


def test_a_card_is_made_once_and_the_same_each_time(tmp_path: Path, photograph: Path) -> None:
    cards = [made(night("calm"), photograph, SIZE, tmp_path / name) for name in ("one", "two")]
    files = [{path.name: path.read_bytes() for path in card.rglob("*.JPG")} for card in cards]
    assert files[0] == files[1]
    told = json.loads((cards[0].parent / "truth.json").read_text("utf-8"))
    assert len(told["frames"]) == len(files[0])
    assert made(night("calm"), photograph, SIZE, tmp_path / "one") == cards[0]


def test_boxes_hold_who_is_there_and_nobody_is_in_empty_frames(tmp_path: Path, photograph: Path) -> None:
    card = made(night("calm"), photograph, SIZE, tmp_path / "card")
    told = json.loads((card.parent / "truth.json").read_text("utf-8"))
    for frame in told["frames"]:
        assert frame["empty"] == (not frame["subjects"] and not frame["dark"])
        for subject in frame["subjects"]:
            x0, y0, x1, y1 = subject["box"]
            assert 0 <= x0 < x1 <= 1
            assert 0 <= y0 < y1 <= 1
            assert ("left" in subject["cut_by"]) == (x0 == 0)
    assert any(frame["subjects"] for frame in told["frames"])
    assert any(frame["empty"] for frame in told["frames"])
