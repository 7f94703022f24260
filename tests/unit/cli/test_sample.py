"""The sample card in a folder of its own."""

import json
from datetime import datetime
from pathlib import Path

import pytest

from triage.cli import sample
from triage.cli.sample import lay_out, told_of_itself
from triage.errors import OutputError
from triage.export.words import shown
from triage.records.night import Window

TRUTH = {
    "site": {"name": "ford", "lat": 51.5, "lon": -7.25, "utc_offset_h": -3.5},
    "setup_windows": [["2026-10-03T17:25:00", "2026-10-03T18:10:00"]],
    "frames": [],
}


@pytest.fixture(autouse=True)
def small_bundle(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Stand a small card in for the one that comes with the program."""
    card = tmp_path / "bundle" / "card"
    (card / "DCIM" / "100TESTS").mkdir(parents=True)
    for number in (1, 2):
        (card / "DCIM" / "100TESTS" / f"TEST{number:04d}.JPG").write_bytes(b"picture" * number)
    truth = tmp_path / "bundle" / "truth.json"
    truth.write_text(json.dumps(TRUTH), "utf-8")
    monkeypatch.setattr(sample, "bundled", lambda: card)
    monkeypatch.setattr(sample, "bundled_truth", lambda: truth)
    return card


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_whole_card_is_laid_out(tmp_path: Path, small_bundle: Path) -> None:
    card = lay_out(tmp_path / "demo")
    assert card == tmp_path / "demo" / "card"
    assert contents(small_bundle).items() <= contents(card).items()


def test_an_earlier_demo_is_used_again_with_what_it_left(tmp_path: Path) -> None:
    lay_out(tmp_path / "demo")
    (tmp_path / "demo" / "report.json").write_text("{}")
    (tmp_path / "demo" / "window.png").write_bytes(b"x")
    before = contents(tmp_path / "demo")
    lay_out(tmp_path / "demo")
    assert contents(tmp_path / "demo") == before


def test_a_demo_stopped_half_way_is_completed(tmp_path: Path, small_bundle: Path) -> None:
    card = lay_out(tmp_path / "demo")
    (card / "DCIM" / "100TESTS" / "TEST0002.JPG").unlink()
    lay_out(tmp_path / "demo")
    assert contents(small_bundle).items() <= contents(card).items()


def test_an_empty_folder_will_do(tmp_path: Path) -> None:
    (tmp_path / "demo").mkdir()
    assert lay_out(tmp_path / "demo").is_dir()


@pytest.mark.parametrize("name", ["holiday.jpg", "card/DCIM/100TESTS/TEST0009.JPG", "card/note.txt"])
def test_a_folder_with_anything_else_is_refused_and_left_alone(name: str, tmp_path: Path) -> None:
    foreign = tmp_path / "demo" / name
    foreign.parent.mkdir(parents=True)
    foreign.write_bytes(b"mine")
    with pytest.raises(OutputError, match="holds something else"):
        lay_out(tmp_path / "demo")
    assert contents(tmp_path / "demo") == {name: b"mine"}


def test_a_changed_picture_is_refused_and_left_alone(tmp_path: Path) -> None:
    card = lay_out(tmp_path / "demo")
    changed = card / "DCIM" / "100TESTS" / "TEST0001.JPG"
    changed.write_bytes(b"changed")
    with pytest.raises(OutputError, match=r"TEST0001\.JPG"):
        lay_out(tmp_path / "demo")
    assert changed.read_bytes() == b"changed"


def test_a_file_of_that_name_is_refused(tmp_path: Path) -> None:
    (tmp_path / "demo").write_bytes(b"mine")
    with pytest.raises(OutputError, match="not a folder") as refused:
        lay_out(tmp_path / "demo")
    assert shown(tmp_path / "demo") in str(refused.value)
    assert (tmp_path / "demo").read_bytes() == b"mine"


def test_what_a_user_would_know_is_told_and_nothing_more() -> None:
    options = told_of_itself()
    assert (options.lat, options.lon, options.tz, options.site) == (51.5, -7.25, "-03:30", "ford")
    assert options.setup == (Window(datetime(2026, 10, 3, 17, 25), datetime(2026, 10, 3, 18, 10)),)
    assert options.flashes is None
