"""Previews inside multi-picture JPEGs: when they are measured in the main picture's place, and when not."""

import io
from datetime import datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests import factories_files as files
from triage.errors import PictureError
from triage.ingest import jpeg, mpf
from triage.ingest.decode import decode_measuring, decode_view

NIGHT = datetime(2026, 10, 3, 22, 14, 5)
MAIN, PREVIEW = files.scene(800, 1200), np.full((400, 600, 3), (200, 30, 30), np.uint8)


def reader(data):
    return lambda offset, count: data[offset : offset + count]


def is_preview(rgb):
    """Whether a measured picture is the plain red preview."""
    return bool(np.all(np.abs(rgb.astype(int) - (200, 30, 30)) < 8))


def both(main=MAIN, preview=PREVIEW, **how):
    return files.multi_picture(files.jpeg(main, files.exif_block(NIGHT)), files.jpeg(preview), **how)


def measured(tmp_path, one_frame, data):
    return decode_measuring(tmp_path, one_frame("NGT_0001.JPG", data))


@pytest.mark.parametrize("order", ["<", ">"])
def test_a_general_library_finds_the_same_pictures_in_the_index(order):
    previews = files.jpeg(files.scene(300, 450)), files.jpeg(PREVIEW)
    data = files.multi_picture(files.jpeg(MAIN, files.exif_block(NIGHT)), *previews, order=order)

    outline = jpeg.read_outline(reader(data))
    entries = mpf.read_index(reader(data), outline.index)

    with Image.open(io.BytesIO(data)) as image:  # Pillow reads CIPA DC-007 by itself
        assert (image.format, image.n_frames) == ("MPO", 3)
        theirs = [(entry["Size"], entry["Attribute"]["MPType"]) for entry in image.mpinfo[0xB002]]
    assert [entry.size for entry in entries] == [size for size, _ in theirs]
    assert theirs[1][1] == "Large Thumbnail (Full HD Equivalent)"
    assert [data[entry.start : entry.start + entry.size] for entry in entries[1:]] == list(previews)
    assert entries[0].start == 0


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_no_index_is_too_damaged_to_be_read(tail):
    for start in (b"II*\0", b"MM\0*", b""):
        mpf.read_index(reader(start + tail), (0, len(start) + len(tail)))


@pytest.mark.parametrize("kind", sorted(mpf.PREVIEW_KINDS))
def test_a_large_preview_is_measured_and_the_main_picture_is_shown(tmp_path, one_frame, kind):
    frame = one_frame("NGT_0001.JPG", both(kind=kind))

    small, large = decode_measuring(tmp_path, frame), decode_view(tmp_path, frame)

    assert is_preview(small)
    assert small.shape == (320, 480, 3)
    assert large.shape == (800, 1200, 3)
    assert not is_preview(large)


def test_the_smallest_preview_that_will_do_is_taken(tmp_path, one_frame):
    detailed = files.jpeg(files.scene(540, 810), quality=95)
    data = files.multi_picture(
        files.jpeg(MAIN), detailed, files.jpeg(files.scene(160, 240)), files.jpeg(PREVIEW)
    )

    assert is_preview(measured(tmp_path, one_frame, data))


def test_a_preview_is_turned_as_the_main_picture_is(tmp_path, one_frame):
    corners = files.corners(400, 600)
    turned = files.exif_block(NIGHT, main={0x0112: 6})
    data = files.multi_picture(files.jpeg(files.corners(800, 1200), turned), files.jpeg(corners))
    plain = files.jpeg(files.corners(800, 1200), turned)

    from_preview = measured(tmp_path, one_frame, data)
    from_main = decode_measuring(tmp_path, one_frame("NGT_0002.JPG", plain))

    assert from_preview.shape == from_main.shape == (480, 320, 3)
    assert np.abs(from_preview.astype(int) - from_main).mean() < 2


@pytest.mark.parametrize("size", [(533, 800), (532, 800), (424, 640), (1080, 1620)])
def test_a_measured_preview_has_the_shape_the_main_picture_would_have(tmp_path, one_frame, size):
    preview = np.full((*size, 3), (200, 30, 30), np.uint8)

    rgb = measured(tmp_path, one_frame, both(files.scene(801, 1201), preview))

    assert is_preview(rgb)
    assert rgb.shape == measured(tmp_path, one_frame, files.jpeg(files.scene(801, 1201))).shape


