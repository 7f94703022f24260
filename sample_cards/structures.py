"""Boulders, walls of planks, open sky and water: what stands still besides ground and trunks."""

from dataclasses import dataclass

import numpy as np

from sample_cards.arrays import Field, unit, vector
from sample_cards.camera import View
from sample_cards.terrain import Buffer, Colour
from sample_cards.textures import fractal, mirrored, tile_sample


@dataclass(frozen=True, slots=True)
class Boulder:
    """A rock on the ground.

    Attributes
    ----------
    x, z : float
        Where.
    size : tuple of float
        Half width, height above the ground, half depth; metres.
    rock, moss : tuple of float
        Linear reflectance of the rock, and of what grows on it.
    """

    x: float
    z: float
    size: tuple[float, float, float]
    rock: Colour = (0.21, 0.195, 0.175)
    moss: Colour = (0.085, 0.10, 0.045)


def rock_grain(rng: np.random.Generator) -> Field:
    """Return the grain of the rocks of a site."""
    return mirrored(fractal((512, 512), 110.0, rng, octaves=8, fall=0.60))


def boulder(view: View, stone: Boulder, tile: Field, rng: np.random.Generator) -> tuple[Field, Buffer]:
    """See a rock: where it covers, and its values, over the whole picture; `tile` is its grain."""
    rays = view.grid()
    scale = 1.0 / vector(*stone.size)
    origin = (view.origin - vector(stone.x, 0.0, stone.z)) * scale
    aims = rays * scale
    a = np.einsum("ijk,ijk->ij", aims, aims)
    b = aims @ origin
    # An uneven outline: the ellipsoid swells and shrinks with noise about as coarse as itself.
    coarse = max(1.1 * stone.size[0] * view.focal_px / stone.z, 8.0)
    uneven = np.clip(0.11 * fractal((view.height, view.width), coarse, rng, octaves=3, fall=0.42), -0.3, 0.3)
    inner = b**2 - a * (float(origin @ origin) - (1.0 + uneven) ** 2)
    depth = ((-b - np.sqrt(np.maximum(inner, 0.0))) / a).astype(np.float32)
    points = view.origin + rays * depth[..., None]
    covers = ((inner > 0) & (points[..., 1] > -0.01)).astype(np.float32)
    local = (points - vector(stone.x, 0.0, stone.z)) * scale
    smooth = unit((local * scale).astype(np.float32))
    rough = tile_sample(
        tile, ((local[..., 1] + local[..., 2]) * 210 + 90 * stone.x).astype(np.float32),
        ((local[..., 0] - 0.6 * local[..., 2]) * 210 + 300).astype(np.float32),
    )  # fmt: skip
    cracks = np.clip(1.0 - np.abs(rough - 0.4) * 9.0, 0, 1)
    slope_rows, slope_cols = np.gradient(rough)
    scale_px = view.width / 600
    bump = 3.2 * scale_px * np.stack([-slope_cols, slope_rows, 0 * rough], axis=-1)
    normals = unit((smooth + np.clip(bump, -0.9, 0.9)).astype(np.float32))
    green = np.clip(1.6 * smooth[..., 1] - 0.75 + 0.45 * rough, 0, 1)[..., None]
    tone = np.clip(1.0 + 0.32 * rough - 0.45 * cracks, 0.25, 1.8)[..., None]
    albedo = (vector(*stone.rock) * (1 - 0.75 * green) + vector(*stone.moss) * 0.75 * green) * tone
    sky = np.clip(
        0.45 + 0.35 * smooth[..., 1] - 0.35 * np.exp(-np.maximum(points[..., 1], 0) / 0.05), 0.08, 1.0
    )
    return covers, Buffer(albedo.astype(np.float32), normals, depth, sky.astype(np.float32))


