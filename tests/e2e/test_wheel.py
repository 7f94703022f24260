"""The program as people install it: from its wheel, in an environment of its own."""

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from tests.e2e.contract import check_report

pytestmark = [pytest.mark.e2e, pytest.mark.slow]
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project's wheel, built without fetching anything."""
    pytest.importorskip("hatchling")
    folder = tmp_path_factory.mktemp("wheel")
    words = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-build-isolation", "-w", folder, ROOT]
    done = subprocess.run(words, check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = folder.glob("card_triage-*.whl")
    return built


def test_the_wheel_holds_the_program_and_the_sample_card_and_no_tests(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert "triage/cli/entry.py" in names
    assert any(name.startswith("sample_cards/") and name.upper().endswith(".JPG") for name in names)
    assert not [name for name in names if name.startswith(("tests/", ".ci/"))]
    assert wheel.stat().st_size < 16e6


def test_the_demo_works_from_an_installed_wheel_in_an_empty_folder(wheel: Path, tmp_path: Path) -> None:
    # What the program needs is taken from here instead of being fetched again; the program itself is not: the
    # new environment comes first on the path, and the tests' own is added behind it.
    home = tmp_path / "environment"
    venv.create(home, with_pip=False)
    python = home / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    ask = [python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"]
    packages = Path(subprocess.run(ask, check=True, capture_output=True, text=True).stdout.strip())
    install = [sys.executable, "-m", "pip", "install", "--no-deps", "--target", packages, wheel]
    subprocess.run(install, check=True, capture_output=True)
    here = [entry for entry in sys.path if entry.endswith(("site-packages", "dist-packages"))]
    (packages / "behind.pth").write_text("\n".join(here))
    place = tmp_path / "empty"
    place.mkdir()
    environment = {
        **{name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "DISPLAY"}},
        "QT_QPA_PLATFORM": "offscreen",
        "TRIAGE_LIBRARY": str(tmp_path / "library.sqlite"),
    }
    where = [python, "-c", "import triage, sample_cards; print(triage.__file__, sample_cards.__file__)"]
    found = subprocess.run(
        where, check=True, cwd=place, env=environment, capture_output=True, text=True
    ).stdout
    assert found.count(str(packages)) == 2
    done = subprocess.run(
        [python, "-m", "triage", "demo"], check=False, cwd=place, env=environment, capture_output=True
    )
    assert done.returncode == 0, done.stderr.decode()
    assert b"no display" in done.stderr
    report = json.loads((place / "triage-demo" / "report.json").read_bytes())
    check_report(report)
    assert str(len(report["frames"])).encode() in done.stdout
    assert (place / "triage-demo" / "window.png").read_bytes().startswith(b"\x89PNG")
