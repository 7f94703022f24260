"""The commands that look back and those that give away, from outside."""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.e2e
Run = Callable[..., "subprocess.CompletedProcess[bytes]"]
PLACE = ("--lat", "51.2345", "--lon", "7.3456", "--tz", "+02:00")


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def test_an_export_is_written_whole_and_the_card_is_as_it_was(
    triage: Run, small_card: Path, tmp_path: Path
) -> None:
    before = files(small_card)
    done = triage("export", small_card, tmp_path / "out", *PLACE, "--site", "Secret Mill")
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"51.2, 7.3" in done.stdout
    assert set(files(tmp_path / "out")) == {
        "package/datapackage.json", "package/deployments.csv", "package/media.csv", "package/observations.csv",
        "frames.csv", "events.csv", "night.html",
    }  # fmt: skip
    for name, data in files(tmp_path / "out").items():
        assert b"51.23" not in data, name
        assert b"Secret" not in data, name
    assert files(small_card) == before
    again = triage("export", small_card, tmp_path / "out", *PLACE)
    assert again.returncode == 4
    assert b"not an empty folder" in again.stderr


def test_without_a_place_there_is_no_package_and_that_is_said(
    triage: Run, small_card: Path, tmp_path: Path
) -> None:
    done = triage("export", small_card, tmp_path / "out")
    assert done.returncode == 0
    assert b"No data package" in done.stdout
    assert set(files(tmp_path / "out")) == {"frames.csv", "events.csv", "night.html"}
    asked = triage("export", small_card, tmp_path / "more", "--only", "package")
    assert (asked.returncode, asked.stdout) == (2, b"")
    assert not (tmp_path / "more").exists()


def test_an_export_never_goes_onto_the_card(triage: Run, small_card: Path) -> None:
    done = triage("export", small_card, small_card / "out")
    assert done.returncode == 2
    assert not (small_card / "out").exists()


@pytest.mark.parametrize(
    "words",
    [
        ("export", "a"),
        ("export", "a", "b", "--only", "films"),
        ("export", "a", "b", "--round", "0.5"),
        ("export", "a", "b", "--round", "1", "--exact-place"),
        ("sites", "--apart", "soon"),
        ("sites", "Nowhere"),
        ("report", "a", "--fresh-cells"),
    ],
)
def test_wrong_usage_is_said_and_does_nothing(words: tuple[str, ...], triage: Run, tmp_path: Path) -> None:
    done = triage(*words)
    assert (done.returncode, done.stdout) == (2, b"")
    assert b"Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_nights_go_on_record_once_and_only_where_asked(triage: Run, small_card: Path, tmp_path: Path) -> None:
    none = triage("sites")
    assert none.returncode == 0
    assert b"No night is on record yet" in none.stdout
    assert triage("report", small_card).returncode == 0
    assert json.loads(triage("sites", "--json", "-").stdout)["sites"] == []
    for said in (["--fresh-cells"], []):
        # Once said, fresh cells stay on record when the card is read again.
        assert triage("report", small_card, "--site", "Old Oak", *said).returncode == 0
    done = triage("sites", "old oak", "--json", tmp_path / "sites.json")
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode().startswith("Old Oak: 1 night, 2026-10-03\n")
    (site,) = json.loads((tmp_path / "sites.json").read_bytes())["sites"]
    assert len(site["nights"]) == 1
    assert site["nights"][0]["frames"] == 6
    assert site["nights"][0]["fresh_cells"] is True
