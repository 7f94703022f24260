"""Fixtures shared by all tests."""

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from tests import factories
from tests.checks.sources import SourceCount
from triage.records.result import Triage

# How long one example takes says how busy the machine is, and nothing of the law that is tested.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


def pytest_configure(config: pytest.Config) -> None:
    """Count the checks by the source of what they expect; here, since only here both processes and console see it."""
    config.pluginmanager.register(SourceCount(), "sources of checks")


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep the user's cache out of the tests, and theirs out of it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TRIAGE_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture
def make_triage() -> Callable[..., Triage]:
    """Give a builder of small answers with known content; see `tests.factories.make_small_triage`."""
    return factories.make_triage


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Give a folder that is a disk of two megabytes of its own; skip where the system does not let us make
    one."""
    mount = shutil.which("mount")
    if mount is None or not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("a small disk can only be mounted by the system's administrator")
    place = tmp_path / "small disk"
    place.mkdir()
    mounted = subprocess.run(
        [mount, "-t", "tmpfs", "-o", "size=2m", "tmpfs", place], check=False, capture_output=True, text=True
    )
    if mounted.returncode:
        pytest.skip(f"no small disk can be mounted here: {mounted.stderr.strip()}")
    yield place
    subprocess.run(["umount", "--lazy", place], check=True)
