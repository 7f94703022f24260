"""The light model: which flash gave how much in each frame.

A night frame of a still scene is a sum in linear light: the ambient pattern times its strength plus each flash's
own pattern times its power. The patterns are learnt from the card on the coarse grid of `triage.measure.blocks`.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import nnls

from triage.measure.blocks import BLACK, FLOOR, GRID, block_trust, smooth_log_gains
from triage.measure.daylight import NIGHT, TWILIGHT, ambient_shape
from triage.measure.lean import flash_lean
from triage.measure.powers import robust_powers
from triage.records.arrays import Mask, Plane
from triage.records.diagnosis import Part
from triage.records.measurement import Light

_LEFT_THIRD = np.tile(np.arange(GRID[1]) < GRID[1] // 3, GRID[0])
_RIGHT_THIRD = np.tile(np.arange(GRID[1]) >= GRID[1] - GRID[1] // 3, GRID[0])

_LOPSIDED = 0.18
"""Natural logarithm of left over right, against the healthy pattern, from which a light on one side is missing: half
of what two flashes a few metres apart leave when one is gone, several times what sway and subjects do."""

_NEVER_BRIGHTER = 1.25
"""Taking a light away brightens nothing: a frame with blocks above this ratio was veiled by fog, or lit otherwise."""

_MISSING = 0.93
"""Share of the healthy light in the middle of the picture below which a third flash may be missing..."""

_UNEVEN = 0.25
"""...where the loss, in log light, is uneven by this much: flashes that weaken together darken all places alike..."""

_ENOUGH_MISSING, _SAME_LOSS = 3, 0.9
"""...and so many frames lack light in the same places, by this correlation."""

_ENOUGH_CLEAR = 4
"""So many frames lit by flash through clear glass are enough to learn the lights from."""

_ALONE = 0.8
"""One flash alone gives less than this share of the light of all."""


@dataclass(frozen=True, slots=True)
class LightModel:
    """What the card's lights look like.

    Attributes
    ----------
    healthy : ndarray of float32, shape (P,), or None
        Block means of a frame lit by all flashes at their healthy output; None without flash frames.
    flashes : dict of str to ndarray of float32, shape (P,)
        Each flash's own pattern at healthy output, where they could be told apart; one entry ``all`` where not.
    ambient : ndarray of float32, shape (P,), or None
        Pattern of the ambient light, scaled to the healthy level; None where the card shows none.
    level : float
        Mean luminance of a healthily lit frame, 0 to 1; of a typical frame without flash frames.
    """

    healthy: Plane | None
    flashes: dict[str, Plane]
    ambient: Plane | None
    level: float


def _clean_frames(means: Plane, night_lit: Mask) -> Plane:
    """Average the frames that are fully lit everywhere: near the brightest the card shows, block by block."""
    lit = means[night_lit]
    rank = max(2, round(0.03 * len(lit)))
    brightest = np.sort(lit, axis=0)[-min(rank, len(lit))]
    bright = brightest >= np.median(brightest)  # a veil of fog lifts the dark blocks, never the bright ones
    share = np.percentile(lit[:, bright] / (brightest[bright] + FLOOR), 25, axis=1)
    full = share >= 0.85 * np.percentile(share, 95)
    best = full & (share >= np.median(share[full]))
    return np.asarray(np.median(lit[best], axis=0), np.float32)


def _same_shape(means: Plane, healthy: Plane) -> Mask:
    """Find the frames whose light falls as the flashes' does, whatever its strength."""
    apart = np.log(means + FLOOR) - np.log(healthy + FLOOR)
    apart = apart[:, healthy > 4 * FLOOR]
    return np.asarray(np.mean(np.abs(apart - np.median(apart, axis=1, keepdims=True)), axis=1) < 0.08)


def side_ratios(means: Plane, healthy: Plane) -> tuple[Plane, Plane]:
    """Compare the left and the right third of each frame with the healthy pattern.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of each frame.
    healthy : ndarray of float32, shape (P,)
        The healthy pattern.

    Returns
    -------
    left, right : ndarray of float32, shape (N,)
        Median ratio in linear light; 1 is healthy.
    """
    ratio = (means + FLOOR) / (healthy + FLOOR)
    seen = healthy > 4 * FLOOR
    thirds = []
    for third in (_LEFT_THIRD, _RIGHT_THIRD):
        chosen = third & seen if np.any(third & seen) else third
        thirds.append(np.asarray(np.median(ratio[:, chosen], axis=1), np.float32))
    return thirds[0], thirds[1]


