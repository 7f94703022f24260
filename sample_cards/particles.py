"""What is in the air and catches the flash: rain, snow, insects.

Each particle stands at a place in front of the lens. Its light falls with the square of its distance from each
flash; its size in the picture with its distance from the lens; out of focus, its light is spread over the blur disc,
so that flakes close to the lens become large faint discs.
"""

from dataclasses import dataclass

import numpy as np

from sample_cards.arrays import Field, vector
from sample_cards.camera import View
from sample_cards.light import Flash
from sample_cards.lighting import Lighting

FLASH_S = 1 / 900
"""How long a flash at about full power burns (common practice: between 1/1000 s and 1/300 s at full power)."""

NEAREST_M = 0.14


@dataclass(frozen=True, slots=True)
class Kind:
    """Particles of one kind.

    Attributes
    ----------
    per_m3 : float
        How many in a cubic metre where there are as many as can be.
    radius_m, speed : float
        Radius, and metres per second.
    albedo : float
        Share of the light it sends back.
    reach_m : float
        Beyond this distance it is too small to be drawn.
    falls : bool
        Falls, rather than flying about.
    """

    per_m3: float
    radius_m: float
    speed: float
    albedo: float
    reach_m: float
    falls: bool = True


RAIN = Kind(55.0, 0.0011, 7.0, 0.55, 5.5)
SNOW = Kind(48.0, 0.0026, 1.1, 0.80, 7.5)
INSECTS = Kind(0.8, 0.0032, 0.6, 0.55, 4.5, falls=False)


@dataclass(slots=True)
class Swarm:
    """Particles as the camera sees them, one row each: place, size and smear in pixels, depth, light."""

    rows: Field
    cols: Field
    depth: Field
    radius: Field
    disc: Field
    smear: Field
    light: Field


def _blur_px(view: View, depth: Field) -> Field:
    """Radius of the blur disc in pixels (thin lens)."""
    camera = view.camera
    focus = camera.focus_m * 1000.0
    opening = camera.focal_mm**2 / camera.f_number / (1.0 - camera.focal_mm / focus)
    disc = opening * np.abs(1.0 / (depth * 1000.0) - 1.0 / focus)
    radius: Field = (disc / camera.sensor_mm * view.width / 2).astype(np.float32)
    return radius


def swarm(
    kind: Kind,
    amount: float,
    view: View,
    lights: tuple[Lighting, tuple[Flash, ...]],
    rng: np.random.Generator,
) -> Swarm:
    """Spread particles evenly through the air in view and light them.

    Parameters
    ----------
    kind : Kind
        What they are.
    amount : float
        0 to 1.
    view : View
        The camera.
    lights : tuple
        Light of the exposure, and the flashes it comes from.
    rng : numpy.random.Generator
        Random state of this frame.
    """
    lighting, flashes = lights
    volume = view.width * view.height / view.focal_px**2 * kind.reach_m**3 / 3
    count = int(rng.poisson(amount * kind.per_m3 * volume))
    depth = np.maximum(kind.reach_m * rng.random(count) ** (1 / 3), NEAREST_M).astype(np.float32)
    rows = (rng.random(count) * view.height).astype(np.float32)
    cols = (rng.random(count) * view.width).astype(np.float32)
    points = (view.origin + view.rays(rows, cols) * depth[:, None]).astype(np.float32)
    light = np.zeros((count, 3), np.float32) + 0.6 * lighting.ambient
    for flash, power in zip(flashes, lighting.powers, strict=True):
        light = light + (flash.at(points)[0] * np.float32(power))[:, None] * vector(*flash.colour)
    scale = view.focal_px / depth
    angle = rng.normal(0.12, 0.05, count) if kind.falls else rng.uniform(0, 2 * np.pi, count)
    length = kind.speed * FLASH_S * scale
    return Swarm(
        rows, cols, depth,
        (kind.radius_m * rng.uniform(0.5, 1.4, count) * scale).astype(np.float32), _blur_px(view, depth),
        np.stack([np.sin(angle) * length, np.cos(angle) * length], axis=1).astype(np.float32),
        (kind.albedo * light).astype(np.float32),
    )  # fmt: skip


def add_swarm(linear: Field, seen: Swarm, depth: Field) -> Field:
    """Return the picture with the light of particles before what stands at `depth` added."""
    result = linear.copy()
    height, width = linear.shape[:2]
    at = np.clip(seen.rows.astype(int), 0, height - 1), np.clip(seen.cols.astype(int), 0, width - 1)
    before = seen.depth < depth[at]
    spread = np.hypot(seen.radius, seen.disc)
    smeared = np.hypot(seen.smear[:, 0], seen.smear[:, 1])
    small = before & (spread < 0.9) & (smeared < 1.2)
    share = np.clip(np.pi * seen.radius**2, 0, 1)[:, None]
    np.add.at(result, (at[0][small], at[1][small]), (share * seen.light)[small])
    for index in np.flatnonzero(before & ~small).tolist():
        _add_one(result, seen, index, float(spread[index]))
    return result


def _add_one(result: Field, seen: Swarm, index: int, spread: float) -> None:
    """Add one particle: a disc, drawn out along its way, with the light of the particle spread over it."""
    height, width = result.shape[:2]
    radius = float(np.clip(spread, 0.7, 0.09 * width))
    row, col = float(seen.rows[index]), float(seen.cols[index])
    across, down = (float(part) for part in seen.smear[index])
    reach = radius + 1
    bottom = min(height, int(max(row, row + down) + reach) + 2)
    top = max(0, int(min(row, row + down) - reach))
    left, right = (
        max(0, int(min(col, col + across) - reach)),
        min(width, int(max(col, col + across) + reach) + 2),
    )
    if bottom <= top or right <= left:
        return
    rows, cols = np.mgrid[top:bottom, left:right].astype(np.float32)
    length = across**2 + down**2
    along = np.clip(((cols - col) * across + (rows - row) * down) / max(length, 1e-6), 0, 1)
    away = np.hypot(cols - col - along * across, rows - row - along * down)
    shape = np.clip(radius + 0.5 - away, 0, 1)
    covered = np.pi * radius**2 + 2 * radius * float(np.sqrt(length))
    share = min(1.0, float(np.pi * seen.radius[index] ** 2) / covered)
    result[top:bottom, left:right] += (share * shape)[..., None] * seen.light[index]
