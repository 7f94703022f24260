"""The outline of a subject once it is found: all that belongs to it, without the shadow it casts.

What finds a subject works at half size and leaves out what may be sway or flakes, so its region is rough. Here the
place is looked at closely, at full size, against a few other frames as they are: what none of them shows and what
hangs together with the region is the subject.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from triage.measure.blocks import gain_over, smooth_log_gains
from triage.measure.regions import Region, full_size, joined, region_of
from triage.measure.scenery import least_change
from triage.measure.texture import texture_kept_around
from triage.records.arrays import Mask, Plane

REFERENCES = 5
"""How many other frames a place is compared with: more make no closer boxes on nights with known truth."""

_MARGIN_PX, _MARGIN = 24, 0.5
"""How far around a region is looked, in pixels and in heights and widths of it: the larger counts."""

_NOISE = (0.006, 0.01)
"""Change, in square-root light, that noise and coding leave anywhere: two or three code values at middle grey..."""

_FAINT = 0.15
"""...but within these bounds at most this share of the subject's own change, so that a faint one keeps its outline."""

_CLEAR = 3.0
"""Change, in units of noise and of the scatter of the scenery together, from which a pixel may belong to a subject."""

_RIM, _RIM_PX = 0.25, 5
"""A pixel that changed less than this share of the most within so many pixels around is the blur of an outline."""

_SPECK, _SPECK_PX = 0.03, 3
"""Pieces smaller than this share of the subject's largest, or than so many pixels, are rims of shadows, sway and
flakes..."""

_FOUND = 0.5
"""...unless more than this share of them was found before and they are brighter than the scenery: antlers, ears."""

_SUM = np.ones((1, 3), np.float32)

_PART = 0.02
"""Pieces hold at least this share of what was found of the subject, or hang together with one that does."""

_JOIN_PX = 11
"""Pieces of one subject are joined across gaps up to this many pixels: legs, a tail beyond a dim rump."""

_DARKENED = (0.45, 0.97)
"""A cast shadow leaves this share of the scenery's square-root light: never all, nor next to nothing."""

_SAME_COLOUR = 0.12
"""Difference of colour, relative to lightness, up to which a place may be the scenery itself in another light."""

_NEAR, _LARGE = 0.4, 0.05
"""What lies no farther from a subject than this share of the side of a square of its area, and is no smaller than this
share of it, is another part of it: a head beyond a trunk."""

_SAME_TEXTURE, _TEXTURE_PX = 0.8, 1.5
"""Correlation of detail from which it is, darker or brighter, and the width in pixels of what counts as detail."""

_BLACK, _BLACK_SHARE = 0.15, 0.4
"""Square-root light, and share of the scenery's, under which a place lies in the black shadow of the only flash; most
fur is brighter (a fiftieth of full light; common practice, no source)..."""

_BLACK_TEXTURE = 0.3
"""...and correlation of detail from which it does, whatever lit the frame: noise hides much of it so near to black."""


@dataclass(frozen=True, slots=True)
class CloseUp:
    """What a close look shows of a place.

    Attributes
    ----------
    region : Region or None
        The outline; its mask has the picture's size. None where nothing is clear.
    contrast : float
        Mean change of lightness where something was found, in square-root light, whatever is clear of it.
    darker : bool
        Whether what is outlined is darker than the scenery on the whole; False where nothing is clear.
    """

    region: Region | None
    contrast: float
    darker: bool


def outlined(
    region: Region,
    picture: Plane,
    means: Plane,
    references: Sequence[tuple[Plane, Plane]],
    *,
    one_flash: bool = False,
) -> CloseUp:
    """Outline a found subject closely.

    Parameters
    ----------
    region : Region
        Where it was found; its mask may be smaller than the picture.
    picture : ndarray of float32, shape (M, N, 3)
        `triage.measure.roots.colour_roots` of the frame's measuring picture.
    means : ndarray of float32, shape (P,)
        Its block means.
    references : sequence of (roots, block means)
        Frames of the same view in like light; at least one.
    one_flash : bool, optional
        Whether nothing but one flash lit the frame: then shadows are black.

    Returns
    -------
    CloseUp
        Whether there is an outline or not.
    """
    rows, cols = picture.shape[:2]
    part = _around(region, (rows, cols))
    frame = np.ascontiguousarray(picture[part])
    gains = smooth_log_gains(means, np.stack([each for _, each in references]))
    sceneries = [
        _relit(other[part], gain_over((rows, cols), gain)[part])
        for (other, _), gain in zip(references, gains, strict=True)
    ]
    found = full_size(region.mask, (rows, cols))[part]
    # The second: one with a subject in the same place is passed over.
    change = least_change(frame, sceneries, len(sceneries), best=2)
    contrast = float(np.abs(change[found][:, 0]).mean()) if found.any() else 0.0
    mask = _subject(frame, change, sceneries, found, one_flash=one_flash)
    if mask is None:
        return CloseUp(None, contrast, darker=False)
    full: Mask = np.zeros((rows, cols), np.bool_)
    full[part] = mask
    return CloseUp(region_of(full, region.strength), contrast, darker=bool(change[mask][:, 0].sum() < 0))


