"""Pictures as Qt wants them."""

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QSize, Qt
from PySide6.QtGui import QImage, QImageReader, QImageWriter

from triage.records.arrays import Rgb

THUMBNAIL_EDGE = 168
LOOK_QUALITY = 82
"""JPEG quality of a kept first look; at 480 pixels it takes some 25 kB in place of 460."""


def to_image(rgb: Rgb) -> QImage:
    """Return a `QImage` with pixels of its own."""
    rows, columns = rgb.shape[:2]
    packed = np.ascontiguousarray(rgb)
    return QImage(packed.data, columns, rows, 3 * columns, QImage.Format.Format_RGB888).copy()


@dataclass(frozen=True, slots=True)
class FirstLook:
    """A frame's measuring picture, kept small until its full picture is needed.

    Attributes
    ----------
    data : bytes
        The picture as a JPEG.
    size : tuple of int
        Width and height.
    """

    data: bytes
    size: tuple[int, int]

    @staticmethod
    def of(rgb: Rgb) -> "FirstLook":
        """Pack a measuring picture; may be called in any thread."""
        image = to_image(rgb)
        packed = QByteArray()
        buffer = QBuffer(packed)
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        writer = QImageWriter(buffer, QByteArray(b"jpg"))
        writer.setQuality(LOOK_QUALITY)
        writer.write(image)
        buffer.close()
        return FirstLook(bytes(packed.data()), (image.width(), image.height()))

    def image(self) -> QImage:
        """Return the whole first look."""
        return QImage.fromData(self.data)

    def thumbnail(self, edge: int = THUMBNAIL_EDGE) -> QImage:
        """Return it small, decoded small to be quick."""
        buffer = QBuffer()
        buffer.setData(self.data)
        buffer.open(QIODevice.OpenModeFlag.ReadOnly)
        reader = QImageReader(buffer)
        reader.setScaledSize(QSize(*self.size).scaled(edge, edge, Qt.AspectRatioMode.KeepAspectRatio))
        return reader.read()
