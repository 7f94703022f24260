"""What light makes of a body, and a body of the light: its own shading, its shadows, the dark where it stands."""

import numpy as np

from sample_cards.arrays import Field, unit, vector
from sample_cards.filters import blur, stretch
from sample_cards.lighting import Cut, Lighting
from sample_cards.scene import Scene
from sample_cards.shadows import FlashView, nearest_map, shade
from sample_cards.subject import Seen

SHINE_DEG = 2.6
"""Deviation of the light that a shining eye sends back, off the way it came (from memory: a few degrees)."""

SHINE_GAIN = 22.0
"""Light a shining eye sends straight back, in units of a white surface's."""

EYE_GLOSS = 0.7
"""Gloss from which on a surface is an eye: noses are duller."""

PUPIL = 0.5
"""Cosine between an eye's surface and the lens from which on the pupil is seen."""


def distance_of(seen: Seen) -> float:
    """Return the usual depth of a body."""
    solid = seen.depth[seen.cover > 0.5]
    return float(np.median(solid)) if solid.size else 4.0


def overlap(seen: Seen, height: int, width: int) -> tuple[Cut, Cut]:
    """Return the part of the picture, and of the body's window, that both share."""
    rows, cols = seen.cover.shape
    top, left = max(seen.top, 0), max(seen.left, 0)
    bottom, right = min(seen.top + rows, height), min(seen.left + cols, width)
    return (slice(top, bottom), slice(left, right)), (
        slice(top - seen.top, bottom - seen.top),
        slice(left - seen.left, right - seen.left),
    )


def shadows_of(scene: Scene, seen: list[Seen]) -> Field:
    """Return what each flash still reaches of the still layer past the bodies, full size, one plane for each flash."""
    found = []
    for flash, where in zip(scene.site.flashes, scene.where, strict=True):
        clear = np.ones(where[0].shape, dtype=np.float32)
        for one in seen:
            points = one.points[one.cover > 0.5]
            if len(points):
                nearest = nearest_map(FlashView(flash).coordinates(points), grow=9)
                clear = np.minimum(clear, shade(nearest, where, bias=0.03))
        found.append(stretch(blur(clear, 0.9), scene.view.width, scene.view.height))
    return np.stack(found, axis=-1)


def contact_of(scene: Scene, seen: list[Seen]) -> Field:
    """Return what is left of the light where bodies keep the sky off the ground."""
    height, width = scene.view.height, scene.view.width
    blocked = np.zeros((height, width), dtype=np.float32)
    for one in seen:
        low = one.cover * np.exp(-np.maximum(one.points[..., 1], 0.0) / 0.10)
        target, source = overlap(one, height, width)
        blocked[target] = np.maximum(blocked[target], low[source])
    spread = blur(blocked, width / 130)
    left: Field = 1 - np.float32(0.55) * np.clip(spread * np.float32(1.6), 0, 1)
    return left


def sky_on(seen: Seen, lighting: Lighting) -> Field:
    """Light a body by the sky from above."""
    light = seen.shade[..., None] * lighting.ambient
    if lighting.patches is not None:
        light = light * lighting.patches.on(seen.points)
    lit: Field = (seen.albedo * light).astype(np.float32)
    return lit


def flashes_on(seen: Seen, scene: Scene, lighting: Lighting) -> Field:
    """Light a body by each flash from its side, with glints on what is wet and the shine of eyes."""
    light = np.zeros_like(seen.albedo)
    glints = np.zeros_like(seen.cover)
    eyes = np.zeros_like(seen.cover)
    towards_lens = unit(scene.view.origin - seen.points)
    solid = seen.cover > 0.5
    for flash, power in zip(scene.site.flashes, lighting.powers, strict=True):
        if power <= 1e-4:
            continue
        arriving, towards = flash.at(seen.points)
        own = flash.on(seen.points, seen.normals, wrap=0.16) * np.float32(power)
        coordinates = FlashView(flash).coordinates(seen.points)
        nearest = nearest_map((coordinates[0][solid], coordinates[1][solid], coordinates[2][solid]))
        clear = blur(shade(nearest, coordinates, bias=0.045), 1.0)
        light += (own * (0.06 + 0.94 * clear))[..., None] * vector(*flash.colour)
        facing = np.clip(np.einsum("ijk,ijk->ij", unit(towards + towards_lens), seen.normals), 0, 1)
        glints += np.float32(power) * arriving * (seen.gloss * facing**60 * 2.2 + 0.05 * facing**14)
        if seen.eyeshine is not None:
            eyes += np.float32(power) * arriving * _sent_back(towards, towards_lens) * clear
    lit = seen.albedo * light + 0.22 * glints[..., None] * (0.1 + seen.gloss[..., None])
    if seen.eyeshine is not None:
        pupil = (seen.gloss > EYE_GLOSS) * (np.einsum("ijk,ijk->ij", seen.normals, towards_lens) > PUPIL)
        lit += (eyes * pupil)[..., None] * vector(*seen.eyeshine)
    return lit.astype(np.float32)


def _sent_back(towards_flash: Field, towards_lens: Field) -> Field:
    """Return how much of a flash's light an eye sends to the lens: all but straight back to where it came from."""
    cosine = np.clip(np.einsum("ijk,ijk->ij", towards_flash, towards_lens), -1.0, 1.0)
    off = np.degrees(np.arccos(cosine)) / SHINE_DEG
    share: Field = (SHINE_GAIN * np.exp(-0.5 * off**2)).astype(np.float32)
    return share
