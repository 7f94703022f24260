"""What changes from frame to frame without anybody there: noise, sway, flakes, drifting shade."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from triage.records.arrays import Plane

SCALES = (0.75, 1.5, 3.0, 6.0)
"""Widths (Gaussian sigma, in pixels of the searched picture) at which changes are looked for."""

COARSER = (1, 1, 2, 4)
"""How many times smaller the picture is at each scale: what is smooth is told as well from fewer pixels."""

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
        One for each of `SCALES`, as many times smaller than the picture as `COARSER` says, in the units of
        `triage.measure.scenery.compare`.
    """

    sizes: tuple[Plane, ...]


def at_scales(change: Plane) -> tuple[Plane, ...]:
    """Smooth a change to all scales.

    Parameters
    ----------
    change : ndarray of float32, shape (M, N, 3)
        From `triage.measure.scenery.compare`.

    Returns
    -------
    tuple of ndarray of float32, shape (M, N, 3)
        One for each of `SCALES`, as many times smaller than the picture as `COARSER` says, rounded up.
    """
    found = []
    smaller, factor = change, 1
    for scale, coarser in zip(SCALES, COARSER, strict=True):
        if coarser > factor:
            rows, cols = smaller.shape[:2]
            smaller = np.asarray(
                cv2.resize(smaller, (-(-cols // 2), -(-rows // 2)), interpolation=cv2.INTER_AREA)
            )
            factor = coarser
        # Averaging over squares has smoothed already, by as much as an even spread over their width.
        left = (scale**2 - (factor**2 - 1) / 12) ** 0.5 / factor
        found.append(np.asarray(cv2.GaussianBlur(smaller, (0, 0), left), np.float32))
    return tuple(found)


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
    scaled = list(zip(*(at_scales(change) for change in changes), strict=True))
    return Wobble(
        tuple(
            _usual_size(at_scale, scale, coarser)
            for at_scale, scale, coarser in zip(scaled, SCALES, COARSER, strict=True)
        )
    )


def _usual_size(changes: Sequence[Plane], scale: float, coarser: int) -> Plane:
    """Take a robust spread over the frames at each place."""
    shape = changes[0].shape
    # The numbers of a place side by side are sorted in half the time.
    stack = np.ascontiguousarray(np.stack(changes).reshape(len(changes), -1).T)
    np.abs(stack, out=stack)
    stack.sort(axis=1)
    low, half, most = (
        stack[:, round(share * (len(changes) - 1))].reshape(shape) for share in (0.3, 0.5, 0.7)
    )
    size = np.minimum(np.maximum(1.4826 * half, most), _AT_MOST * low + _LEAST)
    # Larger by a pixel of the searched picture all around.
    size += (cv2.dilate(size, np.ones((3, 3), np.uint8)) - size) / coarser
    size = np.asarray(cv2.GaussianBlur(size, (0, 0), max(1.0, scale / 2) / coarser), np.float32)
    floor = np.median(size, axis=(0, 1))
    return np.asarray(np.maximum(size, 0.6 * floor) + _LEAST, np.float32)
