"""Outlines of JPEG (ITU-T T.81), TIFF 6.0 and ISO 14496-12 files, sound and damaged."""

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests import factories_files as files
from triage.ingest import boxes, jpeg, tiff


def reader(data):
    return lambda offset, count: data[offset : offset + count] if offset >= 0 else b""


@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize(("height", "width"), [(1, 1), (40, 60), (601, 399)])
def test_the_outline_agrees_with_a_general_library(height, width, progressive):
    data = files.jpeg(files.scene(height, width), progressive=progressive)

    outline = jpeg.read_outline(reader(data))

    with Image.open(io.BytesIO(data)) as image:
        assert (outline.width, outline.height) == image.size
        assert outline.progressive == bool(image.info.get("progressive", False))
    assert outline.scan is not None
    end = jpeg.find_scan_end(data, outline.scan)
    assert (end.offset, end.marked) == (len(data) - 2, True)


def test_padding_between_segments_is_stepped_over():
    data = files.jpeg()
    padded = data[:2] + b"\xff\xff\xff\x01\xff\x00junk" + data[2:]

    assert jpeg.read_outline(reader(padded)).width == jpeg.read_outline(reader(data)).width


def test_a_second_picture_behind_the_first_is_not_part_of_it():
    data = files.jpeg()
    scan = jpeg.read_outline(reader(data)).scan

    end = jpeg.find_scan_end(data + files.jpeg(files.scene(seed=3)), scan)

    assert (end.offset, end.marked) == (len(data) - 2, True)


def test_foreign_data_inside_the_picture_end_it():
    data = files.jpeg(files.scene(600, 900))
    scan = jpeg.read_outline(reader(data)).scan
    broken = files.overwritten(data, 0.5, files.jpeg(files.scene(seed=3)))

    end = jpeg.find_scan_end(broken, scan)

    assert (end.offset, end.marked) == (len(data) // 2, False)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xff\xd8",
        b"\xff\xd8\xff\xd9",
        b"\xff\xd8" + b"x" * 5000,
        b"\xff\xd8\xff\xe1\0\0",
        b"\xff\xd8\xff\xe1\0\1",
    ],
)
def test_a_jpeg_without_picture_has_an_empty_outline(data):
    assert jpeg.read_outline(reader(data)) == jpeg.Outline(0, 0, False, None, (), None)


@settings(deadline=None)
@given(st.binary(max_size=400))
def test_no_jpeg_is_too_damaged_for_an_outline(tail):
    jpeg.read_outline(reader(b"\xff\xd8\xff" + tail))


def test_the_directories_of_a_raw_file_give_its_size_and_its_end():
    data = files.raw_dng(200, 300, preview=files.jpeg(files.scene(40, 60)))
    directories = tiff.read_directories(reader(data))

    assert [(one.level, one.place) for one in directories] == [(0, 0), (0, 1)]
    assert tiff.largest_size(directories) == (300, 200)
    assert tiff.missing_share(directories, len(data)) == 0
    assert tiff.missing_share(directories, len(data) // 2) == pytest.approx(0.5, abs=0.001)


def ifd(*entries, following=0):
    data = len(entries).to_bytes(2, "big")
    for tag, kind, count, value in entries:
        data += (
            tag.to_bytes(2, "big")
            + kind.to_bytes(2, "big")
            + count.to_bytes(4, "big")
            + value.to_bytes(4, "big")
        )
    return data + following.to_bytes(4, "big")


def test_directories_that_lead_in_a_circle_are_read_once():
    data = b"MM\0*\0\0\0\x08" + ifd((0x14A, 4, 1, 8), following=8)

    assert len(tiff.read_directories(reader(data))) == 1


def test_inner_directories_are_read_as_such():
    first = ifd((0x14A, 4, 1, 26))
    data = b"MM\0*\0\0\0\x08" + first + ifd((0x100, 4, 1, 6000), (0x101, 4, 1, 4000))

    directories = tiff.read_directories(reader(data))

    assert [(one.level, one.place) for one in directories] == [(0, 0), (1, 0)]
    assert tiff.largest_size(directories) == (6000, 4000)


@pytest.mark.parametrize(
    "data", [b"", b"II", b"XX*\0\x08\0\0\0", b"II*\0\xff\0\0\0", b"MM\0*\0\0\0\x08\xff\xff"]
)
def test_a_damaged_tiff_has_no_size(data):
    directories = tiff.read_directories(reader(data))

    assert tiff.largest_size(directories) is None
    assert tiff.missing_share(directories, len(data)) == 0
    assert tiff.thumbnail_stretch(directories) is None


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_no_tiff_is_too_damaged_to_be_walked(tail):
    tiff.read_directories(reader(b"II*\0\x08\0\0\0" + tail))


def box(kind, content, length=None):
    return (len(content) + 8 if length is None else length).to_bytes(4, "big") + kind + content


def test_boxes_follow_each_other():
    data = box(b"ftyp", b"crx ") + box(b"free", b"") + box(b"mdat", b"12345")

    found = [(one.kind, data[one.start : one.end]) for one in boxes.read_boxes(reader(data), 0, len(data))]

    assert found == [(b"ftyp", b"crx "), (b"free", b""), (b"mdat", b"12345")]
    assert boxes.missing_share(reader(data), len(data)) == 0


def test_a_long_box_and_a_box_to_the_end():
    data = box(b"mdat", (20).to_bytes(8, "big") + b"1234", length=1) + box(b"free", b"rest", length=0)

    found = [(one.kind, data[one.start : one.end]) for one in boxes.read_boxes(reader(data), 0, len(data))]

    assert found == [(b"mdat", b"1234"), (b"free", b"rest")]


@pytest.mark.parametrize("data", [b"", b"\0\0\0", box(b"bad!", b"", length=3), box(b"bad!", b"", length=1)])
def test_boxes_that_make_no_sense_end_the_walk(data):
    assert list(boxes.read_boxes(reader(data), 0, len(data))) == []
    assert boxes.missing_share(reader(data), len(data)) == 0


def test_a_walk_does_not_go_on_for_ever():
    data = box(b"free", b"") * 5000

    assert len(list(boxes.read_boxes(reader(data), 0, len(data)))) == 500


def test_the_share_missing_is_told():
    data = box(b"ftyp", b"heic") + box(b"mdat", bytes(980))

    assert boxes.missing_share(reader(data[:500]), 500) == pytest.approx(0.5)
