"""The outline of a subject once it is found: all that belongs to it, without the shadow it casts."""

import cv2
import numpy as np

from triage.measure.regions import Region, joined, region_of
from triage.records.arrays import Mask, Plane

_CLEAR = 6.0
"""Evidence at the finest scale from which a pixel may belong to a subject..."""

_SHARE = 0.06
"""...but at least this share of the subject's own peak, so that a strong one does not swell by its blur."""

_SPECK = 0.01
"""Pieces of a single pixel, or smaller than this share of the subject's largest, are rims of shadows and sway."""

_JOIN_PX = 9
"""Pieces of one subject are joined across gaps up to this many pixels: legs, a tail beyond a dim rump."""

_DARKENED = (0.4, 0.97)
"""A cast shadow leaves this share of the scenery's square-root light: never all, nor next to nothing."""

_SAME_COLOUR = 0.1
"""Difference of colour, relative to lightness, up to which a darkened place may be the scenery in shadow."""


def outlined(region: Region, fine: Plane, frame: Plane, change: Plane) -> Region:
    """Outline a found subject anew.

    Parameters
    ----------
    region : Region
        Around the strongest evidence.
    fine : ndarray of float32, shape (M, N)
        Evidence at the finest scale.
    frame : ndarray of float32, shape (M, N, 3)
        `triage.measure.roots.search_picture` of the frame.
    change : ndarray of float32, shape (M, N, 3)
        What the scenery does not explain of it.

    Returns
    -------
    Region
        With what hangs together with it; the same where nothing else is clear.
    """
    own = float(fine[region.mask].max())
    above = (fine > max(_CLEAR, _SHARE * own)) & ~cast_shadow(frame, change)
    core = region.mask & above
    if not core.any():
        return region
    above = _without_specks(above, core)
    core &= above
    core &= fine >= np.median(fine[core])
    labels = cv2.connectedComponents(joined(above, _JOIN_PX))[1]
    return region_of(above & np.isin(labels, np.unique(labels[core])), region.strength)


def _without_specks(mask: Mask, core: Mask) -> Mask:
    """Leave out the pieces of a mask that are small beside the largest of the core's own."""
    _, labels, figures, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    sizes = figures[:, cv2.CC_STAT_AREA]
    largest = int(sizes[np.unique(labels[core])].max())
    return np.asarray(mask & (sizes >= min(largest, max(2.0, _SPECK * largest)))[labels])


def cast_shadow(frame: Plane, change: Plane) -> Mask:
    """Find the places that may be the scenery itself in shadow: darker, and of the same colour.

    Parameters
    ----------
    frame, change : ndarray of float32, shape (M, N, 3)
        As for `outlined`.

    Returns
    -------
    ndarray of bool, shape (M, N)
        A dark grey animal on grey ground passes for shadow, too.

    References
    ----------
    Horprasert, Harwood & Davis 1999, IEEE ICCV Frame-Rate Workshop: brightness and chromaticity distortion (from
    memory).
    """
    scenery = frame - change
    lightness = np.maximum(frame[..., 0], 0.02)
    share = frame[..., 0] / np.maximum(scenery[..., 0], 0.01)
    colour = np.abs(frame[..., 1:] - share[..., None] * scenery[..., 1:])
    same = colour[..., 0] + colour[..., 1] < _SAME_COLOUR * lightness
    return np.asarray(same & (share > _DARKENED[0]) & (share < _DARKENED[1]))
