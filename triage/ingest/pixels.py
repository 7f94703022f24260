"""Decode a JPEG to pixels, and tell whether all of it is there."""

from dataclasses import dataclass
from functools import cached_property
from typing import BinaryIO, cast

import numpy as np
from PIL import Image, JpegImagePlugin

from triage.ingest import jpeg
from triage.ingest.pieces import Pieces
from triage.ingest.wording import ends_early
from triage.records.arrays import Rgb

MOST_PIXELS = 200_000_000
"""Larger pictures are refused: no camera for this trade makes them, and they would fill the memory."""

_START, END_MARKER = b"\xff\xd8", b"\xff\xd9"
# Two fillers that differ from the first bit on: at most one of them can go on as the missing data did.
_FILLERS = (b"\x55\xaa\x0f" * 400, b"\xaa\x55\xf0" * 400)
_BLANK_SECTOR = bytes(512)
_RESTARTS = 0xDD
_LEFT_OVER = 64  # bytes; no picture can do without so many of its last ones
# Four times the library's own measure: between two pieces a thread may have to wait for others.
_FED_BYTES = 1 << 18
_BLANK = 128  # what the decoder leaves where the data end too early: no signal, which is mid-grey
DECODER_ERRORS = (OSError, ValueError, SyntaxError, IndexError, MemoryError)
"""What the libraries raise for damaged data."""


class BrokenPictureError(Exception):
    """A picture that cannot be decoded whole; its text goes on from the file's name."""


@dataclass(frozen=True)
class JpegData:
    """A JPEG ready for the decoder.

    Attributes
    ----------
    outline : jpeg.Outline
        Its header.
    before : bytes
        Start and the segments the decoder needs; the camera's notes are dropped, they may be damaged.
    data : bytes
        The whole file. It is not taken apart: at ten megabytes each copy costs as much as a twentieth of the
        decoding.
    scan : int
        Where the picture data begin in it.
    """

    outline: jpeg.Outline
    before: bytes
    data: bytes
    scan: int

    @classmethod
    def of(cls, data: bytes) -> "JpegData":
        """Take a file apart.

        Parameters
        ----------
        data : bytes
            The whole file.

        Returns
        -------
        JpegData
            Its parts.

        Raises
        ------
        BrokenPictureError
            No picture data in it, or a size that is refused.
        """
        outline = jpeg.read_outline(lambda offset, count: data[offset : offset + count])
        if outline.scan is None or not outline.width or not outline.height:
            msg = "ends before its picture begins"
            raise BrokenPictureError(msg)
        refuse_huge(outline.width, outline.height)
        before = _START + b"".join(data[start:stop] for start, stop in outline.needed)
        return cls(outline, before, data, outline.scan)

    @cached_property
    def ending(self) -> jpeg.ScanEnd:
        """Where the picture data end: looked for when it is asked, since that costs a twentieth of the decoding."""
        return jpeg.find_scan_end(self.data, self.scan)

    def decode(self, long_edge: int | None = None, *, filler: bytes = b"", left_over: int = 0) -> Image.Image:
        """Decode with an end marker put where it belongs.

        Parameters
        ----------
        long_edge : int, optional
            Decode at the smallest scale that keeps at least so many pixels along the long edge.
        filler : bytes
            Put after the picture data; a whole picture does not change by it.
        left_over : int
            So many bytes of the picture data are left out at their end.

        Returns
        -------
        Image
            Loaded; grey where data are missing.

        Raises
        ------
        BrokenPictureError
            The decoder gives up.
        """
        stop = self.ending.offset - left_over
        return self._decoded(long_edge, memoryview(self.data)[self.scan : stop], filler + END_MARKER)

    def _decoded(self, long_edge: int | None, *scan: bytes | memoryview) -> Image.Image:
        """Decode from some picture data."""
        try:
            source = cast("BinaryIO", Pieces(self.before, *scan))
            image = JpegImagePlugin.JpegImageFile(source)
            image.decodermaxblock = _FED_BYTES
            if long_edge is not None:
                image.draft("RGB", fitted(image.size, long_edge))
            image.load()
        except DECODER_ERRORS as error:
            msg = "is damaged: its picture data cannot be decoded"
            raise BrokenPictureError(msg) from error
        return image

    def decode_whole(self, long_edge: int | None = None) -> Image.Image:
        """Decode, and make sure that all of the picture is there.

        Parameters
        ----------
        long_edge : int, optional
            As in `decode`.

        Returns
        -------
        Image
            Loaded.

        Raises
        ------
        BrokenPictureError
            Truncated, overwritten or undecodable.

        Notes
        -----
        A file without end marker whose picture is complete is taken as whole. Damage in the middle that
        leaves the length of the data right cannot be told from a picture; a blank sector is noticed where it
        leaves data over at the end, as nearly all do.
        """
        return self._plainly_whole(long_edge) or self._proved_whole(long_edge)

    def _plainly_whole(self, long_edge: int | None) -> Image.Image | None:
        """Decode as the file stands; None where anything gives cause for doubt.

        A decoder that meets a marker before the picture is complete leaves the rest blank, to the last pixel; but not
        where markers stand all along the picture data, nor where the picture comes in several passes.
        """
        ends = self.data.endswith(END_MARKER) and not _may_be_blank(self.data, self.scan)
        if not ends or self.outline.progressive or self._restarts():
            return None
        try:
            image = self._decoded(long_edge, memoryview(self.data)[self.scan :])
        except BrokenPictureError:
            return None
        return None if _ends_blank(image) else image

    def _restarts(self) -> bool:
        """Whether the decoder may find its way again behind a marker."""
        return any(self.data[start + 1] == _RESTARTS for start, _ in self.outline.needed)

    def _proved_whole(self, long_edge: int | None) -> Image.Image:
        """Decode up to where the picture data end, and look into every doubt."""
        image = self.decode(long_edge)
        doubtful = not self.ending.marked or (not self.outline.progressive and _ends_blank(image))
        if doubtful and not self.is_whole():
            raise BrokenPictureError(_where_it_ends(self, image))
        if self.has_hole():
            msg = "is damaged: a part in the middle of its picture data is blank"
            raise BrokenPictureError(msg)
        return image

    def has_blank_sector(self) -> bool:
        """Whether as many zero bytes as a sector holds follow each other in the picture data."""
        stop = self.ending.offset
        return _may_be_blank(self.data, self.scan) and self.data.find(_BLANK_SECTOR, self.scan, stop) >= 0

    def has_hole(self) -> bool:
        """Whether a sector inside the picture data is blank and threw the decoder out of step.

        Very dark pictures may hold as many zero bytes by right; but then no data are left over at the end.
        """
        if not self.has_blank_sector():
            return False
        return self.decode(left_over=_LEFT_OVER).tobytes() == self.decode().tobytes()

    def is_whole(self) -> bool:
        """Whether all picture data are there: then what follows them cannot change the picture.

        Costs three decodes at full size, so it is asked only where there is a reason for doubt.
        """
        plain = self.decode().tobytes()
        return all(self.decode(filler=filler).tobytes() == plain for filler in _FILLERS)


