"""A planned night, rendered small: files and truth agree with what was planned."""

import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from sample_cards.conditions import Conditions
from sample_cards.plan import Fault, Plan
from sample_cards.render import frames_of, write_night
from sample_cards.telling import planned

SIZE = (132, 88)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    plan = Plan(
        "test", bursts=5, visited=0.8, oddities=("two-close-together",),
        faults=(Fault("card", "missing-numbers", 0.1), Fault("flash-right", "stopped", 0.5)),
    )  # fmt: skip
    return write_night(planned(plan), tmp_path_factory.mktemp("planned") / "night", SIZE, 3)


def test_numbers_missing_are_missing_from_the_files(made: Path) -> None:
    numbers = [int(path.stem[-4:]) for path in sorted((made / "card").rglob("*.JPG"))]
    steps = np.diff(numbers)
    assert (steps >= 1).all() or -9998 in steps
    assert (steps > 1).any()


def test_frames_are_half_lit_from_the_fault_on(made: Path) -> None:
    truth = json.loads((made / "truth.json").read_text("utf-8"))
    start = next(fault["from"] for fault in truth["faults"] if fault["component"] == "flash-right")
    for frame in truth["frames"]:
        if not frame["setup"] and frame["ambient"] < 0.05:
            assert frame["half_lit"] == (frame["taken"] >= start)


def test_events_are_numbered_and_two_animals_close_together_are_two(made: Path) -> None:
    frames = json.loads((made / "truth.json").read_text("utf-8"))["frames"]
    assert all(("event" in frame) != frame["setup"] for frame in frames)
    assert len({frame["event"] for frame in frames if not frame["setup"]}) == 7


def test_tonal_difference_agrees_with_rendered_pictures() -> None:
    # The same moment with and without the visitor, noise and JPEG and all, read back by a general library.
    plan = Plan("test", bursts=1, visited=1.0, wind=0.0)
    night = planned(plan)
    shot = next(shot for shot in night.shots() if not shot.setup and shot.guests)
    still = replace(shot, wind=0.0, conditions=Conditions())
    pair = replace(night, shots=lambda: [replace(still, guests=guests) for guests in (still.guests, ())])
    with_, without = frames_of(pair, (200, 134), 5)
    pixels = [np.asarray(Image.open(io.BytesIO(one.data)).convert("L"), float) for one in (with_, without)]
    told = with_.truth["subjects"][0]
    height, width = pixels[0].shape
    x0, y0, x1, y1 = told["box"]
    box = np.s_[round(y0 * height) : round(y1 * height), round(x0 * width) : round(x1 * width)]
    change = np.abs(pixels[0] - pixels[1])[box]
    strongest = np.sort(change.ravel())[::-1][: max(1, round(told["visible_area"] * height * width))]
    assert strongest.mean() == pytest.approx(told["tonal_difference"], rel=0.25)


def test_two_cameras_cards_hold_two_serials_and_one_truth(tmp_path: Path) -> None:
    plan = Plan("test", bursts=2, visited=0.0, second_site="garden")
    folder = write_night(planned(plan), tmp_path / "mixed", (90, 60), 3)
    frames = json.loads((folder / "truth.json").read_text("utf-8"))["frames"]
    paths = sorted(path.relative_to(folder / "card").as_posix() for path in (folder / "card").rglob("*.JPG"))
    assert paths == sorted(frame["path"] for frame in frames)
    files = [io.BytesIO((folder / "card" / path).read_bytes()) for path in paths]
    serials = {Image.open(file).getexif().get_ifd(0x8769)[0xA431] for file in files}
    assert len(serials) == 2
    assert [frame["taken"] for frame in frames] == sorted(frame["taken"] for frame in frames)
