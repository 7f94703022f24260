"""What a camera writes into its files: Exif with a thumbnail, and DCF names."""

import io
import struct
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

import numpy as np
from PIL import Image

from sample_cards.arrays import Bytes8
from sample_cards.camera import Camera

MAKE = "Velmora"
MODEL = "Velmora N40"
SERIAL = "004711803"
"""An invented camera."""

ASCII, SHORT, LONG, RATIONAL, UNDEFINED = 2, 3, 4, 5, 7

Entry = tuple[int, int, bytes]

FLASH_DID_NOT_FIRE = 0x10
"""Radio triggers leave the camera in the belief that no flash fired (Exif 2.32, tag 0x9209)."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """What is recorded with one exposure.

    Attributes
    ----------
    taken : datetime
        The camera's clock, with sub-seconds.
    camera : Camera
        Its settings.
    serial : str
        Its number.
    orientation : int
        How the picture has to be turned to stand upright (Exif 2.32, tag 0x0112).
    """

    taken: datetime
    camera: Camera
    serial: str = SERIAL
    orientation: int = 1


def _text(tag: int, value: str) -> Entry:
    return tag, ASCII, value.encode("ascii") + b"\0"


def _short(tag: int, value: int) -> Entry:
    return tag, SHORT, struct.pack("<H", value)


def _long(tag: int, value: int) -> Entry:
    return tag, LONG, struct.pack("<I", value)


def _rational(tag: int, value: float) -> Entry:
    exact = Fraction(value).limit_denominator(8000)
    return tag, RATIONAL, struct.pack("<II", exact.numerator, exact.denominator)


_ITEM = {ASCII: 1, SHORT: 2, LONG: 4, RATIONAL: 8, UNDEFINED: 1}


def _directory(entries: list[Entry], start: int, following: int) -> bytes:
    """Lay one image file directory out (TIFF 6.0): entries by tag, long values behind them."""
    entries = sorted(entries)
    head = struct.pack("<H", len(entries))
    values_at = start + 2 + 12 * len(entries) + 4
    values = b""
    for tag, kind, data in entries:
        head += struct.pack("<HHI", tag, kind, len(data) // _ITEM[kind])
        if len(data) <= 4:
            head += data.ljust(4, b"\0")
        else:
            head += struct.pack("<I", values_at + len(values))
            values += data + b"\0" * (len(data) % 2)
    return head + struct.pack("<I", following) + values


def _exposure_entries(stamp: Stamp, width: int, height: int) -> list[Entry]:
    camera = stamp.camera
    taken = stamp.taken.strftime("%Y:%m:%d %H:%M:%S")
    fraction = f"{stamp.taken.microsecond // 10000:02d}"
    return [
        _rational(0x829A, camera.exposure_s), _rational(0x829D, camera.f_number), _short(0x8822, 1),
        _short(0x8827, int(camera.iso)), (0x9000, UNDEFINED, b"0232"), _text(0x9003, taken), _text(0x9004, taken),
        _short(0x9207, 5), _short(0x9209, FLASH_DID_NOT_FIRE), _rational(0x920A, camera.focal_mm),
        _text(0x9291, fraction), _text(0x9292, fraction), (0xA000, UNDEFINED, b"0100"), _short(0xA001, 1),
        _long(0xA002, width), _long(0xA003, height), _short(0xA402, 1), _short(0xA403, 1),
        _short(0xA405, camera.focal_35mm), _text(0xA431, stamp.serial),
    ]  # fmt: skip


def exif(stamp: Stamp, picture: Bytes8) -> bytes:
    """Return the Exif block for a picture: no offset from UTC, as is the habit of many cameras."""
    height, width = picture.shape[:2]
    small = Image.fromarray(picture).resize((160, round(160 * height / width)), Image.Resampling.BOX)
    stream = io.BytesIO()
    small.save(stream, "JPEG", quality=70, subsampling=2)
    thumbnail = stream.getvalue()
    first = [
        _text(0x010F, MAKE),
        _text(0x0110, MODEL),
        _short(0x0112, stamp.orientation),
        _rational(0x011A, 72.0),
        _rational(0x011B, 72.0),
        _short(0x0128, 2),
        _text(0x0132, stamp.taken.strftime("%Y:%m:%d %H:%M:%S")),
        _short(0x0213, 2),
        _long(0x8769, 0),
    ]
    exposure_at = 8 + len(_directory(first, 8, 0))
    exposure = _directory(_exposure_entries(stamp, width, height), exposure_at, 0)
    second_at = exposure_at + len(exposure)
    second = [
        _short(0x0103, 6),
        _rational(0x011A, 72.0),
        _rational(0x011B, 72.0),
        _short(0x0128, 2),
        _long(0x0201, 0),
    ]
    second.append(_long(0x0202, len(thumbnail)))
    data_at = second_at + len(_directory(second, second_at, 0))
    second[4] = _long(0x0201, data_at)
    first[-1] = _long(0x8769, exposure_at)
    block = b"II*\0" + struct.pack("<I", 8) + _directory(first, 8, second_at) + exposure
    return b"Exif\0\0" + block + _directory(second, second_at, 0) + thumbnail


def as_stored(picture: Bytes8, orientation: int) -> Bytes8:
    """Return an upright picture as a camera on its side stores it: the long side lies along its sensor's rows.

    Orientation 6 means that the first row is the right side of what is displayed, 8 that it is the left side.
    """
    turns = {1: 0, 6: 1, 8: -1}[orientation]
    stored: Bytes8 = np.ascontiguousarray(np.rot90(picture, turns))
    return stored


def file_name(exposure: int) -> str:
    """Return the DCF path of the nth exposure of the camera's life, from 1: after 9999 a new folder starts at 0001."""
    folder, number = divmod(exposure - 1, 9999)
    return f"DCIM/{100 + folder}NIGHT/NGT_{number + 1:04d}.JPG"


def jpeg(picture: Bytes8, stamp: Stamp, quality: int) -> bytes:
    """Encode a picture as the camera's JPEG: halved chroma, Exif, thumbnail."""
    stream = io.BytesIO()
    Image.fromarray(picture).save(
        stream, "JPEG", quality=quality, subsampling=2, exif=exif(stamp, picture), optimize=True
    )
    return stream.getvalue()