def refuse_huge(width: int, height: int) -> None:
    """Refuse a picture of more than `MOST_PIXELS`.

    Parameters
    ----------
    width, height : int
        Pixels.

    Raises
    ------
    BrokenPictureError
        With the size in words.
    """
    if width * height > MOST_PIXELS:
        msg = (
            f"says it is {width} by {height} pixels, which is more than the "
            f"{MOST_PIXELS // 10**6} million that are read; most likely it is damaged"
        )
        raise BrokenPictureError(msg)


def fitted(size: tuple[int, int], long_edge: int) -> tuple[int, int]:
    """Return the size with the long edge made `long_edge`, never larger than it is.

    Parameters
    ----------
    size : (int, int)
        Width and height.
    long_edge : int
        Pixels.

    Returns
    -------
    (int, int)
        Each at least 1.
    """
    longest = max(size)
    if longest <= long_edge:
        return size
    width, height = (max(1, round(side * long_edge / longest)) for side in size)
    return width, height


def decode_jpeg_whole(data: bytes, long_edge: int | None = None) -> Image.Image:
    """Decode a JPEG and make sure that all of it is there; see `JpegData.decode_whole`.

    Parameters
    ----------
    data : bytes
        The whole file.
    long_edge : int, optional
        As in `JpegData.decode`.

    Returns
    -------
    Image
        Loaded.

    Raises
    ------
    BrokenPictureError
        Truncated, overwritten or undecodable.
    """
    return JpegData.of(data).decode_whole(long_edge)


def _ends_blank(image: Image.Image) -> bool:
    value = image.getpixel((image.width - 1, image.height - 1))
    return value in {_BLANK, (_BLANK,) * 3, (_BLANK,) * 4}


def _may_be_blank(data: bytes, start: int) -> bool:
    """Whether a blank sector may lie behind a place: each would hold four of the bytes looked at."""
    few = np.frombuffer(data, np.uint8)[start :: len(_BLANK_SECTOR) // 4] == 0
    return bool((few[:-3] & few[1:-2] & few[2:-1] & few[3:]).any())


def _where_it_ends(parts: JpegData, image: Image.Image) -> str:
    if parts.outline.progressive:
        return "ends before its picture is complete"
    pixels = np.asarray(image).reshape(image.height, -1)
    read = np.flatnonzero((pixels != _BLANK).any(axis=1))
    share = (int(read[-1]) + 1) / image.height if read.size else 0.0
    return ends_early(1 - share, "its picture")


def to_rgb(image: Image.Image) -> Rgb:
    """Return the pixels of any mode a decoder gives.

    Parameters
    ----------
    image : Image
        8 or 16 bits, grey, colour, CMYK or with transparency.

    Returns
    -------
    ndarray of uint8, shape (M, N, 3)
        Contiguous.
    """
    if image.mode.startswith("I;16") or image.mode == "I":
        grey = (np.asarray(image).astype(np.uint32) >> 8).clip(0, 255).astype(np.uint8)
        return np.ascontiguousarray(np.repeat(grey[:, :, None], 3, axis=2))
    return np.ascontiguousarray(np.asarray(image if image.mode == "RGB" else image.convert("RGB")))


def turned(rgb: Rgb, orientation: int) -> Rgb:
    """Turn stored pixels as they are to be displayed.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (M, N, 3)
        As stored.
    orientation : int
        Exif Orientation, 1 to 8.

    Returns
    -------
    ndarray of uint8
        Contiguous; rows and columns swapped for 5 to 8.
    """
    if orientation in {5, 6, 7, 8}:
        rgb = rgb.transpose(1, 0, 2)
    if orientation in {3, 4, 7, 8}:
        rgb = rgb[::-1]
    if orientation in {2, 3, 6, 7}:
        rgb = rgb[:, ::-1]
    return np.ascontiguousarray(rgb)
