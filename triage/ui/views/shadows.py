"""Lifting of shadows, for looking into dark frames; the files are not touched."""

from functools import cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage

STEPS_EV = (0.0, 3.0, 5.0)
"""Off, and two strengths, in stops."""


@cache
def lift_table(stops: float) -> NDArray[np.uint8]:
    """Return the new sRGB code for each old one.

    In linear light, deep shadows rise by `stops`; lighter tones less and less, so that white stays white.
    """
    coded = np.arange(256) / 255.0
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    gain = 2.0**stops
    lifted = gain * linear / (1.0 + (gain - 1.0) * linear)
    out = np.where(lifted <= 0.0031308, lifted * 12.92, 1.055 * lifted ** (1 / 2.4) - 0.055)
    table: NDArray[np.uint8] = np.rint(out * 255.0).astype(np.uint8)
    return table


def lifted(image: QImage, stops: float) -> QImage:
    """Return an image with its shadows lifted."""
    rgb = image.convertToFormat(QImage.Format.Format_RGB888)
    height, width, stride = rgb.height(), rgb.width(), rgb.bytesPerLine()
    rows = np.frombuffer(rgb.constBits(), np.uint8).reshape(height, stride)
    coded = np.ascontiguousarray(lift_table(stops)[rows])
    return QImage(coded.data, width, height, stride, QImage.Format.Format_RGB888).copy()
