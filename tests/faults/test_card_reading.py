"""Damaged files, and a card pulled in the middle: every file gives a frame with a reason, nothing stops."""

import io
from datetime import datetime, timedelta

import pytest

from tests import factories_files as files
from triage.errors import PictureError
from triage.ingest.card import list_card
from triage.ingest.decode import decode_measuring
from triage.ingest.header import read_header
from triage.ingest.order import order_frames

NIGHT = datetime(2026, 10, 3, 22, 14, 5)


def ingest(root):
    """Read a whole card; return each frame with its picture, or with the reason why there is none."""
    card = list_card(root)
    result = []
    for frame in order_frames(read_header(root, group) for group in card.groups):
        try:
            result.append((frame, decode_measuring(root, frame)))
        except PictureError as error:
            result.append((frame, str(error)))
    return result


def test_a_card_with_every_kind_of_damage_is_read_to_its_end(tmp_path):
    sound = files.jpeg(files.scene(), files.exif_block(NIGHT))
    night = "DCIM/100NIGHT/NGT_"
    files.put(tmp_path, f"{night}0001.JPG", sound)
    files.put(tmp_path, f"{night}0002.JPG", b"")
    files.put(tmp_path, f"{night}0003.JPG", files.cut(sound, 0.6))
    files.put(tmp_path, f"{night}0004.JPG", b"\x07garbage" * 100)
    files.put(tmp_path, f"{night}0005.JPG", bytes(30_000))
    files.put(tmp_path, f"{night}0006.JPG", files.overwritten(sound, 0.7, files.jpeg(files.scene(seed=2))))
    files.put(tmp_path, f"{night}0007.HIF", files.cut(files.heif(), 0.5))
    files.put(tmp_path, f"{night}0008.DNG", files.cut(files.raw_dng(), 0.5))
    files.put(tmp_path, f"{night}0009.CR3", b"not raw at all, either")
    files.put(tmp_path, f"{night}0010.JPG", sound)

    result = ingest(tmp_path)

    assert [frame.name[4:8] for frame, _ in result] == [f"{number:04d}" for number in range(1, 11)]
    reasons = [outcome for _, outcome in result if isinstance(outcome, str)]
    assert [reason[:8] for reason in reasons] == [f"NGT_{number:04d}" for number in range(2, 10)]
    assert all(reason.endswith(".") for reason in reasons)


def test_a_card_pulled_between_listing_and_reading(tmp_path):
    paths = files.small_card(tmp_path, [NIGHT + step * timedelta(minutes=1) for step in range(4)])
    card = list_card(tmp_path)
    for path in paths[2:]:
        (tmp_path / path).unlink()

    frames = order_frames(read_header(tmp_path, group) for group in card.groups)

    assert [frame.path for frame in frames] == paths
    assert [frame.problem for frame in frames[:2]] == [None, None]
    assert all(frame.problem and "it is not there any more" in frame.problem for frame in frames[2:])


def test_a_card_that_fails_while_a_file_is_read(tmp_path, monkeypatch):
    """The reader loses contact: the operating system reports an input error in the middle of a file."""
    files.put(tmp_path, "a.jpg", files.jpeg(files.scene(1200, 1800)))
    frame = order_frames([read_header(tmp_path, list_card(tmp_path).groups[0])])[0]
    real = io.FileIO.read

    class Failing(io.FileIO):
        def read(self, count=-1):
            if count < 0 or self.tell() + count > 65536:
                raise OSError(5, "Input/output error")
            return real(self, count)

    monkeypatch.setattr(io, "FileIO", Failing)

    assert read_header(tmp_path, frame.files).problem is None
    with pytest.raises(PictureError, match=r"a\.jpg cannot be read: the card cannot be read at this place\."):
        decode_measuring(tmp_path, frame)


def test_a_file_that_gives_its_bytes_piece_by_piece_is_read_whole(tmp_path, monkeypatch):
    files.put(tmp_path, "a.jpg", files.jpeg(files.scene(1200, 1800)))
    frame = order_frames([read_header(tmp_path, list_card(tmp_path).groups[0])])[0]
    whole = decode_measuring(tmp_path, frame)
    real = io.FileIO.read

    class Slow(io.FileIO):
        def read(self, count=-1):
            return real(self, min(count, 777) if count >= 0 else 777)

    monkeypatch.setattr(io, "FileIO", Slow)

    assert (decode_measuring(tmp_path, frame) == whole).all()
    assert read_header(tmp_path, frame.files).key == frame.key


@pytest.mark.parametrize(
    "text", ["0000:00:00 00:00:00", "1970:01:01 00:00:00", "9999:99:99 99:99:99", "    :  :     :  :  "]
)
def test_a_wrong_date_leaves_the_file_its_place(tmp_path, text):
    modified = NIGHT + timedelta(seconds=20)
    for number, taken in ((1, NIGHT), (2, text), (3, NIGHT + timedelta(minutes=1))):
        files.put(
            tmp_path,
            f"DCIM/100NIGHT/NGT_{number:04d}.JPG",
            files.jpeg(files.scene(60, 90), files.exif_block(taken)),
            modified=modified,
        )

    frames = [frame for frame, _ in ingest(tmp_path)]

    assert [frame.capture.file_number for frame in frames] == [1, 2, 3]
    assert [frame.time for frame in frames] == [NIGHT, modified, NIGHT + timedelta(minutes=1)]
    assert [frame.time_is_camera for frame in frames] == [True, False, True]
