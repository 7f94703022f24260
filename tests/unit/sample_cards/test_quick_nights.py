"""The quick nights: files and truth agree, and the tool finds what failed in them."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from sample_cards import render_night
from sample_cards.catalogue import QUICK
from triage.pipeline.run import run
from triage.pipeline.steps import Finished
from triage.records.result import Options, Triage

pytestmark = pytest.mark.slow


@dataclass(frozen=True)
class Card:
    """A quick night, rendered."""

    name: str
    root: Path
    truth: dict[str, Any]


@pytest.fixture(scope="module", params=list(QUICK))
def card(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Card:
    name = request.param
    root = render_night(name, tmp_path_factory.mktemp("quick") / name, size=QUICK[name])
    return Card(name, root, json.loads((root.parent / "truth.json").read_text("utf-8")))


@pytest.fixture(scope="module")
def answer(card: Card) -> Triage:
    (found,) = (step.triage for step in run(card.root, Options()) if isinstance(step, Finished))
    return found


def test_files_are_those_of_the_truth_and_carry_its_times(card: Card) -> None:
    paths = sorted(path.relative_to(card.root).as_posix() for path in card.root.rglob("*.JPG"))
    assert paths == sorted(frame["path"] for frame in card.truth["frames"])
    for frame in card.truth["frames"]:
        with Image.open(card.root / frame["path"]) as picture:
            tags = picture.getexif().get_ifd(0x8769)
            assert picture.size == QUICK[card.name]
        written = f"{tags[0x9003].replace(':', '-', 2).replace(' ', 'T')}.{tags[0x9291]}0"
        assert written == frame["taken"]


def test_frames_show_the_fault_from_its_first_frame_on_and_not_before(card: Card) -> None:
    frames = card.truth["frames"]
    for fault in card.truth["faults"]:
        first = next(index for index, frame in enumerate(frames) if frame["taken"] == fault["from"])
        # What a frame of the night tells of each fault; fog comes slowly.
        signs = {
            "flash-left": lambda frame: frame["flashes"]["flash-left"] < 0.1,
            "lens": lambda frame: frame["conditions"]["veil"] >= 0.2,
            "aim": lambda frame: any(frame["conditions"]["off_aim_deg"]),
            "clock": lambda frame: "true_time" in frame,
        }
        shown = [signs[fault["component"]](frame) for frame in frames if not frame["setup"]]
        before = sum(not frame["setup"] for frame in frames[:first])
        assert shown == [False] * before + [True] * (len(shown) - before)


def test_the_tool_names_what_failed_first_and_on_a_healthy_night_nothing(card: Card, answer: Triage) -> None:
    named = [(fault.part, fault.kind) for fault in answer.faults if fault.confidence >= 0.8]
    assert named == [(fault["component"], fault["fault"]) for fault in card.truth["faults"]]


def test_every_frame_is_accounted_for(card: Card, answer: Triage) -> None:
    found = {frame.files[0].path for frame in answer.frames}
    assert found == {frame["path"] for frame in card.truth["frames"]}