def _around(region: Region, shape: tuple[int, int]) -> tuple[slice, slice]:
    """Give the rows and columns that are looked at."""
    rows, cols = shape
    box = region.box
    down = max(_MARGIN_PX, _MARGIN * (box.y1 - box.y0) * rows)
    right = max(_MARGIN_PX, _MARGIN * (box.x1 - box.x0) * cols)
    return (
        slice(max(0, int(box.y0 * rows - down)), min(rows, int(box.y1 * rows + down) + 1)),
        slice(max(0, int(box.x0 * cols - right)), min(cols, int(box.x1 * cols + right) + 1)),
    )


def _relit(part: Plane, gain: Plane) -> Plane:
    """Bring a part of another frame to the frame's light."""
    return np.asarray(cv2.multiply(part, cv2.merge([gain, gain, gain])), np.float32)


def _subject(
    frame: Plane, change: Plane, sceneries: Sequence[Plane], found: Mask, *, one_flash: bool
) -> Mask | None:
    """Tell which pixels belong to the subject; None where none is clear."""
    over = np.abs(change)
    size = np.asarray(cv2.transform(over, _SUM))
    noise = float(np.clip(_FAINT * np.percentile(size[found], 75), *_NOISE)) if found.any() else _NOISE[1]
    scatter = _scatter(sceneries)
    scatter *= scatter
    scatter += noise**2
    over /= cv2.sqrt(scatter)
    over -= 1.0
    np.maximum(over, 0.0, out=over)
    over *= over
    clear: Mask = np.asarray(cv2.transform(over, _SUM)) > _CLEAR**2
    clear &= size > _RIM * cv2.dilate(size, np.ones((_RIM_PX, _RIM_PX)))
    clear &= ~other_light(frame, change, one_flash=one_flash)
    core = found & clear
    if not core.any():
        return None
    clear = _without_specks(clear, core, change[..., 0])
    core &= clear
    count, pieces = cv2.connectedComponents(joined(clear, _JOIN_PX))
    labels = np.asarray(pieces, np.intp)
    shares = np.bincount(labels[core], minlength=count)
    belongs = shares > _PART * shares.max()
    belongs |= _parts_nearby(clear, labels, belongs)
    return np.asarray(clear & belongs[labels])


def _parts_nearby(clear: Mask, labels: NDArray[np.intp], belongs: Mask) -> Mask:
    """Tell which other pieces are so near and so large that they are parts of the same subject."""
    subject = clear & belongs[labels]
    area = np.count_nonzero(subject)
    large = np.bincount(labels[clear], minlength=len(belongs)) >= max(1.0, _LARGE * area)
    if not (large & ~belongs).any():
        return belongs
    apart = cv2.distanceTransform((~subject).astype(np.uint8), cv2.DIST_L2, 3)
    near = np.bincount(labels[clear & (apart <= _NEAR * area**0.5)], minlength=len(belongs)) > 0
    return np.asarray(large & near)


def _scatter(sceneries: Sequence[Plane]) -> Plane:
    """Estimate from its quartiles how far the scenery scatters at each pixel, as a standard deviation."""
    ordered = [scenery.copy() for scenery in sceneries]
    spare = np.empty_like(ordered[0])
    for end in range(len(ordered) - 1, 0, -1):
        for place in range(end):
            # Whole planes change places: sorting a handful of numbers per pixel costs far more.
            one, other = ordered[place : place + 2]
            cv2.min(one, other, spare)
            cv2.max(one, other, other)
            ordered[place], spare = spare, one
    last = len(ordered) - 1
    spread = cv2.subtract(ordered[round(0.75 * last)], ordered[round(0.25 * last)])
    return np.asarray(spread, np.float32) * np.float32(1 / 1.349)


def _without_specks(mask: Mask, core: Mask, brighter: Plane) -> Mask:
    """Leave out the pieces of a mask that are small beside the largest of the core's own, but for its bright parts."""
    count, labels, figures, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    sizes = figures[:, cv2.CC_STAT_AREA]
    within = np.bincount(labels[core], minlength=count)
    largest = int(sizes[within > 0].max())
    lit = np.bincount(labels.ravel(), weights=brighter.ravel(), minlength=count) > 0.0
    kept = sizes >= min(largest, max(_SPECK_PX, _SPECK * largest))
    kept |= lit & (within > _FOUND * sizes) & (sizes >= _SPECK_PX)
    return np.asarray(mask & kept[labels])


def other_light(frame: Plane, change: Plane, *, one_flash: bool = False) -> Mask:
    """Find the places that may be the scenery itself in another light: a cast shadow, or its own texture.

    Parameters
    ----------
    frame, change : ndarray of float32, shape (M, N, 3)
        `triage.measure.roots.colour_roots` of a frame, and what the scenery does not explain of it.
    one_flash : bool, optional
        Whether nothing but one flash lit the frame: then shadows are black.

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
    shadow = (share > _DARKENED[0]) & (share < _DARKENED[1])
    kept = texture_kept_around(frame[..., 0], scenery[..., 0], _TEXTURE_PX)
    alike = (shadow | (kept > _SAME_TEXTURE)) & (colour[..., 0] + colour[..., 1] < _SAME_COLOUR * lightness)
    black = (frame[..., 0] <= _BLACK) & (share <= _BLACK_SHARE)
    return np.asarray(alike | (black if one_flash else black & (kept > _BLACK_TEXTURE)))
