"""The light model: which flash gave how much in each frame.

A night frame of a still scene is a sum in linear light: the ambient pattern times its strength plus each flash's
own pattern times its power. The patterns are learnt from the card on the coarse grid of `triage.measure.blocks`.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from triage.measure.blocks import BLACK, FLOOR, GRID, LEFT_THIRD, RIGHT_THIRD
from triage.measure.daylight import NIGHT, TWILIGHT, ambient_shape
from triage.measure.healthy import Places, healthy_light
from triage.measure.lean import flash_lean
from triage.measure.powers import robust_powers
from triage.measure.unmixing import part_light
from triage.records.arrays import Mask, Plane
from triage.records.diagnosis import Part
from triage.records.measurement import Light

_MORE_ACROSS = 0.5
"""A flash at a side changes across the picture by more than this share of what it changes from top to bottom."""

_NOT_BRIGHTER = 1.5
"""A frame of the flashes' shape that is brighter than they are by more than this was lit by the sky through mist."""

_NO_MORE, _SOME = 1.1, 0.15
"""What is nowhere brighter than this share of the healthy light, and not dark, was lit by flash or part of it."""

_LIT_THROUGH_FOG = 0.88
"""How much of its light a frame in fog is taken to have where it has most: there one flash at a side gives as much."""

_ONE_SIDED = 0.15
"""How much more of the light a flash gives on one side than on the other, at least, to be believed in through a veil:
flashes at the sides of a path came to 0.17 and more at eleven places, what a veil leaves behind to a twentieth."""

_BLACKEST = 0.15
"""Share of the picture's blocks, those that get the least flash light, that show what a veil of fog or mist adds."""

_ENOUGH_CLEAR = 4
"""So many frames lit by flash through clear glass are enough to learn the lights from."""


@dataclass(frozen=True, slots=True)
class Veils:
    """The frames that something veils.

    Attributes
    ----------
    fogged : ndarray of bool, shape (N,)
        Frames taken through fogged glass, which lies over the picture evenly.
    misty : ndarray of bool, shape (N,)
        Frames taken through mist, which takes most far away.
    """

    fogged: Mask
    misty: Mask

    @property
    def any(self) -> Mask:
        """Frames veiled by either."""
        return self.fogged | self.misty


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


def _same_shape(means: Plane, healthy: Plane) -> Mask:
    """Find the frames whose light falls as the flashes' does, whatever its strength."""
    apart = np.log(means + FLOOR) - np.log(healthy + FLOOR)
    apart = apart[:, healthy > 4 * FLOOR]
    return np.asarray(np.mean(np.abs(apart - np.median(apart, axis=1, keepdims=True)), axis=1) < 0.08)


def _nowhere_brighter(means: Plane, healthy: Plane) -> Mask:
    """Find the frames with no more light anywhere than flash gives: the sky lights what flash does not reach, too."""
    share = (means + FLOOR) / (healthy + FLOOR)
    return np.asarray((np.percentile(share, 98, axis=1) < _NO_MORE) & (share.mean(axis=1) > _SOME))


def _lean(share: Plane, healthy: Plane) -> float:
    """Say how much more of the light a flash gives on the left than on the right, where there is light."""
    weight = np.where(healthy > 0.15 * healthy.mean(), np.minimum(healthy, healthy.mean()), 0.0) + 1e-6
    left, right = (np.average(share[third], weights=weight[third]) for third in (LEFT_THIRD, RIGHT_THIRD))
    return float(left - right)


