"""Measuring pictures kept off the heap, so that memory does not grow with the card."""

import tempfile
import threading
from types import TracebackType

import numpy as np

from triage.errors import OutputError
from triage.records.arrays import Rgb


class Spool:
    """Measuring pictures in one anonymous temporary file, read back by place.

    The file has no name any more once it is open, so nothing is left behind, whatever happens.
    """

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile(prefix="card-triage-", buffering=0)  # noqa: SIM115 - closed by __exit__
        self._places: dict[int, tuple[int, tuple[int, int, int]]] = {}
        self._end = 0
        self._lock = threading.Lock()

    def __enter__(self) -> "Spool":
        """Return itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Give the space back."""
        self._file.close()

    def put(self, index: int, picture: Rgb) -> None:
        """Keep a picture.

        Parameters
        ----------
        index : int
            The frame.
        picture : ndarray of uint8, shape (M, N, 3)
            Its measuring picture.

        Raises
        ------
        OutputError
            No room is left on the disk for temporary files.
        """
        with self._lock:
            try:
                self._file.seek(self._end)
                rest = memoryview(np.ascontiguousarray(picture).tobytes())
                while rest:  # an unbuffered write may take less than it is given, up to the last free byte
                    rest = rest[self._file.write(rest) :]
            except OSError as error:
                folder = tempfile.gettempdir()
                msg = f"No room for temporary files in {folder}: {error.strerror}. Free some space and try again."
                raise OutputError(msg) from error
            rows, cols, channels = picture.shape
            self._places[index] = (self._end, (rows, cols, channels))
            self._end += picture.size

    def shape(self, index: int) -> tuple[int, int, int]:
        """Give a picture's shape without reading it.

        Parameters
        ----------
        index : int
            The frame.

        Returns
        -------
        tuple of int
            Rows, columns, channels.
        """
        return self._places[index][1]

    def get(self, index: int) -> Rgb:
        """Read a picture back.

        Parameters
        ----------
        index : int
            The frame.

        Returns
        -------
        ndarray of uint8, shape (M, N, 3)
            As it was put.
        """
        start, shape = self._places[index]
        with self._lock:
            self._file.seek(start)
            data = self._file.read(shape[0] * shape[1] * shape[2])
        return np.frombuffer(data, np.uint8).reshape(shape)
