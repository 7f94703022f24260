"""Pictures from raw files: the preview the camera put in, or the sensor data."""

import io
from dataclasses import dataclass

import numpy as np
import rawpy
from PIL import Image

from triage.ingest import boxes, jpeg, tiff
from triage.ingest.pixels import DECODER_ERRORS, BrokenPictureError, decode_jpeg_whole, refuse_huge

RAF_JPEG_AT = 84
"""Where a RAF file keeps offset and length of its preview, of its tags and of its sensor data."""

_SAME_SHAPE = 0.03
"""A preview's width by height may differ from the sensor's by so much: the borders are cropped a little. One of
another shape shows less of the scene, or black bars."""


@dataclass(frozen=True, slots=True)
class RawPicture:
    """A picture made from a raw file.

    Attributes
    ----------
    image : Image
        Loaded.
    upright : bool
        Whether it is turned as displayed already.
    exif : bytes or None
        The Exif block of a preview that has one.
    """

    image: Image.Image
    upright: bool
    exif: bytes | None = None


def decode_raw(data: bytes, long_edge: int | None) -> RawPicture:
    """Make a picture from a raw file: its preview where that is large enough, else its sensor data.

    Parameters
    ----------
    data : bytes
        The whole file.
    long_edge : int or None
        Pixels needed; None for all there are.

    Returns
    -------
    RawPicture
        At least as large as needed, where the file allows.

    Raises
    ------
    BrokenPictureError
        Nothing in it can be decoded whole.
    """
    try:
        with rawpy.imread(io.BytesIO(data)) as raw:
            width, height = raw.sizes.iwidth, raw.sizes.iheight
            refuse_huge(width, height)
            # Previews are often cropped by a few per cent against the sensor.
            needed = min(long_edge or max(width, height), int(0.9 * max(width, height)))
            preview = _preview(raw, needed, width / height)
            if preview is not None:
                return preview
            half = long_edge is not None and max(width, height) // 2 >= long_edge
            pixels = raw.postprocess(half_size=half, use_camera_wb=True, output_bps=8)
            return RawPicture(Image.fromarray(pixels), upright=True)
    except (rawpy.LibRawError, *DECODER_ERRORS) as error:
        preview = _any_preview(data)
        if preview is not None:
            return preview
        msg = "is damaged: neither its preview nor its sensor data can be decoded"
        raise BrokenPictureError(msg) from error


def _any_preview(data: bytes) -> RawPicture | None:
    """Return the largest preview of a raw file the library does not know: its camera may be newer."""

    def at(offset: int, count: int) -> bytes:
        return data[offset : offset + count]

    starts = [start for start, _ in tiff.read_stretches(tiff.read_directories(at))]
    if data.startswith(b"FUJIFILM"):
        starts.append(int.from_bytes(at(RAF_JPEG_AT, 4), "big"))
    starts += [
        data.find(b"\xff\xd8\xff", box.start, box.end)
        for box in boxes.read_boxes(at, 0, len(data))
        if box.kind in {b"uuid", b"moov"}
    ]
    best: RawPicture | None = None
    for start in starts:
        found = data[start:] if start > 0 else b""
        if not found.startswith(b"\xff\xd8\xff"):
            continue
        try:
            picture = RawPicture(decode_jpeg_whole(found), False, jpeg.read_outline(_reader(found)).exif)
        except BrokenPictureError:  # compressed sensor data look like a JPEG too, but for their kind
            continue
        if best is None or max(picture.image.size) > max(best.image.size):
            best = picture
    return best


def _reader(data: bytes) -> jpeg.Reader:
    return lambda offset, count: data[offset : offset + count]


def _preview(raw: rawpy.RawPy, needed: int, shape: float) -> RawPicture | None:
    """Return the largest preview, or None where it is too small, of another shape, damaged or absent."""

    def fits(size: tuple[int, int]) -> bool:
        across, down = size
        misfit = min(abs(across / down / held - 1) for held in (shape, 1 / shape)) if down else 1.0
        return misfit < _SAME_SHAPE and max(size) >= needed

    try:
        thumb = raw.extract_thumb()
    except rawpy.LibRawError:
        return None
    if thumb.format == rawpy.ThumbFormat.BITMAP:
        pixels = np.asarray(thumb.data)
        if pixels.dtype == np.uint16:
            pixels = (pixels >> 8).astype(np.uint8)
        return RawPicture(Image.fromarray(pixels), upright=False) if fits(pixels.shape[1::-1]) else None
    data = bytes(thumb.data)
    try:
        outline = jpeg.read_outline(_reader(data))
        if not fits((outline.width, outline.height)):
            return None
        return RawPicture(decode_jpeg_whole(data, needed), upright=False, exif=outline.exif)
    except BrokenPictureError:
        return None