@pytest.mark.parametrize(
    ("size", "kind"),
    [
        ((160, 240), files.PREVIEW),  # too small
        ((360, 640), files.PREVIEW),  # cut to the shape of a screen
        ((600, 400), files.PREVIEW),  # upright
        ((400, 600), 0x020002),  # another view, not a preview
        ((400, 600), 0x030000),  # another main picture
    ],
)
def test_what_does_not_show_the_main_picture_is_not_measured(tmp_path, one_frame, size, kind):
    other = np.full((*size, 3), (200, 30, 30), np.uint8)

    rgb = measured(tmp_path, one_frame, both(preview=other, kind=kind))

    assert np.array_equal(rgb, measured(tmp_path, one_frame, files.jpeg(MAIN)))


def test_the_small_thumbnail_of_the_header_is_never_measured(tmp_path, one_frame):
    thumbnail = files.jpeg(np.full((107, 160, 3), (200, 30, 30), np.uint8))
    data = files.multi_picture(files.jpeg(MAIN, files.exif_block(NIGHT)), thumbnail, kind=0x010001)

    assert not is_preview(measured(tmp_path, one_frame, data))


# Damage: the preview must not hide it ----------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_a_file_cut_short_in_its_main_picture_is_damaged(tmp_path, one_frame, share):
    whole = both()
    main_bytes = len(whole) - len(files.jpeg(PREVIEW))

    with pytest.raises(PictureError, match="% of its picture"):
        measured(tmp_path, one_frame, whole[: int(share * main_bytes)])


def test_a_file_cut_short_in_its_preview_is_measured_by_its_main_picture(tmp_path, one_frame):
    rgb = measured(tmp_path, one_frame, both()[:-40])

    assert np.array_equal(rgb, measured(tmp_path, one_frame, files.jpeg(MAIN)))


@pytest.mark.parametrize("share", [0.2, 0.6])
@pytest.mark.parametrize("filler", [b"\0", files.jpeg(files.scene(seed=3))])
def test_a_main_picture_partly_unwritten_is_damaged_although_its_preview_is_whole(
    tmp_path, one_frame, share, filler
):
    whole = both()
    start = int(share * (len(whole) - len(files.jpeg(PREVIEW))))
    rest = len(whole) - len(files.jpeg(PREVIEW)) - start
    blanked = whole[:start] + (filler * (rest // len(filler) + 1))[:rest] + whole[start + rest :]

    with pytest.raises(PictureError, match="% of its picture"):
        measured(tmp_path, one_frame, blanked)


@pytest.mark.parametrize("share", [0.3, 0.7])
def test_a_blank_sector_inside_the_main_picture_is_noticed(tmp_path, one_frame, share):
    data = bytearray(both())
    start = int(share * (len(data) - len(files.jpeg(PREVIEW))))
    data[start : start + 4096] = bytes(4096)

    with pytest.raises(PictureError, match=r"blank|% of its picture"):
        measured(tmp_path, one_frame, bytes(data))


def test_an_end_marker_that_comes_too_early_is_noticed_although_the_preview_is_whole(tmp_path, one_frame):
    data = bytearray(both())
    start = (len(data) - len(files.jpeg(PREVIEW))) // 2
    data[start : start + 2] = b"\xff\xd9"

    with pytest.raises(PictureError, match="% of its picture"):
        measured(tmp_path, one_frame, bytes(data))


@pytest.mark.parametrize("what", ["garbage", "cut", "nothing"])
def test_a_damaged_preview_gives_way_to_the_main_picture(tmp_path, one_frame, what):
    preview = files.jpeg(files.scene(400, 600, seed=3))
    broken = {"garbage": b"\xff\xd8\xff garbage", "cut": files.cut(preview, 0.5), "nothing": b""}[what]
    data = files.multi_picture(files.jpeg(MAIN), broken)

    assert np.array_equal(
        measured(tmp_path, one_frame, data), measured(tmp_path, one_frame, files.jpeg(MAIN))
    )


def test_padding_between_the_pictures_is_no_damage(tmp_path, one_frame):
    data = files.multi_picture(files.jpeg(MAIN) + bytes(300), files.jpeg(PREVIEW))

    assert is_preview(measured(tmp_path, one_frame, data))