def planks(
    view: View, rng: np.random.Generator, *, depth: float, top: float, wood: Colour, width: float = 0.16
) -> Buffer:
    """Put up a wall of upright boards across the view, `top` metres high; above it there is nothing (far depth)."""
    rays = view.grid()
    points = view.origin + rays * (depth / rays[..., 2:3])
    x, y = points[..., 0], points[..., 1]
    number = np.floor(x / width)
    inside = x / width - number
    gap = np.clip(1.0 - np.minimum(inside, 1 - inside) * width / 0.006, 0, 1)
    tones = rng.uniform(0.62, 1.25, 400)[(number.astype(int) + 200) % 400]
    shifts = rng.uniform(0, 900, 400)[(number.astype(int) + 200) % 400]
    grain_tile = mirrored(fractal((512, 512), 60.0, rng, octaves=6, fall=0.7))
    grain = tile_sample(
        grain_tile, (y * 45 + shifts).astype(np.float32), (x * 900 + shifts).astype(np.float32)
    )
    stain = tile_sample(grain_tile, (y * 110).astype(np.float32), (x * 110).astype(np.float32))
    damp = np.exp(-np.maximum(y, 0.0) / 0.16)
    tone = tones * (1 + 0.20 * grain + 0.10 * stain) * (1 - 0.93 * gap) * (1 - 0.45 * damp)
    albedo = vector(*wood) * np.clip(tone, 0.03, 2.0)[..., None]
    albedo = albedo * (1 - 0.3 * damp[..., None]) + vector(0.05, 0.06, 0.025) * 0.3 * damp[..., None]
    tilt = np.gradient(grain, axis=1)
    normals = unit(np.stack([0.35 * tilt, 0 * tilt, -1 + 0 * tilt], axis=-1).astype(np.float32))
    far = np.where((y > -0.02) & (y < top), depth, np.float32(1e3)).astype(np.float32)
    sky = np.clip(0.55 - 0.3 * damp - 0.2 * gap, 0.05, 1.0)
    return Buffer(albedo.astype(np.float32), normals, far, sky.astype(np.float32))


def horizon(view: View, rng: np.random.Generator, *, hills: Colour, height: float) -> Buffer:
    """Hang open sky over a dark line of hills and trees, `height` in units of the distance."""
    shape = (view.height, view.width)
    rays = view.grid()
    rise = rays[..., 1] / rays[..., 2]
    line = fractal((1, shape[1]), view.width / 4.0, rng, octaves=7, fall=0.6)
    leaf = fractal(shape, view.width / 40.0, rng, octaves=5, fall=0.75)
    open_ = np.clip((rise - height * (1 + 0.28 * line) + 0.010 * leaf) * 160, 0, 1)[..., None]
    clouds = fractal(shape, view.width / 3.0, rng, octaves=6, fall=0.6)
    shine = vector(0.80, 0.88, 0.97) * (1 + 0.06 * clouds)[..., None]
    trees = vector(*hills) * np.clip(0.9 + 0.35 * leaf, 0.2, 2)[..., None]
    albedo = trees * (1 - open_) + shine * open_
    sky = (0.5 * (1 - open_) + 1.6 * open_)[..., 0]
    normals = np.broadcast_to(vector(0, 0.2, -0.98), (*shape, 3)).copy()
    return Buffer(
        albedo.astype(np.float32), normals, np.full(shape, 45.0, np.float32), sky.astype(np.float32)
    )


def water(view: View, rng: np.random.Generator, *, shore: Field) -> Buffer:
    """Lay still water beyond the shore (forward depth for each column): it mirrors the sky and swallows the flash."""
    rays = view.grid()
    down = rays[..., 1]
    depth = np.where(down < -1e-3, -view.camera.height_m / np.minimum(down, -1e-3), 1e3).astype(np.float32)
    points = view.origin + rays * np.minimum(depth, 80.0)[..., None]
    tile = mirrored(fractal((512, 512), 50.0, rng, octaves=5, fall=0.6))
    ripple = tile_sample(
        tile, (points[..., 2] * 160).astype(np.float32), (points[..., 0] * 34).astype(np.float32)
    )
    grazing = np.clip(1.0 - np.abs(down) * 3.2, 0.05, 1.0) ** 2
    # What is mirrored is the sky, so it goes by the light of the sky and not by the flash.
    sky = np.clip(26.0 * grazing * (1 + 0.10 * ripple), 0.5, 60.0)
    albedo = (
        np.broadcast_to(vector(0.014, 0.017, 0.016), (*down.shape, 3))
        * np.clip(1 + 0.1 * ripple, 0.3, 2)[..., None]
    )
    normals = np.broadcast_to(vector(0, 1, 0), (*down.shape, 3)).copy()
    wet = np.where((points[..., 2] > shore) & (depth < 60), 0.99 * depth, np.float32(1e3))
    return Buffer(albedo.astype(np.float32), normals, wet.astype(np.float32), sky.astype(np.float32))
