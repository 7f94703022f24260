"""Fixtures for reading cards."""

from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from tests import factories_files
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.ingest.order import order_frames
from triage.records.frame import Frame


@pytest.fixture(scope="session")
def files() -> ModuleType:
    """Give the makers of small cards and damaged files."""
    return factories_files


@pytest.fixture(scope="session")
def real_exif() -> Path:
    """Give the folder of real camera files."""
    folder = Path(__file__).parents[3].parent / "shared" / "real" / "exif"
    if not folder.is_dir():
        pytest.skip("the folder of real camera files (shared/real/exif) is not here")
    return folder


@pytest.fixture
def one_frame(tmp_path: Path) -> Callable[..., Frame]:
    """Give a function that writes one file to a card and returns its frame."""

    def make(name: str, data: bytes) -> Frame:
        factories_files.put(tmp_path, name, data)
        card = list_card(tmp_path)
        group = next(group for group in card.groups if group[0].path == name)
        return order_frames([read_header(tmp_path, group)])[0]

    return make