def _lopsided_pattern(means: Plane, near: Plane, far: Plane, most: Plane) -> Plane | None:
    """Find the pattern of one flash alone from the frames where the other side is dark and nothing got brighter."""
    lean = np.log(near + FLOOR) - np.log(far + FLOOR)
    pure = (lean > _LOPSIDED) & (near > 0.25) & (far < _ALONE) & (most < _NEVER_BRIGHTER)
    if not np.any(pure):
        return None
    strongest = pure & (lean >= 0.8 * np.max(lean[pure]))
    return np.asarray(np.median(means[strongest], axis=0), np.float32)


def _split_flashes(means: Plane, healthy: Plane) -> dict[str, Plane]:
    """Tell the flashes apart where some frames miss one of them."""
    left, right = side_ratios(means, healthy)
    most = np.percentile(means / (healthy + FLOOR), 95, axis=1).astype(np.float32)
    only_left = _lopsided_pattern(means, left, right, most)
    only_right = _lopsided_pattern(means, right, left, most)
    if only_left is not None and only_right is not None:
        weight = block_trust(healthy)
        parts = np.stack([only_left, only_right], axis=1) * weight[:, None]
        scale, _ = nnls(parts, healthy * weight)
        if np.all(scale > 0.3):
            return {Part.FLASH_LEFT: only_left * scale[0], Part.FLASH_RIGHT: only_right * scale[1]}
        return {"all": healthy}
    if only_left is not None:
        alone = np.minimum(only_left, healthy)
        return {Part.FLASH_LEFT: alone, Part.FLASH_RIGHT: healthy - alone}
    if only_right is None:
        return {"all": healthy}
    alone = np.minimum(only_right, healthy)
    return {Part.FLASH_LEFT: healthy - alone, Part.FLASH_RIGHT: alone}


def _third_pattern(means: Plane, healthy: Plane) -> Plane | None:
    """Find the light of a flash that leans to no side, from the frames that miss it: darker, and more so in places."""
    bright = healthy > np.median(healthy)
    shares = np.exp(-smooth_log_gains(healthy, means))  # of the healthy light, not drawn along by subjects
    low, middle, high = np.percentile(shares[:, bright], [5, 50, 95], axis=1)
    missing = (high < _NEVER_BRIGHTER) & (middle < _MISSING) & (low > 0) & (np.log(high / low) > _UNEVEN)
    if np.count_nonzero(missing) < _ENOUGH_MISSING:
        return None
    shapes = np.log(shares[missing][:, bright])
    shapes -= shapes.mean(axis=1, keepdims=True)
    typical = np.median(shapes, axis=0)
    likeness = shapes @ typical / (np.linalg.norm(shapes, axis=1) * np.linalg.norm(typical) + 1e-9)
    alike = likeness > _SAME_LOSS
    if np.count_nonzero(alike) < max(_ENOUGH_MISSING, 0.6 * len(alike)):
        return None
    chosen = np.flatnonzero(missing)[alike]
    darkest = chosen[middle[chosen] <= np.percentile(middle[chosen], 40)]
    left_over = np.median(means[darkest] / (healthy + FLOOR), axis=0)
    return np.asarray(healthy * np.clip(1.0 - left_over, 0.0, 1.0), np.float32)


