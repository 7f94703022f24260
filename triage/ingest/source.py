"""The bytes of a file on the card: opened for reading only, the first part read once, the rest if needed."""

import enum
import io
import os
from pathlib import Path

HEAD_BYTES = 64 * 1024
"""What is read of every file at once: the identity of a frame and nearly all headers lie within."""

_NO_ACCESS_TIME: int = getattr(os, "O_NOATIME", 0)


class Form(enum.Enum):
    """What the first bytes of a file say it is, whatever its name says."""

    JPEG = enum.auto()
    HEIF = enum.auto()
    TIFF_RAW = enum.auto()
    CR3_RAW = enum.auto()
    RAF_RAW = enum.auto()
    OTHER_RAW = enum.auto()


_TIFF_STARTS = (b"II*\0", b"MM\0*", b"IIRO", b"IIRS", b"MMOR", b"IIU\0")
_OTHER_STARTS = (b"II\x1a\0\0\0HEAPCCDR", b"FOVb", b"\0MRM")
_HEIF_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"})


class CardBytes:
    """A file on the card as random-access bytes.

    Parameters
    ----------
    path : str
        Full path.

    Attributes
    ----------
    size : int
        Bytes in the file now (the listing may be older).
    head : bytes
        The first `HEAD_BYTES`, or all of a shorter file.
    """

    def __init__(self, path: str) -> None:
        self._file = io.FileIO(path, "rb", opener=_open_quietly)
        try:
            self.size = os.fstat(self._file.fileno()).st_size
            self.head = self._read_fully(HEAD_BYTES)
        except BaseException:
            self._file.close()
            raise

    def __enter__(self) -> "CardBytes":
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the file."""
        self._file.close()

    def at(self, offset: int, count: int) -> bytes:
        """Return the bytes from a place on; fewer where the file ends.

        Parameters
        ----------
        offset : int
            From the start of the file.
        count : int
            How many.

        Returns
        -------
        bytes
            Empty past the end.
        """
        if offset < 0 or count <= 0:
            return b""
        if offset + count <= len(self.head):
            return self.head[offset : offset + count]
        self._file.seek(offset)
        return self._read_fully(min(count, max(0, self.size - offset)))

    def whole(self) -> bytes:
        """Return the whole file."""
        if len(self.head) == self.size:
            return self.head
        # Again from the start, in one piece: joining the rest to the head would copy all of it once more.
        self._file.seek(0)
        return self._read_fully(self.size)

    def _read_fully(self, count: int) -> bytes:
        """Read on until `count` bytes or the end; one read of a pulled card may come short."""
        parts = []
        while count > 0:
            part = self._file.read(count)
            if not part:
                break
            parts.append(part)
            count -= len(part)
        return b"".join(parts)


def full_path(root: Path, path: str) -> str:
    """Return the path of a file on the card for the operating system.

    Parameters
    ----------
    root : Path
        The card's folder.
    path : str
        Relative, with forward slashes.

    Returns
    -------
    str
        Absolute if `root` is.
    """
    return os.path.join(root, *path.split("/"))  # noqa: PTH118 - Path would normalise names it must not touch


def form_of(head: bytes) -> Form | None:
    """Return what a file is by its first bytes.

    Parameters
    ----------
    head : bytes
        At least 16 bytes of the start, where the file has them.

    Returns
    -------
    Form or None
        None where it is no picture a camera writes.
    """
    if head[:3] == b"\xff\xd8\xff":
        return Form.JPEG
    if head[4:8] == b"ftyp":
        if head[8:12] == b"crx ":
            return Form.CR3_RAW
        return Form.HEIF if head[8:12] in _HEIF_BRANDS else None
    if head.startswith(b"FUJIFILMCCD-RAW"):
        return Form.RAF_RAW
    if head.startswith(_OTHER_STARTS):
        return Form.OTHER_RAW
    return Form.TIFF_RAW if head.startswith(_TIFF_STARTS) else None


def _open_quietly(path: str, flags: int) -> int:
    """Open so that not even the time of the last access is written to the card, where that can be had."""
    if _NO_ACCESS_TIME:
        try:
            return os.open(path, flags | _NO_ACCESS_TIME)
        except PermissionError:  # only the owner may ask for it; a real refusal comes back below
            pass
    return os.open(path, flags)
