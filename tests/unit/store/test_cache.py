"""The cache of answers: it may be lost, damaged or full at any time, and nothing else goes wrong."""

import os
from pathlib import Path

import pytest

from triage.store.cache import PLACE_VARIABLE, default_cache, keep_answer, prune, read_answer


def test_the_place_can_be_named(monkeypatch, tmp_path):
    monkeypatch.setenv(PLACE_VARIABLE, str(tmp_path / "elsewhere"))
    assert default_cache() == tmp_path / "elsewhere"

    monkeypatch.delenv(PLACE_VARIABLE)
    assert default_cache().name == "measured"


def test_what_is_kept_is_read_again_and_replaced_whole(tmp_path):
    folder = tmp_path / "made" / "here"
    keep_answer(folder, "one", {"a": [1, 0.1, None]})
    keep_answer(folder, "one", {"b": 2})

    assert read_answer(folder, "one") == {"b": 2}
    assert [path.name for path in folder.iterdir()] == ["one.json"]


def test_nothing_kept_is_nothing_read(tmp_path):
    assert read_answer(tmp_path, "one") is None
    assert read_answer(tmp_path / "nowhere", "one") is None


@pytest.mark.parametrize("data", [b"", b"{", b'{"a": [1, ', b"\xff\xfe", b"[" * 100_000])
def test_a_damaged_answer_is_none(tmp_path, data):
    (tmp_path / "one.json").write_bytes(data)

    assert read_answer(tmp_path, "one") is None


def test_no_room_is_no_trouble(small_disk):
    keep_answer(small_disk, "one", {"a": 1})
    keep_answer(small_disk, "one", ["x" * 3_000_000])

    assert read_answer(small_disk, "one") == {"a": 1}
    assert [path.name for path in small_disk.iterdir()] == ["one.json"]


def test_a_place_that_cannot_be_made_is_no_trouble(tmp_path):
    (tmp_path / "file").write_bytes(b"")

    keep_answer(tmp_path / "file" / "folder", "one", {})

    assert (tmp_path / "file").read_bytes() == b""


def used(folder: Path, name: str, *, at: int) -> Path:
    path = folder / name
    path.write_bytes(bytes(100))
    os.utime(path, (at, at))
    return path


def test_what_was_used_longest_ago_goes_first(tmp_path):
    for place, name in enumerate(["b.json", "c.json", "a.json", "other.text"]):
        used(tmp_path, name, at=1000 + place)

    prune(tmp_path, ".json", room=200)

    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.json", "c.json", "other.text"]


def test_reading_counts_as_use(tmp_path):
    for place, name in enumerate(["old", "new"]):
        keep_answer(tmp_path, name, [name])
        os.utime(tmp_path / f"{name}.json", (1000 + place, 1000 + place))

    assert read_answer(tmp_path, "old") == ["old"]
    prune(tmp_path, ".json", room=10)

    assert [path.name for path in tmp_path.iterdir()] == ["old.json"]


def test_pruning_nothing_is_no_trouble(tmp_path):
    prune(tmp_path / "nowhere", ".json", room=0)