def learn_lights(
    means: Plane, natural_dark: Plane, *, flashes: int | None = None, veiled: Mask | None = None
) -> LightModel:
    """Learn the card's light patterns.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of each frame of one view.
    natural_dark : ndarray of float32, shape (N,)
        Chance, 0 to 1, that the scene was dark but for flash when the frame was taken.
    flashes : int or None, optional
        How many flashes the rig has; None where unknown.
    veiled : ndarray of bool, shape (N,), optional
        Frames taken through fogged glass: left out where enough others are lit by flash.

    Returns
    -------
    LightModel
        Patterns as far as the card shows them.
    """
    level = means.mean(axis=1)
    usable = level > BLACK
    if veiled is not None and np.count_nonzero(usable & ~veiled & (natural_dark >= NIGHT)) >= _ENOUGH_CLEAR:
        usable &= ~veiled
    night_lit = (natural_dark >= NIGHT) & usable
    healthy: Plane | None = None
    parts: dict[str, Plane] = {}
    if np.count_nonzero(night_lit) >= 2:
        healthy = _clean_frames(means, night_lit)
        night_lit |= _same_shape(means, healthy) & (natural_dark >= TWILIGHT) & usable
        healthy = _clean_frames(means, night_lit)
        parts = {"all": healthy} if flashes == 1 else _split_flashes(means[night_lit], healthy)
        third = _third_pattern(means[night_lit], healthy) if flashes == 3 and "all" in parts else None
        if third is not None:
            parts = {"all": healthy - third, Part.FLASH_3: third}
    if healthy is None:
        return LightModel(None, parts, None, max(float(np.median(level)), BLACK))
    typical = max(float(healthy.mean()), BLACK)
    shape = ambient_shape(means, natural_dark, np.stack(list(parts.values()), axis=1))
    return LightModel(healthy, parts, None if shape is None else shape * typical, typical)


def _named(parts: dict[str, float], flashes: int | None, healthy: Plane) -> dict[str, float | None]:
    """Name each flash's output; flashes that cannot be told apart share one value."""
    told = {name: round(value, 4) for name, value in parts.items() if name != "all"}
    if "all" not in parts:
        return dict(told)
    shared = round(parts["all"], 4)
    if flashes == 1:
        pattern = healthy.reshape(GRID)
        columns = pattern.sum(axis=0)
        centre = float((columns * np.arange(GRID[1])).sum() / columns.sum())
        side = Part.FLASH_LEFT if centre <= (GRID[1] - 1) / 2 else Part.FLASH_RIGHT
        return {side: shared}
    if flashes == 3:
        told.setdefault(Part.FLASH_3, shared)
    return {Part.FLASH_LEFT: shared, Part.FLASH_RIGHT: shared, **told}


def _gathered(powers: Plane, flashes: int) -> Plane:
    """Give the light that fogged glass spread over the picture, the last of some powers, back to its flashes."""
    lamps, veil = powers[:flashes], float(powers[-1])
    total = float(lamps.sum())
    share = lamps / total if total > 0 else np.full(flashes, 1.0 / flashes)
    return np.concatenate([lamps + veil * share * flashes, powers[flashes:-1]])


def frame_light(
    model: LightModel,
    means: Plane,
    natural_dark: float,
    *,
    flashes: int | None = None,
    veiled: bool = False,
    gain: float = 1.0,
) -> Light:
    """Tell what lit one frame.

    Parameters
    ----------
    model : LightModel
        The card's lights.
    means : ndarray of float32, shape (P,)
        The frame's block means.
    natural_dark : float
        Chance, 0 to 1, that the scene was dark but for flash.
    flashes : int or None, optional
        How many flashes the rig has.
    veiled : bool, optional
        Whether the glass may be fogged: then part of the flashes' light is spread evenly over the picture.
    gain : float, optional
        How strongly the camera's setting shows a flash, from `triage.measure.gains.flash_gains`.

    Returns
    -------
    Light
        Powers in units of healthy output, ambient in units of a healthily lit frame.
    """
    level = float(means.mean())
    if model.healthy is None:
        return Light(ambient=round(level / model.level, 4), flashes={}, level=level)
    names = list(model.flashes)
    columns = [model.flashes[name] for name in names]
    pattern = model.ambient if natural_dark < 1.0 else None
    if pattern is not None:
        columns.append(pattern)
    if veiled:
        columns.append(np.full_like(means, float(model.healthy.mean())))
    patterns = np.stack(columns, axis=1)
    powers = robust_powers(patterns, means)
    if veiled:
        powers = _gathered(powers, len(names))
        patterns = patterns[:, :-1]
    if pattern is not None:
        ambient = float(powers[-1])
    else:
        ambient = max(0.0, level - float((patterns @ powers).mean())) / model.level
    outputs = {name: float(power) / gain for name, power in zip(names, powers, strict=False)}
    lean = flash_lean(means, model.healthy * gain)
    return Light(
        round(ambient, 4),
        _named(outputs, flashes, model.healthy),
        level,
        None if lean is None else round(lean, 4),
    )
