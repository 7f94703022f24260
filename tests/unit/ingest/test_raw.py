"""Previews inside raw files."""

import numpy as np
import pytest
import rawpy

from tests import factories_files as files
from triage.ingest import raw


class Camera:
    """Stand in for an opened raw file with a given preview."""

    def __init__(self, thumbnail):
        self._thumbnail = thumbnail

    def extract_thumb(self):
        if isinstance(self._thumbnail, Exception):
            raise self._thumbnail
        return self._thumbnail


def bitmap(dtype, value, edge=200):
    return rawpy.Thumbnail(rawpy.ThumbFormat.BITMAP, np.full((edge // 2, edge, 3), value, dtype))


@pytest.mark.parametrize(("dtype", "value"), [(np.uint8, 156), (np.uint16, 40_000)])
def test_a_preview_without_compression_is_used(dtype, value):
    picture = raw._preview(Camera(bitmap(dtype, value)), 200, 2.0)

    assert picture is not None
    assert not picture.upright
    assert picture.image.size == (200, 100)
    assert picture.image.getpixel((0, 0)) == (156, 156, 156)


@pytest.mark.parametrize(
    ("thumbnail", "shape"),
    [
        (bitmap(np.uint8, 0, edge=160), 2.0),
        (bitmap(np.uint8, 0, edge=400), 1.5),
        (rawpy.Thumbnail(rawpy.ThumbFormat.JPEG, files.jpeg(files.scene(60, 90))), 1.5),
        (rawpy.Thumbnail(rawpy.ThumbFormat.JPEG, files.jpeg(files.scene(360, 640))), 1.5),
        (rawpy.Thumbnail(rawpy.ThumbFormat.JPEG, files.cut(files.jpeg(files.scene(300, 400)), 0.5)), 4 / 3),
        (rawpy.Thumbnail(rawpy.ThumbFormat.JPEG, b"garbage"), 1.5),
        (rawpy.LibRawNoThumbnailError(b"none"), 1.5),
    ],
)
def test_a_preview_that_is_small_misshapen_damaged_or_missing_is_not_used(thumbnail, shape):
    assert raw._preview(Camera(thumbnail), 200, shape) is None


@pytest.mark.parametrize("shape", [1.5, 1 / 1.5, 1.53])
def test_a_preview_of_nearly_the_sensors_shape_is_used_however_the_camera_was_held(shape):
    thumbnail = rawpy.Thumbnail(rawpy.ThumbFormat.JPEG, files.jpeg(files.scene(200, 300)))

    assert raw._preview(Camera(thumbnail), 200, shape).image.size == (300, 200)


def test_of_several_previews_the_largest_whole_one_is_shown():
    """A file the library cannot open, without sensor data; its directories list three previews."""
    previews = [
        files.jpeg(files.scene(40, 60)),
        files.jpeg(files.scene(100, 150)),
        files.cut(files.jpeg(files.scene(200, 300)), 0.5),
    ]
    start = 8 + (2 + 2 * 12 + 4) * len(previews)
    data, tail = b"II*\0\x08\0\0\0", b""
    for place, preview in enumerate(previews):
        data += (2).to_bytes(2, "little")
        for tag, value in ((0x0201, start + len(tail)), (0x0202, len(preview))):
            data += tag.to_bytes(2, "little") + b"\x04\0\x01\0\0\0" + value.to_bytes(4, "little")
        data += (8 + 30 * (place + 1) if place < 2 else 0).to_bytes(4, "little")
        tail += preview

    picture = raw.decode_raw(data + tail, 480)

    assert picture.image.size == (150, 100)


def test_the_preview_of_an_unknown_cr3_is_found_in_its_boxes():
    preview = files.jpeg(files.scene(40, 60))
    box = (24 + len(preview)).to_bytes(4, "big") + b"uuid" + bytes(16) + preview

    assert raw.decode_raw(files.cr3(b"", b"") + box, 480).image.size == (60, 40)
