"""Decode the picture of a frame: small to be measured, large for the screen. Only reads. Safe in threads."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

from triage.errors import PictureError
from triage.ingest import boxes, exif, heif, jpeg, pixels, preview, raw, tiff
from triage.ingest.pixels import BrokenPictureError
from triage.ingest.source import CardBytes, Form, form_of, full_path
from triage.ingest.wording import ends_early, reason_of, shown
from triage.records.arrays import Rgb
from triage.records.card import PICTURE_KINDS, CardFile
from triage.records.frame import Frame

MEASURING_EDGE = 480
"""Long edge in pixels of the picture that is measured."""


def decode_measuring(root: Path, frame: Frame) -> Rgb:
    """Decode the main picture small, and make sure that all of it is there.

    Parameters
    ----------
    root : Path
        The card's folder.
    frame : Frame
        Which.

    Returns
    -------
    ndarray of uint8, shape (M, N, 3)
        As displayed; the long edge is exactly `MEASURING_EDGE`, or the picture's own where it is smaller.

    Raises
    ------
    PictureError
        The file cannot be read whole; a sentence that says why.

    Notes
    -----
    Colours are taken as sRGB; a colour profile in the file is not applied. JPEG pictures are decoded at a
    half, a quarter or an eighth where that suffices and then averaged over areas. Where the camera put a
    preview of at least that size beside the main picture, it is taken instead (`preview.standing_preview`
    says how the main picture is then known to be whole).
    """
    main = frame.files[0]
    data = _read(root, main)
    return _checked(main, lambda: _measuring(data, frame.capture.orientation))


def decode_view(root: Path, frame: Frame, *, long_edge: int | None = None) -> Rgb:
    """Decode a picture for the screen, as much of it as there is.

    Parameters
    ----------
    root : Path
        The card's folder.
    frame : Frame
        Which.
    long_edge : int, optional
        The result has at least so many pixels along its long edge where the file does, and may have up to
        twice as many. All of them by default.

    Returns
    -------
    ndarray of uint8, shape (M, N, 3)
        As displayed. Grey where a truncated file ends. Of a main file that gives nothing, the picture comes
        from another file of the exposure, then from the small preview inside.

    Raises
    ------
    PictureError
        No file of the exposure gives any picture; a sentence that says why the main one does not.
    """
    first_error: PictureError | None = None
    for file in frame.files:
        if file.kind not in PICTURE_KINDS:
            continue
        try:
            return _view_of(root, file, frame.capture.orientation, long_edge)
        except PictureError as error:
            first_error = first_error or error
    thumbnail = embedded_thumbnail(root, frame)
    if thumbnail is not None:
        return thumbnail
    raise first_error or PictureError(f"{shown(frame.name)} is not a picture.")


def embedded_thumbnail(root: Path, frame: Frame) -> Rgb | None:
    """Decode the small preview a camera puts into the header of a JPEG or raw file.

    Parameters
    ----------
    root : Path
        The card's folder.
    frame : Frame
        Which.

    Returns
    -------
    ndarray of uint8, shape (M, N, 3), or None
        As displayed, without the black bars some cameras add; None where there is none or it is damaged.
    """
    main = frame.files[0]
    try:
        with CardBytes(full_path(root, main.path)) as source:
            data = _thumbnail_bytes(source)
        if not data:
            return None
        image = pixels.JpegData.of(data).decode()
    except (OSError, BrokenPictureError):
        return None
    rgb = pixels.turned(pixels.to_rgb(image), frame.capture.orientation)
    return _without_bars(rgb, frame.capture.width, frame.capture.height)


def _view_of(root: Path, file: CardFile, orientation: int, long_edge: int | None) -> Rgb:
    data = _read(root, file)
    return _checked(file, lambda: _view(data, orientation, long_edge))


def _checked(file: CardFile, decode: Callable[[], Rgb]) -> Rgb:
    try:
        return decode()
    except (BrokenPictureError, heif.HeifError) as error:
        msg = f"{shown(file.name)} {error}."
        raise PictureError(msg) from error


def _read(root: Path, file: CardFile) -> bytes:
    try:
        with CardBytes(full_path(root, file.path)) as source:
            data = source.whole()
    except OSError as error:
        msg = f"{shown(file.name)} cannot be read: {reason_of(error)}."
        raise PictureError(msg) from error
    if not data:
        msg = f"{shown(file.name)} is empty (0 bytes)."
        raise PictureError(msg)
    return data


def _measuring(data: bytes, orientation: int) -> Rgb:
    form = form_of(data[:32])
    if form is Form.JPEG:
        parts = pixels.JpegData.of(data)
        image = preview.standing_preview(parts, MEASURING_EDGE) or parts.decode_whole(MEASURING_EDGE)
        # Of the main picture's shape whatever was decoded: frames of one shape are measured together.
        size, upright = pixels.fitted((parts.outline.width, parts.outline.height), MEASURING_EDGE), False
    else:
        _refuse_incomplete(data, form)
        image, upright, orientation = _decode_other(data, form, MEASURING_EDGE, orientation)
        size = pixels.fitted(image.size, MEASURING_EDGE)
    if image.mode not in {"RGB", "L"}:
        image = Image.fromarray(pixels.to_rgb(image))
    if size != image.size:
        image = image.resize(size, Image.Resampling.BOX)
    rgb = pixels.to_rgb(image)
    return rgb if upright else pixels.turned(rgb, orientation)


def _view(data: bytes, orientation: int, long_edge: int | None) -> Rgb:
    form = form_of(data[:32])
    if form is Form.JPEG:
        return pixels.turned(pixels.to_rgb(pixels.JpegData.of(data).decode(long_edge)), orientation)
    image, upright, orientation = _decode_other(data, form, long_edge, orientation)
    rgb = pixels.to_rgb(image)
    return rgb if upright else pixels.turned(rgb, orientation)


def _decode_other(
    data: bytes, form: Form | None, long_edge: int | None, orientation: int
) -> tuple[Image.Image, bool, int]:
    """Return picture, whether it stands upright already, and else how it has to be turned."""
    if form is None:
        blank = "; it holds nothing but blank bytes" if not data.strip(b"\0\xff") else ""
        msg = f"is not a picture{blank}"
        raise BrokenPictureError(msg)
    if form is Form.HEIF:
        _, size = heif.read_heif_header(data)
        pixels.refuse_huge(*size)
        return heif.decode_heif(data), True, 1
    picture = raw.decode_raw(data, long_edge)
    if picture.exif:
        block = picture.exif
        tags = exif.read_tags(lambda offset, count: block[offset : offset + count])
        if ("main", 0x0112) in tags:  # the preview says itself how it is stored
            orientation = exif.capture_of(tags).orientation
    return picture.image, picture.upright, orientation


def _refuse_incomplete(data: bytes, form: Form | None) -> None:
    """Raise for a HEIF or raw file that ends before what its header says is in it."""

    def at(offset: int, count: int) -> bytes:
        return data[offset : offset + count]

    missing = 0.0
    if form in {Form.HEIF, Form.CR3_RAW}:
        missing = boxes.missing_share(at, len(data))
    elif form is Form.TIFF_RAW:
        missing = tiff.missing_share(tiff.read_directories(at), len(data))
    elif form is Form.RAF_RAW:
        missing = _raf_missing(at, len(data))
    if missing > 0:
        raise BrokenPictureError(ends_early(missing, "its data"))


def _raf_missing(at: jpeg.Reader, size: int) -> float:
    """Return the share missing of a RAF file, whose start lists three stretches as offset and length."""
    numbers = [int.from_bytes(at(raw.RAF_JPEG_AT + 4 * place, 4), "big") for place in range(6)]
    last = max(start + length for start, length in zip(numbers[::2], numbers[1::2], strict=True))
    return 1 - size / last if last > size else 0.0


def _thumbnail_bytes(source: CardBytes) -> bytes:
    form = form_of(source.head)
    if form is Form.JPEG:
        block = jpeg.read_outline(source.at).exif or b""

        def at(offset: int, count: int) -> bytes:
            return block[offset : offset + count]

    elif form is Form.TIFF_RAW:
        at = source.at
    else:
        return b""
    stretch = tiff.thumbnail_stretch(tiff.read_directories(at))
    return at(*stretch) if stretch else b""


def _without_bars(rgb: Rgb, width: int | None, height: int | None) -> Rgb:
    """Cut a thumbnail to the shape of its picture: 4 by 3 previews of 3 by 2 pictures carry black bars."""
    if not width or not height:
        return rgb
    rows, columns = rgb.shape[:2]
    kept_rows = min(rows, max(1, round(columns * height / width)))
    kept_columns = min(columns, max(1, round(rows * width / height)))
    top, left = (rows - kept_rows) // 2, (columns - kept_columns) // 2
    return np.ascontiguousarray(rgb[top : top + kept_rows, left : left + kept_columns])
