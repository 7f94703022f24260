"""A planned night, rendered small: files and truth agree with what was planned."""

import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from sample_cards.conditions import Conditions
from sample_cards.plan import Fault, Plan, Rig
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


def test_boxes_of_a_camera_on_its_side_are_those_of_the_upright_picture(tmp_path: Path) -> None:
    plan = Plan("test", bursts=2, visited=1.0, wind=0.0, guests=("fox",), rig=Rig(orientation=6))
    folder = write_night(planned(plan), tmp_path / "upright", (180, 120), 3)
    truth = json.loads((folder / "truth.json").read_text("utf-8"))
    assert (truth["size"], truth["orientation"]) == ([180, 120], 6)
    frame = next(frame for frame in truth["frames"] if frame["subjects"] and not frame["setup"])
    with Image.open(folder / "card" / frame["path"]) as stored:
        assert stored.size == (180, 120)
        upright = np.asarray(ImageOps.exif_transpose(stored).convert("RGB"), float)
    # A fox is the reddest thing in the wood.
    x0, y0, x1, y1 = frame["subjects"][0]["box"]
    box = np.zeros((180, 120), dtype=bool)
    box[round(y0 * 180) : round(y1 * 180), round(x0 * 120) : round(x1 * 120)] = True
    red = upright[..., 0] - upright[..., 2]
    assert box[red > 0.7 * red.max()].mean() > 0.9


def test_smaller_pictures_from_the_operators_return_on(tmp_path: Path) -> None:
    plan = Plan("test", bursts=4, visited=0.5, oddities=("smaller-pictures",))
    folder = write_night(planned(plan), tmp_path / "mixed", (180, 120), 3)
    truth = json.loads((folder / "truth.json").read_text("utf-8"))
    sizes = []
    for frame in truth["frames"]:
        with Image.open(folder / "card" / frame["path"]) as picture:
            sizes.append(picture.size)
            assert list(picture.size) == frame.get("size", truth["size"])
    assert set(sizes) == {(180, 120), (90, 60)}
    assert sizes == sorted(sizes, reverse=True)


def test_three_flashes_are_three_in_the_truth(tmp_path: Path) -> None:
    plan = Plan("test", bursts=3, visited=0.0, rig=Rig(flashes=3), faults=(Fault("flash-3", "stopped", 0.4),))
    folder = write_night(planned(plan), tmp_path / "three", (90, 60), 3)
    frames = json.loads((folder / "truth.json").read_text("utf-8"))["frames"]
    assert {tuple(frame["flashes"]) for frame in frames} == {("flash-left", "flash-right", "flash-3")}
    assert any(frame["half_lit"] for frame in frames)


def test_drops_are_a_fault_that_need_not_be_named() -> None:
    plan = Plan("test", bursts=6, faults=(Fault("lens", "wet", 0.1, None, 0.8),))
    (fault,) = planned(plan).faults
    assert (fault.component, fault.fault, fault.minor) == ("lens", "fogged", True)
