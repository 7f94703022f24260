"""What changes from frame to frame without anybody there: noise, sway, flakes, drifting shade."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from triage.records.arrays import Plane

SCALES = (0.75, 1.5, 3.0, 6.0)
"""Widths (Gaussian sigma, in pixels of the searched picture) at which changes are looked for."""

_AT_MOST = 4.0
"""The usual size is at most this many times that of the quieter frames: an animal that comes to one place time and
again must not pass for the place's own unrest. For noise alone it stays out of reach (2.7 times)."""

_LEAST = 4e-4
"""Smallest wobble assumed, in square-root units: about a tenth of a code value at middle grey."""


@dataclass(frozen=True, slots=True)
class Wobble:
    """The usual size of change at each place and scale.

    Attributes
    ----------
    sizes : tuple of ndarray of float32, shape (M, N, 3)
        One for each of `SCALES`, in the units of `triage.measure.scenery.compare`.
    """

    sizes: tuple[Plane, ...]


def at_scale(change: Plane, scale: float) -> Plane:
    """Smooth a change to a scale.

    Parameters
    ----------
    change : ndarray of float32, shape (M, N, 3)
        From `triage.measure.scenery.compare`.
    scale : float
        Gaussian sigma in pixels.

    Returns
    -------
    ndarray of float32, shape (M, N, 3)
        Smoothed change.
    """
    return np.asarray(cv2.GaussianBlur(change, (0, 0), scale), np.float32)


def learn_wobble(changes: Sequence[Plane]) -> Wobble:
    """Learn the usual size of change from a sample of frames, most of which may hold a subject somewhere.

    Parameters
    ----------
    changes : sequence of ndarray of float32, shape (M, N, 3)
        Unexplained changes of some frames, at least one.

    Returns
    -------
    Wobble
        A robust spread over the frames at each place, floored by the picture's usual spread.
    """
    kernel = np.ones((3, 3), np.uint8)
    sizes = []
    for scale in SCALES:
        stack = np.sort(np.abs(np.stack([at_scale(change, scale) for change in changes])), axis=0)
        low, half, most = (stack[round(share * (len(stack) - 1))] for share in (0.3, 0.5, 0.7))
        size = np.minimum(np.maximum(1.4826 * half, most), _AT_MOST * low + _LEAST)
        size = cv2.GaussianBlur(cv2.dilate(size, kernel), (0, 0), max(1.0, scale / 2))
        floor = np.median(size, axis=(0, 1))
        sizes.append(np.asarray(np.maximum(size, 0.6 * floor) + _LEAST, np.float32))
    return Wobble(tuple(sizes))
