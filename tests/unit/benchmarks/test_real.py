"""Truth of the real cards, as their own README tells it by eye."""

from pathlib import Path

from tests.benchmarks.accuracy.real import real_nights


def lay_out(root: Path, count: int) -> None:
    folder = root / "DCIM" / "100REAL_"
    folder.mkdir(parents=True)
    for number in range(1, count + 1):
        (folder / f"REAL{number:04}.JPG").touch()


def test_the_hand_reaches_into_the_tree_from_frame_54_on(tmp_path: Path) -> None:
    lay_out(tmp_path / "windy-tree", 68)
    ((root, night),) = real_nights(tmp_path).items()
    assert root == tmp_path / "windy-tree"
    assert [frame.kinds["empty"] for frame in night.frames] == [True] * 53 + [False] * 15
    assert [frame.kinds["edge"] for frame in night.frames] == [False] * 53 + [True] * 15
    assert [len(frame.visible) for frame in night.frames] == [0] * 53 + [1] * 15
    assert night.faults is None


def test_people_are_in_every_frame_of_the_yard(tmp_path: Path) -> None:
    lay_out(tmp_path / "walkers", 3)
    ((_, night),) = real_nights(tmp_path).items()
    assert [frame.kinds["empty"] for frame in night.frames] == [False] * 3
    assert {frame.kinds["edge"] for frame in night.frames} == {None}


def test_no_real_cards_no_nights(tmp_path: Path) -> None:
    assert real_nights(tmp_path) == {}
