"""Cards for the bench: pictures of a camera's size made once from the bundled night, then linked as often as asked."""

import io
import os
import shutil
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

import sample_cards
from tests.factories_files import multi_picture, raw_dng

SIZE = (6000, 4000)
"""24 megapixels."""

PREVIEW = (1620, 1080)
QUALITY, NOISE = 92, 8.0
"""Chosen so that a night frame takes 8 to 12 MB, as such cameras write it."""

RAW_FILES = 8
"""A raw file without compression takes 48 MB: this many, and links to them."""

KINDS = {
    "sample": "the bundled night as it is, 1200 by 800",
    "large": "JPEGs of 24 megapixels",
    "previews": "the same with a preview of 1620 by 1080 beside each (multi-picture files)",
    "raw": "raw files of 24 megapixels with such a preview",
}
_MADE_BY = "v1"


def card(kind: str, frames: int, cache: Path) -> Path:
    """Return a card of so many frames: hard links to the files of a kind, each with a name of its own."""
    files = _files(kind, cache)
    root = place_of(kind, frames, cache)
    shutil.rmtree(root, ignore_errors=True)
    for number in range(frames):
        folder = root / "DCIM" / f"{100 + number // 9999}NIGHT"
        folder.mkdir(parents=True, exist_ok=True)
        source = files[number * len(files) // frames]  # in the order of their times, as a camera numbers them
        os.link(source, folder / f"NGT_{number % 9999 + 1:04d}{source.suffix}")
    return root


def place_of(kind: str, frames: int, cache: Path) -> Path:
    """Return where a card lies."""
    return cache / f"card-{kind}-{frames}"


def night() -> list[Path]:
    """Return the sound frames of the bundled night."""
    return [
        path
        for path in sorted(sample_cards.bundled().rglob("*.JPG"))
        if path.read_bytes()[-2:] == b"\xff\xd9"
    ]


def _files(kind: str, cache: Path) -> list[Path]:
    """Return the files of a kind, made where they are not there yet."""
    folder = cache / f"files-{kind}-{_MADE_BY}"
    if not folder.is_dir():
        making = cache / f".making-{kind}"
        shutil.rmtree(making, ignore_errors=True)
        making.mkdir(parents=True)
        makers = {"sample": _sample, "large": _large, "previews": _previews, "raw": _raw}
        makers[kind](making, cache)
        making.rename(folder)
    return sorted(folder.iterdir())


def _sample(folder: Path, _cache: Path) -> None:
    for path in night():
        shutil.copy2(path, folder)


def _large(folder: Path, _cache: Path) -> None:
    """Enlarge each frame and put a sensor's noise on it, so that there is as much to decode as in a camera's."""
    rng = np.random.default_rng(7)
    grain = rng.normal(0.0, NOISE, (SIZE[1], SIZE[0])).astype(np.float32)
    for number, path in enumerate(night()):
        with Image.open(path) as image:
            exif = image.getexif()
            enlarged = cv2.resize(np.asarray(image), SIZE, interpolation=cv2.INTER_CUBIC)
        noisy = enlarged + np.roll(grain, 997 * number, axis=(0, 1))[..., None]
        picture = Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8))
        picture.save(folder / path.name, quality=QUALITY, exif=exif, subsampling="4:2:2")


def _previews(folder: Path, cache: Path) -> None:
    for path in _files("large", cache):
        data = path.read_bytes()
        (folder / path.name).write_bytes(with_preview(data, PREVIEW))


def _raw(folder: Path, cache: Path) -> None:
    for path in _files("large", cache)[:RAW_FILES]:
        data = raw_dng(SIZE[1], SIZE[0], preview=preview_of(path.read_bytes(), PREVIEW))
        (folder / path.name).with_suffix(".DNG").write_bytes(data)


def with_preview(data: bytes, size: tuple[int, int]) -> bytes:
    """Return a JPEG with a preview of itself beside it, as a multi-picture file."""
    return multi_picture(data, preview_of(data, size))


def preview_of(data: bytes, size: tuple[int, int]) -> bytes:
    """Return a picture made smaller and encoded again."""
    with Image.open(io.BytesIO(data)) as image:
        image.draft("RGB", size)
        small = image.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    made = io.BytesIO()
    small.save(made, "JPEG", quality=90)
    return made.getvalue()
