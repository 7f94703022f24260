"""Real pictures that were not made for this project, as described in the README beside them."""

import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.e2e.contract import check_report

pytestmark = [pytest.mark.e2e, pytest.mark.slow]
Run = Callable[..., "subprocess.CompletedProcess[bytes]"]


def numbered(report: dict[str, Any]) -> dict[int, set[str]]:
    """The findings of each frame by the number in its file name."""
    return {
        int(re.findall(r"(\d{4})\.", frame["path"])[-1]): {finding["kind"] for finding in frame["findings"]}
        for frame in report["frames"]
    }


@pytest.mark.source("data", "tree.avi of OpenCV's sample footage (Apache-2.0)")
def test_a_tree_in_the_wind_is_empty_until_the_hand_comes(
    triage: Run, real_card: Callable[[str], Path]
) -> None:
    # By eye, as the pictures' own README says: 1 to 53 are empty, from 54 to 68 a hand reaches in.
    done = triage("report", real_card("windy-tree"), "--no-store", "--json", "-")
    assert done.returncode == 0, done.stderr
    report = json.loads(done.stdout)
    check_report(report)
    found = numbered(report)
    assert sorted(found) == list(range(1, 69))
    assert [number for number in range(54, 69) if "empty" in found[number]] == []
    assert sum("empty" in found[number] for number in range(1, 54)) >= 45
    again = triage("report", real_card("windy-tree"), "--no-store", "--json", "-")
    assert again.stdout == done.stdout


@pytest.mark.source("data", "vtest.avi of OpenCV's sample footage (Apache-2.0)")
def test_a_yard_full_of_people_is_never_empty(triage: Run, real_card: Callable[[str], Path]) -> None:
    # By eye, as the pictures' own README says: several people in every frame.
    done = triage("report", real_card("walkers"), "--no-store", "--json", "-")
    assert done.returncode == 0, done.stderr
    report = json.loads(done.stdout)
    check_report(report)
    found = numbered(report)
    assert len(found) == 100
    assert [number for number, kinds in found.items() if "empty" in kinds] == []


def test_camera_files_of_many_makers_end_in_a_report(triage: Run, real_card: Callable[[str], Path]) -> None:
    done = triage("report", real_card("exif"), "--no-store", "--json", "-")
    assert done.returncode in {0, 1}, done.stderr
    check_report(json.loads(done.stdout))
