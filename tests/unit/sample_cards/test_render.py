"""Nights are rendered as told, the same every time, and never over anything."""

import io
import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from sample_cards import render, render_night
from sample_cards.__main__ import main
from sample_cards.render import UnknownNightError, frames_of
from sample_cards.small_night import SMALL

SIZE = (240, 160)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return render_night("small", tmp_path_factory.mktemp("nights") / "small", size=SIZE).parent


def truth_of(folder: Path) -> dict:
    return json.loads((folder / "truth.json").read_text(encoding="utf-8"))


def test_same_seed_gives_the_same_bytes(made: Path) -> None:
    for frame in frames_of(SMALL, SIZE, SMALL.seed):
        assert (made / "card" / frame.path).read_bytes() == frame.data


def test_two_processes_give_the_same_bytes_as_two_threads(made: Path, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(render, "_LARGE", 1)
    again = render_night("small", tmp_path / "again", size=SIZE).parent
    assert {path.name: path.read_bytes() for path in (made / "card").rglob("*.JPG")} == {
        path.name: path.read_bytes() for path in (again / "card").rglob("*.JPG")
    }


def test_another_seed_gives_other_pixels(made: Path) -> None:
    frame = next(frames_of(SMALL, SIZE, SMALL.seed + 1))
    assert (made / "card" / frame.path).read_bytes() != frame.data


def test_truth_lists_exactly_the_files_of_the_card(made: Path) -> None:
    found = sorted(path.relative_to(made / "card").as_posix() for path in (made / "card").rglob("*.JPG"))
    assert sorted(frame["path"] for frame in truth_of(made)["frames"]) == found
    assert len(found) == 20


def test_numbers_roll_over_within_the_night(made: Path) -> None:
    folders = {path.name for path in (made / "card" / "DCIM").iterdir()}
    assert folders == {"100NIGHT", "101NIGHT"}


def test_boxes_hold_what_the_subject_changed(made: Path) -> None:
    frames = truth_of(made)["frames"]
    empty = next(frame for frame in frames if frame["empty"] and not frame["half_lit"])
    visit = next(frame for frame in frames if frame["subjects"] and not frame["setup"])
    pictures = [
        np.asarray(Image.open(made / "card" / frame["path"]).convert("L"), float) for frame in (empty, visit)
    ]
    change = np.abs(pictures[1] - pictures[0])
    height, width = change.shape
    x0, y0, x1, y1 = visit["subjects"][0]["box"]
    inside = np.zeros_like(change, dtype=bool)
    inside[round(y0 * height) : round(y1 * height), round(x0 * width) : round(x1 * width)] = True
    assert change[inside].mean() > 5 * change[~inside].mean()


def test_half_lit_frames_begin_where_the_fault_does(made: Path) -> None:
    truth = truth_of(made)
    first = next(frame for frame in truth["frames"] if frame["half_lit"])
    assert truth["faults"][0]["component"] == "flash-left"
    assert truth["faults"][0]["from"] == first["taken"]


def test_setup_frames_lie_in_the_setup_windows(made: Path) -> None:
    truth = truth_of(made)
    for frame in truth["frames"]:
        within = any(start <= frame["taken"] <= end for start, end in truth["setup_windows"])
        assert within == frame["setup"]


def test_existing_folder_is_never_written_into(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("keep", encoding="utf-8")
    with pytest.raises(FileExistsError):
        render_night("small", tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_command_refuses_an_existing_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["small", str(tmp_path)]) == 4
    assert "there already" in capsys.readouterr().err


def test_unknown_night_lists_the_names(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(
        UnknownNightError, match=r"farmyard-calm, .*first, .*small, .*woodland-all-flashes-fades, "
    ):
        render_night("no such", tmp_path / "new")
    assert not (tmp_path / "new").exists()
    assert main(["no such", str(tmp_path / "new")]) == 2
    assert "first, garden-calm" in capsys.readouterr().err


def test_command_refuses_a_size_that_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["small", str(tmp_path / "new"), "--size", "large"])
    assert "1200x800" in capsys.readouterr().err


def test_frames_open_whole_at_their_size(made: Path) -> None:
    for frame in truth_of(made)["frames"]:
        with Image.open(io.BytesIO((made / "card" / frame["path"]).read_bytes())) as picture:
            picture.load()
            assert picture.size == SIZE
