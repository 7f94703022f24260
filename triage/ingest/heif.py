"""HEIF pictures (ISO/IEC 23008-12) through the library that knows them."""

import io

import pillow_heif
from PIL import Image

_EXIF_START = b"Exif\0\0"
_DAMAGED = "is damaged: its picture data cannot be decoded"


class HeifError(Exception):
    """A HEIF picture that cannot be read; its text goes on from the file's name."""


def read_heif_header(data: bytes) -> tuple[bytes | None, tuple[int, int]]:
    """Read the Exif block and the displayed size.

    Parameters
    ----------
    data : bytes
        The whole file: the tags may stand at its end.

    Returns
    -------
    (bytes or None, (int, int))
        The TIFF block, and width and height as displayed.

    Raises
    ------
    HeifError
        The file cannot be read.
    """
    picture = _open(data)
    block = picture.info.get("exif")
    if isinstance(block, bytes) and block.startswith(_EXIF_START):
        block = block[len(_EXIF_START) :]
    return block or None, (picture.size[0], picture.size[1])


def decode_heif(data: bytes) -> Image.Image:
    """Decode the main picture, turned as displayed.

    Parameters
    ----------
    data : bytes
        The whole file.

    Returns
    -------
    Image
        In mode RGB or RGBA.

    Raises
    ------
    HeifError
        The file cannot be decoded whole.
    """
    picture = _open(data)
    try:
        return picture.to_pillow()
    except (OSError, ValueError, RuntimeError, EOFError, SyntaxError, MemoryError) as error:
        raise HeifError(_DAMAGED) from error


def _open(data: bytes) -> pillow_heif.HeifFile:
    try:
        return pillow_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=True)
    except (OSError, ValueError, RuntimeError, EOFError, SyntaxError, MemoryError) as error:
        raise HeifError(_DAMAGED) from error
