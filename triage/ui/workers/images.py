"""Pictures as Qt wants them, and first looks kept off the heap."""

import contextlib
import tempfile
import threading
from dataclasses import dataclass
from typing import BinaryIO

import cv2
import numpy as np
from PySide6.QtGui import QImage

from triage.records.arrays import Rgb

THUMBNAIL_EDGE = 168
LOOK_QUALITY = 82
"""JPEG quality of a kept first look; at 480 pixels it takes some 25 kB in place of 460."""
COARSE = 0.75
"""Below this scale every pixel has to be averaged in, or fine detail glitters; above it, that is only slow."""


def to_image(rgb: Rgb) -> QImage:
    """Return a `QImage` with pixels of its own."""
    rows, columns = rgb.shape[:2]
    packed = np.ascontiguousarray(rgb)
    return QImage(packed.data, columns, rows, 3 * columns, QImage.Format.Format_RGB888).copy()


def to_screen(rgb: Rgb, long_edge: int) -> QImage:
    """Return an image of the size it is shown at, in the screen's own layout of pixels.

    Called in a worker: the window's thread is then left with copying it to the screen. A picture a little
    smaller than wanted is drawn out, one that is much smaller stays as it is.
    """
    rows, columns = rgb.shape[:2]
    scale = long_edge / max(rows, columns)
    if scale < 1.0 or scale * SCREEN_SHARE <= 1.0:
        size = (max(1, round(columns * scale)), max(1, round(rows * scale)))
        how = cv2.INTER_AREA if scale < COARSE else cv2.INTER_LINEAR
        rgb = np.asarray(cv2.resize(rgb, size, interpolation=how), np.uint8)
    # Four bytes for a pixel, blue first: `Format_RGB32` where the low byte comes first, as on all Qt supports.
    rows, columns = rgb.shape[:2]
    packed = np.ascontiguousarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2BGRA))
    return QImage(packed.data, columns, rows, 4 * columns, QImage.Format.Format_RGB32).copy()


SCREEN_SHARE = 0.92
"""A picture decoded to so much of the size on the screen is drawn out to it: nobody sees the difference, and
a decoder that only halves sizes is often spared four times the pixels."""


def pack(rgb: Rgb) -> bytes:
    """Return a small picture as a JPEG; other threads go on meanwhile."""
    done, data = cv2.imencode(
        ".jpg", cv2.cvtColor(rgb, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, LOOK_QUALITY]
    )
    return data.tobytes() if done else b""


class LookBook:
    """The first looks of one card, in one anonymous temporary file.

    In memory those of 20,000 frames would take 500 MB. The file has no name any more once it is open, so
    nothing is left behind, whatever happens; without room on the disk there are no first looks.
    """

    def __init__(self) -> None:
        self._file: BinaryIO | None = None
        self._is_closed = False
        self._lock = threading.Lock()
        self._end = 0

    def keep(self, rgb: Rgb) -> "FirstLook | None":
        """Keep a measuring picture; may be called in any thread. None where it cannot be kept."""
        data = pack(rgb)
        rows, columns = rgb.shape[:2]
        with self._lock, contextlib.suppress(OSError):
            if self._is_closed:
                return None
            if self._file is None:
                self._file = tempfile.TemporaryFile(prefix="card-triage-")  # noqa: SIM115 - closed by `close`
            place = self._file.seek(self._end)
            self._file.write(data)
            self._file.flush()
            self._end = place + len(data)
            return FirstLook(self, place, len(data), (columns, rows))
        return None

    def read(self, place: int, length: int) -> bytes:
        """Read one back; nothing once the book is closed."""
        with self._lock, contextlib.suppress(OSError):
            if self._file is not None:
                self._file.seek(place)
                return self._file.read(length)
        return b""

    def close(self) -> None:
        """Give the space back."""
        with self._lock:
            self._is_closed = True
            if self._file is not None:
                with contextlib.suppress(OSError):
                    self._file.close()
                self._file = None


@dataclass(frozen=True, slots=True)
class FirstLook:
    """A frame's measuring picture, at hand until its full picture is needed.

    Attributes
    ----------
    book : LookBook
        Where it is kept.
    place, length : int
        Where in it.
    size : tuple of int
        Width and height.
    """

    book: LookBook
    place: int
    length: int
    size: tuple[int, int]

    def image(self) -> QImage:
        """Return the whole first look."""
        return QImage.fromData(self.book.read(self.place, self.length))

    def thumbnail(self, edge: int = THUMBNAIL_EDGE) -> QImage:
        """Return it small; may be called in any thread.

        Not by Qt's reader: that asks its plugins while it holds a lock, and a buffer made in Python needs the
        interpreter for its answer, which the window's thread may keep while it waits for that same lock.
        """
        data = np.frombuffer(self.book.read(self.place, self.length), np.uint8)
        half = cv2.imdecode(data, cv2.IMREAD_REDUCED_COLOR_2) if data.size else None
        if half is None:
            return QImage()
        return to_screen(np.asarray(cv2.cvtColor(half, cv2.COLOR_BGR2RGB), np.uint8), edge)
