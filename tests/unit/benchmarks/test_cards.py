"""Which cards are scored, and the cache of rendered nights."""

from pathlib import Path

import pytest

import sample_cards
from tests.benchmarks.accuracy import cards
from tests.benchmarks.accuracy.__main__ import main
from tests.benchmarks.accuracy.counts import Counts


def job(cache: Path, name: str = "small") -> cards.Job:
    return cards.Job(name, cards.TUNED, (120, 80), cache, "0123")


def test_a_night_is_rendered_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []

    def render(name: str, folder: Path, *, size: tuple[int, int] | None) -> Path:
        made.append(f"{name} {size}")
        (folder / "card").mkdir(parents=True)
        return folder / "card"

    monkeypatch.setattr(sample_cards, "render_night", render)
    assert (
        cards.rendered(job(tmp_path))
        == cards.rendered(job(tmp_path))
        == tmp_path / "small-120x80-0123" / "card"
    )
    assert made == ["small (120, 80)"]


def test_what_was_interrupted_is_never_taken_for_a_night(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def render(name: str, folder: Path, *, size: tuple[int, int] | None) -> Path:
        (folder / "card").mkdir(parents=True)
        raise KeyboardInterrupt

    monkeypatch.setattr(sample_cards, "render_night", render)
    with pytest.raises(KeyboardInterrupt):
        cards.rendered(job(tmp_path))
    assert list(tmp_path.iterdir()) == []


def test_another_run_may_render_the_same_night_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def render(name: str, folder: Path, *, size: tuple[int, int] | None) -> Path:
        (folder / "card").mkdir(parents=True)
        (tmp_path / "small-120x80-0123" / "card").mkdir(parents=True)
        return folder / "card"

    monkeypatch.setattr(sample_cards, "render_night", render)
    assert cards.rendered(job(tmp_path)).is_dir()
    assert [path.name for path in tmp_path.iterdir()] == ["small-120x80-0123"]


@pytest.mark.slow
def test_a_rendered_night_goes_through_the_tool_and_is_scored(tmp_path: Path) -> None:
    done = cards.do(job(tmp_path))
    assert (done.tally.nights, done.tally.frames, done.tally.lost) == (1, 20, 0)
    assert done.report["format"] == "triage-report"
    # By the night's own truth: every frame is whole, and the left flash stops.
    assert done.tally.kinds["damaged"] == Counts(passed=20)
    assert sum(rig.faults for rig in done.tally.rigs) == 1


def test_about_a_third_of_the_nights_is_held_out_and_stands_apart(tmp_path: Path) -> None:
    names = cards.night_names()
    work = cards.jobs(names, None, tmp_path, others=False)
    held = [one.name for one in work if one.group == cards.HELD_OUT]
    assert held == [name for name in names if cards.is_held_out(name)]
    assert 0.2 < len(held) / len(names) < 0.47
    assert cards.BUNDLED not in held
    assert cards.nights_that_take_long() < set(names)


def test_the_bundled_card_takes_the_place_of_its_night(tmp_path: Path) -> None:
    work = cards.jobs(("first", "small"), None, tmp_path, others=True)
    assert {one.name for one in work} >= {"first-bundled", "small"}
    assert "first" not in {one.name for one in work}
    assert [one.name for one in cards.jobs(("first",), None, tmp_path, others=False)] == ["first"]


def test_an_unknown_night_lists_those_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as leaving:
        main(["--nights", "nowhere"])
    assert leaving.value.code == 2
    told = capsys.readouterr().err
    assert "no night called nowhere" in told
    assert "small" in told
