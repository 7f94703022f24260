"""The card is only ever read: nothing on it changes, not even the time of the last access."""

import builtins
import hashlib
import io
import os
from datetime import datetime, timedelta

import pytest

from tests import factories_files as files
from triage.errors import PictureError
from triage.ingest.card import list_card
from triage.ingest.decode import decode_measuring, decode_view, embedded_thumbnail
from triage.ingest.header import read_header
from triage.ingest.order import order_frames

NIGHT = datetime(2026, 10, 3, 22, 14, 5)
LONG_AGO_NS = 1_500_000_000 * 10**9


def digests_of(root):
    return {path: hashlib.sha256(path.read_bytes()).hexdigest() for path in root.rglob("*") if path.is_file()}


def state_of(root):
    """Return what the file system says of each entry; of files also when they were last read."""
    state = {}
    for path in [root, *root.rglob("*")]:
        info = path.lstat()
        state[path] = [info.st_mode, info.st_ino, info.st_nlink, info.st_uid, info.st_gid, info.st_size]
        state[path] += [info.st_mtime_ns, info.st_ctime_ns]
        if path.is_file() and hasattr(os, "O_NOATIME"):
            state[path].append(info.st_atime_ns)
    return state


def read_everything(root):
    card = list_card(root)
    for frame in order_frames([read_header(root, group) for group in card.groups]):
        for decode in (decode_measuring, decode_view, embedded_thumbnail):
            try:
                decode(root, frame)
            except PictureError:
                continue


@pytest.fixture
def varied_card(tmp_path):
    root = tmp_path / "card"
    files.small_card(root, [NIGHT + step * timedelta(minutes=1) for step in range(5)])
    files.put(root, "DCIM/100NIGHT/NGT_0007.JPG", files.cut(files.jpeg(files.scene(900, 1200)), 0.5))
    files.put(root, "DCIM/100NIGHT/NGT_0008.HIF", files.heif())
    files.put(root, "DCIM/100NIGHT/NGT_0009.DNG", files.raw_dng())
    files.put(root, "DCIM/100NIGHT/NGT_0009.XMP", b"<x/>")
    files.put(root, "DCIM/100NIGHT/NGT_0010.MOV", b"film")
    files.put(root, "DCIM/100NIGHT/NGT_0011.JPG", b"")
    files.put(root, "System Volume Information/x", b"litter")
    return root


def test_nothing_on_the_card_changes(varied_card):
    digests = digests_of(varied_card)
    for path in varied_card.rglob("*"):
        # An access time older than the last change is one that a system brings up to date at the next read.
        os.utime(path, ns=(LONG_AGO_NS, path.stat().st_mtime_ns))
    before = state_of(varied_card)

    read_everything(varied_card)

    assert state_of(varied_card) == before
    assert digests_of(varied_card) == digests


def test_every_opening_is_for_reading_only(varied_card, monkeypatch):
    """Whatever way a file on the card is opened, no flag to write, create or truncate is among the flags."""
    real = os.open
    opened = []

    def watched(path, flags, *rest, **more):
        if os.fspath(path).startswith(os.fspath(varied_card)):
            opened.append(path)
            assert not flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND), path
        return real(path, flags, *rest, **more)

    def refused(path, *_, **__):
        assert not str(path).startswith(os.fspath(varied_card)), f"{path} was opened by another way"
        msg = "not on the card"
        raise OSError(msg)

    monkeypatch.setattr(os, "open", watched)
    monkeypatch.setattr(builtins, "open", refused)
    monkeypatch.setattr(io, "open", refused)

    read_everything(varied_card)

    assert len(opened) >= 9


def test_a_card_locked_against_writing_is_read(varied_card):
    for path in varied_card.rglob("*"):
        path.chmod(0o555 if path.is_dir() else 0o444)
    varied_card.chmod(0o555)

    card = list_card(varied_card)

    assert len(card.groups) == 9
    assert read_header(varied_card, card.groups[0]).capture.taken == NIGHT
    for path in varied_card.rglob("*"):
        path.chmod(0o755)
    varied_card.chmod(0o755)
