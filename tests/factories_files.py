"""Small cards, and sound and damaged files, with known content. Everything in them is invented."""

import io
import os
import struct
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path

import numpy as np
import pillow_heif
import tifffile
from PIL import Image

MAKER, MODEL = "Example Optical", "EX-7"

EXIF_IFD, GPS_IFD = 0x8769, 0x8825


def scene(height: int = 240, width: int = 360, *, seed: int = 7) -> np.ndarray:
    """Return a picture, uint8 (M, N, 3), with structure everywhere and no mid-grey corner."""
    rng = np.random.default_rng(seed)
    coarse = rng.integers(10, 110, (height // 12 + 1, width // 12 + 1, 3), dtype=np.uint8)
    image = Image.fromarray(coarse).resize((width, height), Image.Resampling.BICUBIC)
    return np.asarray(image)


def corners(height: int = 96, width: int = 160) -> np.ndarray:
    """Return a picture whose four quarters are red, green, blue and white (row by row), as displayed."""
    picture = np.zeros((height, width, 3), np.uint8)
    picture[: height // 2, : width // 2] = (220, 20, 20)
    picture[: height // 2, width // 2 :] = (20, 200, 20)
    picture[height // 2 :, : width // 2] = (20, 20, 220)
    picture[height // 2 :, width // 2 :] = (240, 240, 240)
    return picture


def exif_block(
    taken: datetime | str | None = None,
    *,
    subsec: str | None = None,
    main: Mapping[int, object] | None = None,
    exif: Mapping[int, object] | None = None,
    gps: Mapping[int, object] | None = None,
) -> Image.Exif:
    """Return an Exif block; `main`, `exif` and `gps` are tags by id for the three directories."""
    block = Image.Exif()
    for tag, value in {0x010F: MAKER, 0x0110: MODEL, **(main or {})}.items():
        if value is not None:
            block[tag] = value
    inner = block.get_ifd(EXIF_IFD)
    if taken is not None:
        inner[0x9003] = taken if isinstance(taken, str) else taken.strftime("%Y:%m:%d %H:%M:%S")
        if subsec is not None:
            inner[0x9291] = subsec
    inner.update(exif or {})
    if gps:
        block.get_ifd(GPS_IFD).update(gps)
    return block


def jpeg(picture: np.ndarray | None = None, block: Image.Exif | None = None, **how: object) -> bytes:
    """Return a JPEG file; `how` goes to the encoder."""
    data = io.BytesIO()
    image = Image.fromarray(scene() if picture is None else picture)
    image.save(data, "JPEG", exif=block or Image.Exif(), **{"quality": 88, **how})
    return data.getvalue()


PREVIEW = 0x010002


def multi_picture(main: bytes, *others: bytes, kind: int = PREVIEW, order: str = "<") -> bytes:
    """Return a multi-picture file as CIPA DC-007 lays it out: a JPEG, and further ones behind it."""
    count = 1 + len(others)
    head = (b"II*\0" if order == "<" else b"MM\0*") + struct.pack(order + "IH", 8, 3)
    table = 8 + 2 + 3 * 12 + 4
    head += struct.pack(order + "HHI4s", 0xB000, 7, 4, b"0100")
    head += struct.pack(order + "HHII", 0xB001, 4, 1, count)
    head += struct.pack(order + "HHIII", 0xB002, 7, 16 * count, table, 0)
    length = 4 + 2 + len(b"MPF\0") + len(head) + 16 * count - 2
    insert = _after_exif(main)
    origin = insert + 8
    starts = [0]
    for before in (len(main) + length, *map(len, others[:-1])):
        starts.append(starts[-1] + before)
    sizes = [len(main) + length, *map(len, others)]
    for number in range(count):
        sign = 0x20030000 if number == 0 else kind
        start = starts[number] - origin if number else 0
        head += struct.pack(order + "IIIHH", sign, sizes[number], start, 0, 0)
    segment = b"\xff\xe2" + (len(head) + 6).to_bytes(2, "big") + b"MPF\0" + head
    assert len(segment) == length
    return main[:insert] + segment + main[insert:] + b"".join(others)


def _after_exif(data: bytes) -> int:
    """Return where the application segments 0 and 1 of a JPEG end."""
    place = 2
    while data[place + 1] in {0xE0, 0xE1}:
        place += 2 + int.from_bytes(data[place + 2 : place + 4], "big")
    return place


def heif(picture: np.ndarray | None = None, block: Image.Exif | None = None) -> bytes:
    """Return a HEIF file."""
    data = io.BytesIO()
    image = Image.fromarray(scene() if picture is None else picture)
    exif = (block or Image.Exif()).tobytes()
    pillow_heif.from_pillow(image).save(data, quality=80, exif=exif)
    return data.getvalue()


def raw_dng(
    height: int = 200, width: int = 300, *, orientation: int = 1, preview: bytes | None = None
) -> bytes:
    """Return a raw file (DNG) of a scene that is bright on the left; with a JPEG preview if given."""
    mosaic = np.full((height, width), 400, np.uint16)
    mosaic[:, : width // 2] = 12000
    tags = [
        (50706, "B", 4, bytes([1, 4, 0, 0]), True),
        (50708, "s", 0, f"{MAKER} {MODEL}", True),
        (33421, "H", 2, (2, 2), True),
        (33422, "B", 4, bytes([0, 1, 1, 2]), True),
        (50714, "H", 1, 0, True),
        (50717, "H", 1, 16383, True),
        (50721, "2i", 9, (1, 1, 0, 1, 0, 1, 0, 1, 1, 1, 0, 1, 0, 1, 0, 1, 1, 1), True),
        (50728, "2I", 3, (1, 1, 1, 1, 1, 1), True),
        (274, "H", 1, orientation, True),
        (271, "s", 0, MAKER, True),
        (272, "s", 0, MODEL, True),
        (306, "s", 0, "2026:10:03 22:14:05", True),
    ]
    data = io.BytesIO()
    with tifffile.TiffWriter(data) as out:
        out.write(mosaic, photometric=32803, extratags=tags, metadata=None, software=False)
    whole = data.getvalue()
    return _with_preview(whole, preview) if preview else whole


def _with_preview(dng: bytes, preview: bytes) -> bytes:
    """Chain a second directory with a JPEG preview behind the first one."""
    order = "little" if dng[:2] == b"II" else "big"
    first = int.from_bytes(dng[4:8], order)
    count = int.from_bytes(dng[first : first + 2], order)
    link = first + 2 + 12 * count
    padded = dng + b"\0" * (len(dng) % 2)
    with Image.open(io.BytesIO(preview)) as image:
        width, height = image.size
    entries = {
        0xFE: 1,
        0x100: width,
        0x101: height,
        0x103: 7,
        0x106: 6,
        0x111: None,
        0x115: 3,
        0x117: len(preview),
    }
    start = len(padded)
    offset = start + 2 + 12 * len(entries) + 4
    entries[0x111] = offset
    table = len(entries).to_bytes(2, order)
    for tag, value in entries.items():
        table += tag.to_bytes(2, order) + (4).to_bytes(2, order) + (1).to_bytes(4, order)
        table += int(value or 0).to_bytes(4, order)
    return padded[:link] + start.to_bytes(4, order) + padded[link + 4 :] + table + bytes(4) + preview


def cr3(main: bytes, exif: bytes) -> bytes:
    """Return the boxes of a CR3 file around two TIFF blocks, without any picture."""

    def box(kind: bytes, content: bytes) -> bytes:
        return (8 + len(content)).to_bytes(4, "big") + kind + content

    inner = bytes.fromhex("85c0b687820f11e08111f4ce462b6a48") + box(b"CMT1", main) + box(b"CMT2", exif)
    return box(b"ftyp", b"crx \0\0\0\1crx isom") + box(b"moov", box(b"uuid", inner)) + box(b"mdat", bytes(64))


def raf(preview: bytes) -> bytes:
    """Return the start of a RAF file around a JPEG preview, without sensor data."""
    start = b"FUJIFILMCCD-RAW 0201".ljust(84, b"\0")
    numbers = (160, len(preview), 160 + len(preview), 0, 160 + len(preview), 0)
    return (start + b"".join(number.to_bytes(4, "big") for number in numbers)).ljust(160, b"\0") + preview


def cut(data: bytes, share: float) -> bytes:
    """Return the first part of a file."""
    return data[: int(len(data) * share)]


def overwritten(data: bytes, share: float, by: bytes) -> bytes:
    """Return a file of the same length whose rest is other data, as sectors that were never written are."""
    start = int(len(data) * share)
    rest = len(data) - start
    return data[:start] + (by * (rest // len(by) + 1))[:rest]


def put(root: Path, path: str, data: bytes = b"", *, modified: datetime | None = None) -> Path:
    """Write one file and the folders to it."""
    target = root / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(data)
    if modified is not None:
        os.utime(target, (modified.timestamp(), modified.timestamp()))
    return target


def small_card(
    root: Path, times: Sequence[datetime], *, folder: str = "DCIM/100NIGHT", first: int = 1
) -> list[str]:
    """Write a card of small pictures, one for each time; return their paths in that order."""
    paths = []
    for step, moment in enumerate(times):
        path = f"{folder}/NGT_{first + step:04d}.JPG"
        block = exif_block(moment, subsec=f"{moment.microsecond:06d}")
        put(root, path, jpeg(scene(60, 90, seed=step), block))
        paths.append(path)
    return paths
