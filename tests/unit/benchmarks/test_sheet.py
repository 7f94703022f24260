"""The contact sheet of failures."""

from pathlib import Path

from PIL import Image

from tests.benchmarks.accuracy.sheet import ACROSS, CAPTION, MOST, SAID_COLOUR, TILE, contact_sheet
from tests.benchmarks.accuracy.tally import Failure


def failure(path: str) -> Failure:
    return Failure(
        "misplaced", "night", path, "subject 0.90", "fox", "", (0.5, 0.5, 0.9, 0.9), ((0.1, 0.1, 0.2, 0.2),)
    )


def test_the_said_box_is_drawn_where_it_was_said(tmp_path: Path) -> None:
    Image.new("RGB", (600, 400), "grey").save(tmp_path / "a.png")
    contact_sheet([(tmp_path, failure("a.png"))], tmp_path / "sheet.png")
    with Image.open(tmp_path / "sheet.png") as sheet:
        orange = tuple(bytes.fromhex(SAID_COLOUR[1:]))
        assert sheet.getpixel((TILE[0] // 2 + 1, TILE[1] * 7 // 10)) == orange
        assert sheet.getpixel((TILE[0] * 3 // 10, TILE[1] * 3 // 10)) != orange


def test_a_file_that_cannot_be_read_and_whole_nights_do_not_end_the_sheet(tmp_path: Path) -> None:
    (tmp_path / "broken.jpg").write_bytes(b"no picture")
    contact_sheet([(tmp_path, failure("broken.jpg")), (tmp_path, failure(""))], tmp_path / "sheet.png")
    with Image.open(tmp_path / "sheet.png") as sheet:
        assert sheet.size == (ACROSS * TILE[0], TILE[1] + CAPTION)


def test_many_failures_are_thinned_out(tmp_path: Path) -> None:
    contact_sheet([(tmp_path, failure("missing.jpg"))] * (MOST + 1), tmp_path / "sheet.png")
    with Image.open(tmp_path / "sheet.png") as sheet:
        assert sheet.height <= MOST // ACROSS * (TILE[1] + CAPTION)
