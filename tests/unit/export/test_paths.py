import errno
import os
from pathlib import Path

import pytest

from triage.errors import OutputError
from triage.export.atomic_write import atomic_write
from triage.export.paths import is_folder, is_same, real


def test_a_failing_disk_has_no_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert is_folder(tmp_path)

    def fail(*_arguments: object, **_named: object) -> os.stat_result:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(os, "stat", fail)
    assert not is_folder(tmp_path)
    assert not is_same(tmp_path, tmp_path)


def test_a_link_is_the_same_as_what_it_leads_to(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path)
    assert real(tmp_path / "link" / "new") == real(tmp_path) / "new"
    assert is_same(tmp_path / "link", tmp_path)
    assert not is_same(tmp_path / "nowhere", tmp_path)


def test_links_in_a_circle_are_told_in_words(tmp_path: Path) -> None:
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    with pytest.raises(OutputError, match="could not be written"):
        atomic_write(tmp_path / "circle" / "report.json", b"{}")
