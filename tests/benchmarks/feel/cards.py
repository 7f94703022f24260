"""Cards for the bench: weeks of sample nights, hard links to them, and pictures of 24 megapixels."""

import io
import os
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from PIL import Image

from sample_cards import bundled
from tests.factories_files import exif_block, jpeg

FOLDER_HOLDS = 999
LARGE_SIZE = (4000, 6000)
LARGE_BURST = 3
LARGE_START = datetime(2026, 10, 3, 19, 30)
_WRITTEN = "complete"


def weeks(cache: Path, frames: int) -> Path:
    """Return a card of so many frames: the sample night again and again, each time a day later.

    The files are copies with other dates, so that the night, its events and its list are those of a camera
    left for weeks; at 155 kB each they stay in memory once read.
    """
    root = cache / f"weeks-{frames}"
    if not (root / _WRITTEN).exists():
        sources = sorted(bundled().rglob("*.JPG"))
        contents = [path.read_bytes() for path in sources]
        for number in range(frames):
            days, place = divmod(number, len(sources))
            target = _place(root, number)
            target.write_bytes(_later(contents[place], days))
        (root / _WRITTEN).touch()
    return root


def links(cache: Path, source: Path, frames: int) -> Path:
    """Return a card of so many frames, each a hard link to a file of another card, by turns."""
    root = cache / f"links-{frames}"
    if not (root / _WRITTEN).exists():
        sources = sorted(source.rglob("*.JPG"))
        for number in range(frames):
            target = _place(root, number)
            if not target.exists():
                os.link(sources[number % len(sources)], target)
        (root / _WRITTEN).touch()
    return root


def large(cache: Path, frames: int) -> Path:
    """Return a card of frames of 24 megapixels and 8 to 10 MB, in bursts of three five minutes apart."""
    root = cache / f"large-{frames}"
    if not (root / _WRITTEN).exists():
        for number in range(frames):
            burst, place = divmod(number, LARGE_BURST)
            taken = LARGE_START + timedelta(minutes=5 * burst, seconds=2 * place)
            block = exif_block(taken, exif={0xA002: LARGE_SIZE[1], 0xA003: LARGE_SIZE[0]})
            _place(root, number).write_bytes(jpeg(_detailed(number), block, quality=94))
        (root / _WRITTEN).touch()
    return root


def _detailed(seed: int) -> np.ndarray:
    """Return a picture with shapes at every scale and the noise of a sensor."""
    rng = np.random.default_rng(seed)
    rows, columns = LARGE_SIZE
    picture = np.zeros((rows, columns, 3), np.float32)
    for cells, share in ((8, 60), (60, 30), (500, 25)):
        coarse = rng.integers(0, 256, (cells * 2 // 3, cells, 3), dtype=np.uint8)
        grown = Image.fromarray(coarse).resize((columns, rows), Image.Resampling.BICUBIC)
        picture += np.asarray(grown, np.float32) * (share / 128)
    picture += rng.normal(0, 4, (rows, columns, 1)).astype(np.float32)
    return picture.clip(0, 255).astype(np.uint8)


def _place(root: Path, number: int) -> Path:
    folder = root / "DCIM" / f"{100 + number // FOLDER_HOLDS}NIGHT"
    folder.mkdir(parents=True, exist_ok=True)
    return folder / f"NGT_{number % FOLDER_HOLDS + 1:04d}.JPG"


def _later(data: bytes, days: int) -> bytes:
    """Return a sample frame's file with every date in its header so many days later."""
    head, rest = data[:65536], data[65536:]
    with Image.open(io.BytesIO(data)) as image:
        texts = {
            value
            for block in (image.getexif(), image.getexif().get_ifd(0x8769))
            for value in block.values()
            if isinstance(value, str) and _moment(value) is not None
        }
    for text in texts:
        moment = _moment(text)
        assert moment is not None
        later = (moment + timedelta(days=days)).strftime("%Y:%m:%d %H:%M:%S")
        head = head.replace(text.encode(), later.encode())
    return head + rest


def _moment(text: str) -> datetime | None:
    try:
        return datetime.strptime(text[:19], "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
