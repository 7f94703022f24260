"""The card that comes with the package agrees with its truth."""

import json
from itertools import pairwise

import pytest
from PIL import Image

from sample_cards import bundled, bundled_truth

TRUTH = json.loads(bundled_truth().read_text(encoding="utf-8"))


def test_card_is_small_enough_to_ship() -> None:
    assert sum(path.stat().st_size for path in bundled().rglob("*") if path.is_file()) < 12_000_000


def test_every_file_is_in_the_truth_and_every_truth_has_its_file() -> None:
    found = sorted(path.relative_to(bundled()).as_posix() for path in bundled().rglob("*") if path.is_file())
    assert sorted(frame["path"] for frame in TRUTH["frames"]) == found


def test_frames_are_in_order_of_time_and_number() -> None:
    for before, after in pairwise(TRUTH["frames"]):
        assert before["taken"] < after["taken"]
        assert before["path"] < after["path"]


def test_only_the_damaged_frame_cannot_be_read_whole() -> None:
    for frame in TRUTH["frames"]:
        with Image.open(bundled() / frame["path"]) as picture:
            if frame["damaged"]:
                with pytest.raises(OSError, match="truncated"):
                    picture.load()
            else:
                picture.load()
                assert list(picture.size) == TRUTH["size"]


def test_right_flash_stops_for_good_at_the_stated_frame() -> None:
    fault = next(fault for fault in TRUTH["faults"] if fault["component"] == "flash-right")
    for frame in TRUTH["frames"]:
        if frame["taken"] >= fault["from"]:
            assert frame["flashes"]["flash-right"] == 0.0
        elif not frame["setup"] and not frame["dark"]:
            assert frame["flashes"]["flash-right"] > 0.85


def test_night_holds_what_a_first_look_should_show() -> None:
    seen = {subject["species"] for frame in TRUTH["frames"] for subject in frame["subjects"]}
    assert seen >= {"fox", "badger", "hedgehog", "roe deer", "wood mouse", "tawny owl", "person"}
    flags = {
        flag
        for frame in TRUTH["frames"]
        for flag in ("dark", "half_lit", "empty", "damaged", "setup")
        if frame[flag]
    }
    assert flags == {"dark", "half_lit", "empty", "damaged", "setup"}
    assert any(subject["cut_by"] == ["left"] for frame in TRUTH["frames"] for subject in frame["subjects"])


def test_people_are_only_there_while_setting_up() -> None:
    for frame in TRUTH["frames"]:
        people = any(subject["species"] == "person" for subject in frame["subjects"])
        assert not people or frame["setup"]


def test_boxes_lie_within_the_picture_and_hold_the_stated_area() -> None:
    for frame in TRUTH["frames"]:
        for subject in frame["subjects"]:
            x0, y0, x1, y1 = subject["box"]
            assert 0 <= x0 < x1 <= 1
            assert 0 <= y0 < y1 <= 1
            assert 0 < subject["visible_area"] <= (x1 - x0) * (y1 - y0) + 1e-3
