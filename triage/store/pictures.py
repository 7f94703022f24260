"""Measuring pictures kept on the disk: packed without loss, in files that are only ever added to."""

import os
import struct
import tempfile
import threading
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import IO, Self

import numpy as np
import zstandard

from triage.errors import OutputError
from triage.records.arrays import Rgb
from triage.store.cache import KEPT_BYTES, prune

PACK_ENDING = ".pictures"

_PACK_BYTES = 200_000_000
"""A new pack is begun after so many, since packs are pruned whole."""

_LEVEL = 1
_RECORD = struct.Struct("<4s16sIHH")
"""Sign, key, length of what follows, rows, columns."""
_SIGN = b"CTp1"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a picture lies.

    Attributes
    ----------
    file : file
        The pack, open.
    start, length : int
        The packed bytes in it.
    shape : tuple of int
        Rows, columns and channels of the picture.
    """

    file: IO[bytes]
    start: int
    length: int
    shape: tuple[int, int, int]


class PictureStore:
    """Measuring pictures of this run and, with a folder, of earlier ones.

    Without a folder they lie in one temporary file that has no name any more once it is open, so that nothing is
    left behind, whatever happens. Safe in threads.

    Parameters
    ----------
    folder : Path or None
        The cache.
    room : int
        Bytes left to the folder's packs when the store is closed.
    """

    def __init__(self, folder: Path | None, *, room: int = KEPT_BYTES) -> None:
        self._folder = folder
        self._room = room
        self._lock = threading.Lock()
        self._open: list[tuple[IO[bytes], Path | None]] = []
        self._used: set[IO[bytes]] = set()
        self._known: dict[bytes, Place] = {}
        self._file: IO[bytes] | None = None
        self._end = 0
        self._own = threading.local()
        if folder is not None:
            for path in sorted(folder.glob(f"*{PACK_ENDING}")):
                self._list(path)

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close all files and give back the room beyond what is kept."""
        for file, path in self._open:
            file.close()
            if path is not None and file in self._used:  # what was used last is pruned last
                with suppress(OSError):
                    os.utime(path)
        if self._folder is not None:
            prune(self._folder, PACK_ENDING, room=self._room)

    def find(self, key: bytes) -> Place | None:
        """Return where a picture of an earlier run lies.

        Parameters
        ----------
        key : bytes
            16 bytes.

        Returns
        -------
        Place or None
            None where it was never put, or is pruned.
        """
        place = self._known.get(key)
        if place is not None:
            self._used.add(place.file)
        return place

    def put(self, key: bytes, picture: Rgb) -> Place:
        """Keep a picture.

        Parameters
        ----------
        key : bytes
            16 bytes; what they stand for never changes.
        picture : ndarray of uint8, shape (M, N, 3)
            Any picture of less than 65,536 rows and columns.

        Returns
        -------
        Place
            For `get`.

        Raises
        ------
        OutputError
            No room is left on the disk.
        """
        # Each row as its difference from the one above: that packs better, and costs a fifth of a millisecond.
        steps = picture.copy()
        steps[1:] -= picture[:-1]
        data = self._packer().compress(steps.tobytes())
        rows, cols, channels = picture.shape
        record = _RECORD.pack(_SIGN, key, len(data), rows, cols)
        with self._lock:
            file = self._writable()
            start = self._end
            try:
                file.seek(start)
                rest = memoryview(record + data)
                while rest:  # an unbuffered write may take less than it is given, up to the last free byte
                    rest = rest[file.write(rest) :]
            except OSError as error:
                where = self._open[-1][1]
                folder = where.parent if where else tempfile.gettempdir()
                msg = f"No room for temporary files in {folder}: {error.strerror}. Free some space and try again."
                raise OutputError(msg) from error
            self._end = start + len(record) + len(data)
        return Place(file, start + len(record), len(data), (rows, cols, channels))

    def get(self, place: Place) -> Rgb | None:
        """Read a picture back.

        Parameters
        ----------
        place : Place
            From `put` or `find`.

        Returns
        -------
        ndarray of uint8, shape (M, N, 3), or None
            As it was put; None where it cannot be read any more, or other bytes lie there now.
        """
        with self._lock:
            try:
                place.file.seek(place.start)
                data = place.file.read(place.length)
            except OSError:
                return None
        rows, cols, channels = place.shape
        try:
            steps = self._unpacker().decompress(data, max_output_size=rows * cols * channels)
        except zstandard.ZstdError:
            return None
        if len(steps) != rows * cols * channels:
            return None
        picture = np.frombuffer(bytearray(steps), np.uint8).reshape(rows, cols * channels)
        for row in range(1, rows):  # three times as fast as adding up all at once
            picture[row] += picture[row - 1]
        return picture.reshape(place.shape)

    def _packer(self) -> zstandard.ZstdCompressor:
        if not hasattr(self._own, "packer"):
            self._own.packer = zstandard.ZstdCompressor(level=_LEVEL, write_checksum=True)
        packer: zstandard.ZstdCompressor = self._own.packer
        return packer

    def _unpacker(self) -> zstandard.ZstdDecompressor:
        if not hasattr(self._own, "unpacker"):
            self._own.unpacker = zstandard.ZstdDecompressor()
        unpacker: zstandard.ZstdDecompressor = self._own.unpacker
        return unpacker

    def _writable(self) -> IO[bytes]:
        """Return the file that is added to: the temporary one, or a pack of this run alone."""
        if self._file is None or (self._folder is not None and self._end > _PACK_BYTES):
            self._file, path = self._begun()
            self._end = 0
            self._open.append((self._file, path))
        return self._file

    def _begun(self) -> tuple[IO[bytes], Path | None]:
        if self._folder is not None:
            with suppress(OSError):
                self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
                number, path = tempfile.mkstemp(suffix=PACK_ENDING, dir=self._folder)
                return open(number, "r+b", buffering=0), Path(path)  # noqa: PTH123 - closed by __exit__
        return tempfile.TemporaryFile(prefix="card-triage-", buffering=0), None

    def _list(self, path: Path) -> None:
        """Note what lies in a pack of an earlier run, up to where it ends or was cut."""
        try:
            file = path.open("rb", buffering=0)
        except OSError:
            return
        self._open.append((file, path))
        with suppress(OSError):
            size = path.stat().st_size
            start = 0
            while start + _RECORD.size <= size:
                file.seek(start)
                head = file.read(_RECORD.size)
                sign, key, length, rows, cols = _RECORD.unpack(head)
                start += _RECORD.size + length
                if sign != _SIGN or start > size:
                    return
                self._known[key] = Place(file, start - length, length, (rows, cols, 3))
