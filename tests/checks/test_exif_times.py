"""Times and their fractions and offsets, against the standard and two independent readers of the same files."""

from datetime import datetime, timedelta, timezone

import pytest

from tests import factories_files as files
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.ingest.order import order_frames

ORIGINAL = "2024:05:01 02:13:45"

# What ExifTool 12.57 composes of DateTimeOriginal, SubSecTimeOriginal and OffsetTimeOriginal, and the seconds meant.
COMPOSED = {
    ("5", "+02:00"): ("2024:05:01 02:13:45.5+02:00", 45.5),
    ("05", "+02:00"): ("2024:05:01 02:13:45.05+02:00", 45.05),
    ("12", "+02:00"): ("2024:05:01 02:13:45.12+02:00", 45.12),
    ("050", "+02:00"): ("2024:05:01 02:13:45.050+02:00", 45.05),
    ("500", "+02:00"): ("2024:05:01 02:13:45.500+02:00", 45.5),
    ("999999", "-03:30"): ("2024:05:01 02:13:45.999999-03:30", 45.999999),
    ("00", "+14:00"): ("2024:05:01 02:13:45.00+14:00", 45.0),
}


def put(root, number, block):
    return files.put(
        root, f"DCIM/100NIGHT/NGT_{number:04d}.JPG", files.jpeg(files.scene(16, 24, seed=number), block)
    )


def captures(root):
    return [read_header(root, group).capture for group in list_card(root).groups]


@pytest.fixture
def card(tmp_path):
    for number, (subsec, offset) in enumerate(COMPOSED, start=1):
        put(tmp_path, number, files.exif_block(ORIGINAL, subsec=subsec, exif={0x9011: offset}))
    return tmp_path


def paths(card):
    return sorted((card / "DCIM" / "100NIGHT").iterdir())


@pytest.mark.source(
    "standard", "CIPA DC-008 (Exif 2.32), SubSecTimeOriginal 0x9291: digits of a decimal fraction"
)
@pytest.mark.source(
    "standard", "CIPA DC-008 (Exif 2.31 and later), OffsetTimeOriginal 0x9011: +HH:MM or -HH:MM"
)
def test_subseconds_are_a_fraction_and_offsets_are_east(card):
    for capture, ((_, offset), (_, seconds)) in zip(captures(card), COMPOSED.items(), strict=True):
        assert capture.taken.second + capture.taken.microsecond / 1e6 == pytest.approx(seconds, abs=1e-7)
        hours, minutes = int(offset[1:3]), int(offset[4:])
        assert capture.offset_min == (60 * hours + minutes) * (-1 if offset[0] == "-" else 1)


@pytest.mark.source("tool", "ExifTool 12.57, Composite:SubSecDateTimeOriginal")
def test_exiftool_composes_the_same_moments(card, exiftool):
    told = [one["SubSecDateTimeOriginal"] for one in exiftool(["-SubSecDateTimeOriginal"], paths(card))]
    assert told == [composed for composed, _ in COMPOSED.values()]
    for capture, composed in zip(captures(card), told, strict=True):
        zone = timezone(timedelta(minutes=capture.offset_min))
        theirs = datetime.fromisoformat(composed.replace(":", "-", 2).replace(" ", "T"))
        assert capture.taken.replace(tzinfo=zone) == theirs


@pytest.mark.source("tool", "exiv2 0.27.6, Exif.Photo.SubSecTimeOriginal and OffsetTimeOriginal")
def test_exiv2_reads_the_same_digits(card, exiv2):
    told = exiv2("Ekv", paths(card))
    for path, (subsec, offset) in zip(paths(card), COMPOSED, strict=True):
        assert told[path.name]["Exif.Photo.DateTimeOriginal"] == ORIGINAL
        assert told[path.name]["Exif.Photo.SubSecTimeOriginal"] == subsec
        assert told[path.name]["Exif.Photo.OffsetTimeOriginal"] == offset


@pytest.mark.source(
    "standard", "CIPA DC-008 (Exif 2.32): a fraction of any length orders frames of one second"
)
def test_a_burst_within_one_second_is_ordered_by_fractions_of_unlike_length(tmp_path):
    # .05 s, .125 s, .5 s and .75 s: as whole numbers 5, 125, 5 and 75 they would come in another order. The names
    # carry no number, so that nothing but the clock orders them.
    for name, subsec in (("d", "05"), ("a", "125"), ("c", "5"), ("b", "75")):
        data = files.jpeg(block=files.exif_block(ORIGINAL, subsec=subsec))
        files.put(tmp_path, f"copied/{name}.jpg", data)
    frames = order_frames(read_header(tmp_path, group) for group in list_card(tmp_path).groups)
    assert [frame.name for frame in frames] == ["d.jpg", "a.jpg", "c.jpg", "b.jpg"]


@pytest.mark.source("memory", "Exif 2.3: an unknown time has its digits blank and its colons kept")
@pytest.mark.parametrize("blank", ["    :  :     :  :  ", "0000:00:00 00:00:00"])
def test_an_unknown_time_is_none_and_the_file_still_gets_a_place(tmp_path, blank):
    moment = datetime(2026, 10, 3, 22, 0)
    block = files.exif_block(blank)
    files.put(tmp_path, "DCIM/100NIGHT/NGT_0001.JPG", files.jpeg(block=block), modified=moment)
    (group,) = list_card(tmp_path).groups
    (frame,) = order_frames([read_header(tmp_path, group)])
    assert frame.capture.taken is None
    assert not frame.time_is_camera
    assert frame.time == moment


@pytest.mark.source(
    "table", "win32 documentation, File times: FAT keeps the time of writing to 2 seconds, local time"
)
def test_frames_with_equal_file_times_of_a_fat_card_are_ordered_by_their_cameras_clock(tmp_path):
    # Three frames within one of FAT's two-second steps: file times cannot order them, Exif does.
    same = datetime(2026, 10, 3, 22, 0, 4)
    for number, subsec in ((1, "10"), (2, "40"), (3, "70")):
        data = files.jpeg(block=files.exif_block("2026:10:03 22:00:04", subsec=subsec))
        files.put(tmp_path, f"DCIM/100NIGHT/NGT_{number:04d}.JPG", data, modified=same)
    groups = list_card(tmp_path).groups
    frames = order_frames(read_header(tmp_path, group) for group in reversed(groups))
    assert [frame.time.microsecond for frame in frames] == [100_000, 400_000, 700_000]
