"""Other people's readers understand what the camera wrote."""

import io
from datetime import datetime

import exifread
import numpy as np
import pytest
from PIL import Image, ImageOps

from sample_cards.camera import Camera
from sample_cards.metadata import MAKE, MODEL, SERIAL, Stamp, as_stored, file_name, jpeg

TAKEN = datetime(2026, 10, 3, 21, 4, 5, 70000)
PICTURE = np.full((120, 180, 3), 90, dtype=np.uint8)


@pytest.fixture
def file() -> io.BytesIO:
    return io.BytesIO(jpeg(PICTURE, Stamp(TAKEN, Camera()), 85))


@pytest.mark.source("library", "ExifRead 3")
def test_independent_reader_finds_every_value(file: io.BytesIO) -> None:
    # Exif 2.32 tag names as the exifread library gives them.
    tags = {
        name: str(value)
        for name, value in exifread.process_file(file, details=True).items()
        if name != "JPEGThumbnail"
    }
    assert (tags["Image Make"], tags["Image Model"], tags["EXIF BodySerialNumber"]) == (MAKE, MODEL, SERIAL)
    assert tags["EXIF DateTimeOriginal"] == "2026:10:03 21:04:05"
    assert tags["EXIF SubSecTimeOriginal"] == "07"
    assert (tags["EXIF ExposureTime"], tags["EXIF FNumber"]) == ("1/160", "28/5")
    assert tags["EXIF ISOSpeedRatings"] == "800"
    assert tags["EXIF ExposureMode"] == "Manual Exposure"
    assert tags["EXIF FocalLengthIn35mmFilm"] == "43"
    assert (tags["EXIF ExifImageWidth"], tags["EXIF ExifImageLength"]) == ("180", "120")
    assert "EXIF OffsetTimeOriginal" not in tags


@pytest.mark.source("standard", "Exif 2.32, tag 0x9209")
def test_flash_tag_says_that_none_fired(file: io.BytesIO) -> None:
    # Exif 2.32, tag 0x9209: bit 0 clear is "did not fire", bits 3-4 = 10 is "compulsory suppression".
    assert Image.open(file).getexif().get_ifd(0x8769)[0x9209] == 0x10


def test_thumbnail_is_a_picture_of_160_pixels(file: io.BytesIO) -> None:
    tags = exifread.process_file(file, details=True)
    assert Image.open(io.BytesIO(tags["JPEGThumbnail"])).size == (160, 107)


@pytest.mark.source("standard", "ITU-T T.81, sampling factors")
def test_chroma_is_halved_both_ways(file: io.BytesIO) -> None:
    # JPEG (ITU-T T.81) sampling factors 2x2, 1x1, 1x1 are 4:2:0.
    assert [layer[1:3] for layer in Image.open(file).layer] == [(2, 2), (1, 1), (1, 1)]


@pytest.mark.parametrize(
    ("exposure", "path"),
    [
        (1, "DCIM/100NIGHT/NGT_0001.JPG"),
        (9999, "DCIM/100NIGHT/NGT_9999.JPG"),
        (10000, "DCIM/101NIGHT/NGT_0001.JPG"),
    ],
)
def test_numbers_roll_over_into_the_next_folder(exposure: int, path: str) -> None:
    # DCF (CIPA DC-009): numbers 0001 to 9999, then the next directory number.
    assert file_name(exposure) == path


@pytest.mark.source("library", "Pillow, ImageOps.exif_transpose")
@pytest.mark.source("standard", "Exif 2.32, tag 0x0112")
@pytest.mark.parametrize("orientation", [1, 6, 8])
def test_other_peoples_readers_turn_pictures_of_a_camera_on_its_side_upright(orientation: int) -> None:
    # Exif 2.32, tag 0x0112, as Pillow applies it.
    upright = np.zeros((120, 80, 3), dtype=np.uint8)
    upright[:60, :40] = 220
    data = jpeg(as_stored(upright, orientation), Stamp(TAKEN, Camera(), orientation=orientation), 95)
    stored = Image.open(io.BytesIO(data))
    assert stored.size == ((80, 120) if orientation == 1 else (120, 80))
    shown = np.asarray(ImageOps.exif_transpose(stored), dtype=int)
    assert np.abs(shown - upright).mean() < 2


def test_a_camera_on_its_side_has_the_same_lens() -> None:
    assert Camera(sensor_mm=23.5 * 2 / 3, upright=True).focal_35mm == Camera().focal_35mm
