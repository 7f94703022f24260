import csv
import io
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest

from triage.errors import OutputError, PictureError, Stopped
from triage.export import handing_out
from triage.export.camtrap_dp import camtrap_dp, media_path
from triage.export.export_parts import ExportOutcome, ExportPart
from triage.export.handing_out import hand_out
from triage.export.night_page import night_page
from triage.export.privacy import public_place
from triage.export.tables import EVENT_COLUMNS, FRAME_COLUMNS, csv_bytes, plain
from triage.export.taken_along import Export
from triage.records.arrays import Rgb
from triage.records.decision import Verdict
from triage.records.frame import Frame
from triage.records.result import Triage

Make = Callable[..., Triage]
ALL = tuple(ExportPart)


def picture(_frame: Frame, long_edge: int) -> Rgb:
    return np.full((long_edge // 2, long_edge, 3), 120, np.uint8)


@pytest.fixture
def export(make_triage: Make) -> Export:
    triage = make_triage("/cards/secret place")
    keys = [frame.key for frame in triage.frames]
    return Export(
        triage=triage,
        digest="ab" * 16,
        made=datetime(2026, 10, 4, 9, 0, tzinfo=UTC),
        verdicts=dict.fromkeys(keys[:3], Verdict.KEEP),
        tags={keys[1]: ("fox",), keys[2]: ("walker",)},
        place=public_place(51.2345, 7.3456, 0.1),
        zone=timezone(timedelta(hours=2)),
    )


def outcome_of(steps: Iterator[object]) -> ExportOutcome:
    *_progress, outcome = steps
    assert isinstance(outcome, ExportOutcome)
    return outcome


def names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_all_parts_are_there_and_people_are_not(export: Export, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "out"
    outcome = outcome_of(hand_out(export, folder, ALL, picture))
    assert names(folder) == {
        "package/datapackage.json", "package/deployments.csv", "package/media.csv", "package/observations.csv",
        "package/media/00002_NGT_0002.jpg", "frames.csv", "events.csv", "night.html",
    }  # fmt: skip
    assert (outcome.pictures, outcome.held, outcome.failed) == (1, 2, ())
    assert names(tmp_path) == {f"new/out/{name}" for name in names(folder)}  # nothing is left beside it


def test_neither_the_place_nor_the_cards_folder_nor_a_header_is_in_any_file(
    export: Export, tmp_path: Path
) -> None:
    outcome_of(hand_out(export, tmp_path / "out", ALL, picture))
    for name in names(tmp_path / "out"):
        data = (tmp_path / "out" / name).read_bytes()
        assert b"secret" not in data, name
        assert b"51.23" not in data, name
        assert b"7.34" not in data, name
        if name.endswith(".jpg"):
            assert b"Exif" not in data
            assert b"<x:xmpmeta" not in data


def test_public_is_only_what_is_in_the_package(export: Export, tmp_path: Path) -> None:
    outcome_of(hand_out(export, tmp_path / "out", ALL, picture))
    package = tmp_path / "out" / "package"
    with (package / "media.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    there = {row["filePath"] for row in rows if (package / row["filePath"]).exists()}
    assert (
        {row["filePath"] for row in rows if row["filePublic"] == "true"}
        == there
        == {"media/00002_NGT_0002.jpg"}
    )
    assert len(rows) == len(export.triage.frames)


def test_people_and_no_pictures_are_as_asked_for(export: Export, tmp_path: Path) -> None:
    asked = outcome_of(hand_out(replace(export, with_people=True), tmp_path / "all", ALL, picture))
    assert (asked.pictures, asked.held) == (3, 0)
    none = outcome_of(hand_out(replace(export, with_pictures=False), tmp_path / "none", ALL, picture))
    assert (none.pictures, none.held) == (0, 3)
    assert not [name for name in names(tmp_path / "none") if name.endswith(".jpg")]
    assert b"data:image" not in (tmp_path / "none" / "night.html").read_bytes()


def test_a_picture_that_cannot_be_read_is_said_and_not_public(export: Export, tmp_path: Path) -> None:
    def broken(frame: Frame, long_edge: int) -> Rgb:
        msg = "it ends too early"
        raise PictureError(msg)

    outcome = outcome_of(hand_out(export, tmp_path / "out", ALL, broken))
    assert [one.path for one in outcome.failed] == [export.triage.frames[1].path]
    assert outcome.pictures == 0
    assert b",true,00002" not in (tmp_path / "out" / "package" / "media.csv").read_bytes()


def test_parts_left_out_are_not_there(export: Export, tmp_path: Path) -> None:
    outcome_of(hand_out(export, tmp_path / "out", (ExportPart.TABLES,), picture))
    assert names(tmp_path / "out") == {"frames.csv", "events.csv"}


@pytest.mark.parametrize("what", ["file", "folder"])
def test_a_folder_that_holds_something_is_left_alone(what: str, export: Export, tmp_path: Path) -> None:
    target = tmp_path / "out"
    if what == "file":
        target.write_bytes(b"mine")
    else:
        target.mkdir()
        (target / "mine.txt").write_bytes(b"mine")
    before = names(tmp_path)
    with pytest.raises(OutputError, match="not an empty folder"):
        outcome_of(hand_out(export, target, ALL, picture))
    assert names(tmp_path) == before


def test_an_empty_folder_is_taken(export: Export, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    outcome_of(hand_out(export, tmp_path / "out", ALL, picture))
    assert "night.html" in names(tmp_path / "out")


def test_stopped_half_way_nothing_is_left(export: Export, tmp_path: Path) -> None:
    with pytest.raises(Stopped):
        outcome_of(hand_out(export, tmp_path / "deep" / "out", ALL, picture, stop=lambda: True))
    assert list(tmp_path.iterdir()) == []


def test_interrupted_half_way_nothing_is_left(export: Export, tmp_path: Path) -> None:
    steps = hand_out(export, tmp_path / "out", ALL, picture)
    next(steps)
    assert list(tmp_path.iterdir()) != []
    steps.close()  # as a second Ctrl-C does
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_leaves_nothing(export: Export, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: Path, data: bytes) -> None:
        path.write_bytes(data[:10])
        if path.name == "frames.csv":
            msg = "The export could not be written: the disk is full."
            raise OutputError(msg)

    monkeypatch.setattr(handing_out, "write_file", full)
    with pytest.raises(OutputError, match="full"):
        outcome_of(hand_out(export, tmp_path / "out", ALL, picture))
    assert list(tmp_path.iterdir()) == []


def test_on_a_really_full_disk_it_is_said_and_nothing_is_left(export: Export, small_disk: Path) -> None:
    (small_disk / "filler").write_bytes(bytes(2_090_000))
    with pytest.raises(OutputError, match="full"):
        outcome_of(hand_out(export, small_disk / "out", ALL, picture))
    assert [path.name for path in small_disk.iterdir()] == ["filler"]


def test_the_package_needs_a_place(export: Export) -> None:
    with pytest.raises(ValueError, match="place"):
        camtrap_dp(replace(export, place=None))


@pytest.mark.parametrize(
    "name", ["../../etc.JPG", "E:\\DCIM\\X.JPG", "~.JPG", "..JPG", "bad\udcff.JPG", "a b.JPG", ".JPG"]
)
def test_no_name_on_a_card_leads_out_of_the_package(name: str, make_triage: Make) -> None:
    frame = make_triage().frames[0]
    odd = replace(frame, files=(replace(frame.files[0], path=f"DCIM/{name}"),))
    assert re.fullmatch(r"media/00001_[A-Za-z0-9_-]+\.jpg", media_path(odd))


def test_tables_are_read_back_as_they_were(export: Export, tmp_path: Path) -> None:
    outcome_of(hand_out(export, tmp_path / "out", (ExportPart.TABLES,), picture))
    with (tmp_path / "out" / "frames.csv").open(encoding="utf-8", newline="") as file:
        frames = list(csv.DictReader(file))
    with (tmp_path / "out" / "events.csv").open(encoding="utf-8", newline="") as file:
        events = list(csv.DictReader(file))
    assert tuple(frames[0]) == FRAME_COLUMNS
    assert tuple(events[0]) == EVENT_COLUMNS
    assert (
        frames[2] | {"x0": "0.0", "cut_by": "left; bottom", "decision": "keep", "tags": "walker"} == frames[2]
    )
    assert frames[2]["flash-right"] == ""  # cannot be told
    assert [event["kept"] for event in events] == ["1", "2", "0", "0"]


def test_odd_words_come_back_and_none_is_a_formula() -> None:
    words = ['comma, "quote"', "two\nlines", "=1+1", "-5", "狐"]
    read = list(
        csv.reader(io.StringIO(csv_bytes(("a",), [[plain(word)] for word in words]).decode(), newline=""))
    )
    assert [row[0] for row in read[1:]] == ['comma, "quote"', "two\\nlines", "'=1+1", "'-5", "狐"]


def test_an_offset_that_nobody_told_is_said_to_be_a_guess(export: Export) -> None:
    assert b"Nobody told the offset" not in camtrap_dp(export)["deployments.csv"]
    assert b"Nobody told the offset" in camtrap_dp(replace(export, is_zone_told=False))["deployments.csv"]


def test_a_clock_that_was_reset_gives_a_page_with_few_hours_on_it(export: Export) -> None:
    night = replace(export.triage.night, start=datetime(2000, 1, 1), end=datetime(2026, 10, 4, 6))
    page = night_page(replace(export, triage=replace(export.triage, night=night)), []).decode()
    assert 5 <= page.count('class="hour"') <= 20
    assert " 2013</text>" in page


def test_the_description_says_what_is_withheld(export: Export) -> None:
    told = json.loads(camtrap_dp(export)["datapackage.json"])
    assert told["coordinatePrecision"] == 0.1
    assert told["spatial"] == {"type": "Point", "coordinates": [7.3, 51.2]}
    assert "withheld" in told["description"]
    exact = replace(export, place=public_place(51.2345, 7.3456, None), site="Old Oak")
    assert b"Old Oak,51.234500,7.345600,," in camtrap_dp(exact)["deployments.csv"]
    assert b"Old Oak" not in camtrap_dp(export)["deployments.csv"]
