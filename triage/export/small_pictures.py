"""Small pictures that hold nothing but the picture."""

from collections.abc import Callable

import cv2
import numpy as np

from triage.errors import OutputError
from triage.records.arrays import Rgb
from triage.records.frame import Frame

Decode = Callable[[Frame, int], Rgb]
"""Gives the picture of a frame with at least so many pixels along its long edge, where the file has them."""

JPEG_QUALITY = 85


def jpeg(rgb: Rgb, long_edge: int) -> tuple[bytes, int, int]:
    """Make a small JPEG that holds nothing but the picture: no header of the camera's, no place.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (M, N, 3)
        As displayed.
    long_edge : int
        Pixels at most.

    Returns
    -------
    data : bytes
        The file.
    width, height : int
        In pixels.

    Raises
    ------
    OutputError
        The picture cannot be coded.
    """
    rows, columns = rgb.shape[:2]
    scale = min(1.0, long_edge / max(rows, columns))
    size = (max(1, round(columns * scale)), max(1, round(rows * scale)))
    small = np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), np.uint8)
    done, data = cv2.imencode(
        ".jpg", cv2.cvtColor(small, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY]
    )
    if not done:
        msg = "A picture could not be coded as JPEG."
        raise OutputError(msg)
    return data.tobytes(), size[0], size[1]
