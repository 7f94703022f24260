"""Pictures from raw files: the preview the camera put in, or the sensor data."""

import io
from dataclasses import dataclass

import numpy as np
import rawpy
from PIL import Image

from triage.ingest import jpeg
from triage.ingest.pixels import DECODER_ERRORS, BrokenPictureError, decode_jpeg_whole, refuse_huge


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
            preview = _preview(raw, needed)
            if preview is not None:
                return preview
            half = long_edge is not None and max(width, height) // 2 >= long_edge
            pixels = raw.postprocess(half_size=half, use_camera_wb=True, output_bps=8)
            return RawPicture(Image.fromarray(pixels), upright=True)
    except (rawpy.LibRawError, *DECODER_ERRORS) as error:
        msg = "is damaged: neither its preview nor its sensor data can be decoded"
        raise BrokenPictureError(msg) from error


def _preview(raw: rawpy.RawPy, needed: int) -> RawPicture | None:
    """Return the largest preview, or None where it is too small, damaged or absent."""
    try:
        thumb = raw.extract_thumb()
    except rawpy.LibRawError:
        return None
    if thumb.format == rawpy.ThumbFormat.BITMAP:
        pixels = np.asarray(thumb.data)
        if pixels.dtype == np.uint16:
            pixels = (pixels >> 8).astype(np.uint8)
        return RawPicture(Image.fromarray(pixels), upright=False) if max(pixels.shape[:2]) >= needed else None
    data = bytes(thumb.data)
    try:
        outline = jpeg.read_outline(lambda offset, count: data[offset : offset + count])
        if max(outline.width, outline.height) < needed:
            return None
        return RawPicture(decode_jpeg_whole(data, needed), upright=False, exif=outline.exif)
    except BrokenPictureError:
        return None