def _tall(share: Plane) -> float:
    """Say how much more of the light a flash gives above than below."""
    rows = share.reshape(GRID).mean(axis=1)
    return float(rows[: GRID[0] // 3].mean() - rows[-(GRID[0] // 3) :].mean())


def _split_flashes(
    means: Plane, healthy: Plane, flashes: int | None, admit: Callable[[Plane], bool] | None = None
) -> dict[str, Plane]:
    """Tell the flashes apart where some frames miss one of them: which share of the light of each block each gives.

    They are named by where their light falls; ``all`` where they cannot be told apart.
    """
    shares = part_light(means, healthy, 3 if flashes == 3 else 2, admit)
    if shares is None:
        return {"all": np.ones_like(healthy)}
    order = sorted(range(shares.shape[1]), key=lambda which: -_lean(shares[:, which], healthy))
    if len(order) == 3:
        names: list[str] = [Part.FLASH_LEFT, Part.FLASH_3, Part.FLASH_RIGHT]
    elif flashes == 3:
        names = ["all", "all"]
        names[order.index(0)] = _which_of_three(shares[:, 0], healthy)
    else:
        names = [Part.FLASH_LEFT, Part.FLASH_RIGHT]
    return {name: shares[:, which] for name, which in zip(names, order, strict=True)}


def _which_of_three(share: Plane, healthy: Plane) -> str:
    """Name the one flash of three that is told: a third one, near the camera or beyond the path, leans to no side."""
    lean = _lean(share, healthy)
    if abs(lean) < _MORE_ACROSS * abs(_tall(share)):
        return Part.FLASH_3
    return Part.FLASH_LEFT if lean > 0 else Part.FLASH_RIGHT


def _through_fog(means: Plane, healthy: Plane) -> Plane:
    """Take the veil off frames taken through fogged glass: where flash lights nothing, it is all there is to see."""
    black = healthy <= np.percentile(healthy, 100 * _BLACKEST)
    scenes = np.maximum(means - np.median(means[:, black], axis=1, keepdims=True), 0.0)
    seen = healthy > 0.3 * float(healthy.mean())
    most = np.percentile(scenes[:, seen] / healthy[seen], 95, axis=1, keepdims=True)
    return np.asarray(np.minimum(_LIT_THROUGH_FOG * scenes / np.maximum(most, FLOOR), healthy), np.float32)


def _split_through_veil(
    shares: dict[str, Plane], means: Plane, healthy: Plane, veils: Veils, trips: Places, flashes: int | None
) -> dict[str, Plane]:
    """Tell the flashes apart, if clear frames do not show them well, with the help of those through fog or mist.

    In steady fog or mist frames are compared with each other; off the glass, fog is taken away.
    """
    veiled = veils.any
    if "all" in shares and np.count_nonzero(veiled) >= 2:
        through = healthy_light(means[veiled], trips[veiled])
        found = _split_flashes(means[veiled], through, flashes)
        if _on_two_sides(found, through):
            return found
    if veils.fogged.any():
        freed = means.copy()
        freed[veils.fogged] = _through_fog(means[veils.fogged], healthy)
        found = _split_flashes(
            freed[~veils.misty], healthy, flashes, lambda lack: _on_one_side(lack, healthy)
        )
        if _on_two_sides(found, healthy):
            return found
    return shares


def _on_one_side(share: Plane, healthy: Plane) -> bool:
    """Say whether light falls to one side rather than evenly or up and down: fog takes light on both sides alike."""
    return abs(_lean(share, healthy)) > max(_ONE_SIDED, _MORE_ACROSS * abs(_tall(share)))


def _on_two_sides(shares: dict[str, Plane], healthy: Plane) -> bool:
    """Say whether what was told apart falls to two sides, as flashes do."""
    return len(shares) > 1 and any(_on_one_side(share, healthy) for share in shares.values())


def learn_lights(
    means: Plane,
    natural_dark: Plane,
    *,
    flashes: int | None = None,
    veils: Veils | None = None,
    trips: Places | None = None,
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
    veils : Veils, optional
        Frames that are left out where enough others are lit by flash, but for telling the flashes apart.
    trips : ndarray of int, shape (N,), optional
        Which trip of the sensor each frame belongs to; left out, each has its own.

    Returns
    -------
    LightModel
        Patterns as far as the card shows them.
    """
    level = means.mean(axis=1)
    trip = np.arange(len(means)) if trips is None else trips
    usable = level > BLACK
    veiled = np.zeros(len(means), np.bool_) if veils is None else veils.any
    if np.count_nonzero(usable & ~veiled & (natural_dark >= NIGHT)) >= _ENOUGH_CLEAR:
        usable &= ~veiled
    night_lit = (natural_dark >= NIGHT) & usable
    healthy: Plane | None = None
    parts: dict[str, Plane] = {}
    if np.count_nonzero(night_lit) >= 2:
        healthy = healthy_light(means[night_lit], trip[night_lit])
        alike = _same_shape(means, healthy) & (level < _NOT_BRIGHTER * float(healthy.mean()))
        night_lit |= (alike | _nowhere_brighter(means, healthy)) & (natural_dark >= TWILIGHT) & usable
        healthy = healthy_light(means[night_lit], trip[night_lit])
        shares = {"all": np.ones_like(healthy)}
        if flashes != 1:
            shares = _split_flashes(means[night_lit], healthy, flashes)
        if flashes != 1 and veils is not None:
            seen = night_lit | (veiled & (level > BLACK) & (natural_dark >= NIGHT))
            still = Veils((veils.fogged & ~night_lit)[seen], (veils.misty & ~night_lit)[seen])
            shares = _split_through_veil(shares, means[seen], healthy, still, trip[seen], flashes)
        parts = {name: healthy * share for name, share in shares.items()}
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
