"""What does not move: ground, trunks and what lies far behind, as a buffer of surface values per pixel."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from skimage import data

from sample_cards.arrays import Field, unit, vector
from sample_cards.camera import View
from sample_cards.filters import blur
from sample_cards.textures import fractal, mirrored, tile_sample

Colour = tuple[float, float, float]


@dataclass(slots=True)
class Buffer:
    """Surface values for each pixel of a view.

    Attributes
    ----------
    albedo, normals : ndarray of float32, shape (M, N, 3)
        Linear reflectance; unit normals.
    depth, sky : ndarray of float32, shape (M, N)
        Forward depth in metres; openness to the sky, 1 for open level ground.
    """

    albedo: Field
    normals: Field
    depth: Field
    sky: Field

    def put(self, where: Field, other: "Buffer") -> None:
        """Let the other buffer show where it is nearer and `where` is above a half."""
        shows = (where > 0.5) & (other.depth < self.depth)
        self.albedo[shows], self.normals[shows] = other.albedo[shows], other.normals[shows]
        self.depth[shows], self.sky[shows] = other.depth[shows], other.sky[shows]


@dataclass(frozen=True, slots=True)
class Trunk:
    """A tree's trunk.

    Attributes
    ----------
    x, z, radius : float
        Where, and how thick, metres.
    bark : tuple of float
        Linear reflectance.
    moss : float
        How green its foot is, 0 to 1.
    lean : float
        Metres sideways per metre of height.
    """

    x: float
    z: float
    radius: float
    bark: Colour = (0.115, 0.095, 0.075)
    moss: float = 0.3
    lean: float = 0.0


@dataclass(frozen=True, slots=True)
class GroundLook:
    """How the bare ground looks.

    Attributes
    ----------
    soil, path, moss : tuple of float
        Linear reflectance of the ground, of the trodden path, and of the moss or grass on it.
    path_share : callable
        From x and z to how much of the path a place is, 0 to 1.
    moss_share : float
        How much of the ground is green, 0 to 1.
    rough : float
        Height of its bumps, 1 for forest soil.
    """

    soil: Colour
    path: Colour
    moss: Colour
    path_share: Callable[[Field, Field], Field]
    moss_share: float = 0.25
    rough: float = 1.0


def _stone_tile() -> Field:
    """Pebbles about 0 with deviation 1: a sample picture that comes inside scikit-image's own package."""
    grey = data.gravel().astype(np.float32)
    grey -= blur(grey, 40)
    scaled: Field = mirrored(grey / grey.std())
    return scaled


def ground(view: View, look: GroundLook, rng: np.random.Generator) -> Buffer:
    """Lay the ground out to the horizon."""
    rays = view.grid()
    down = rays[..., 1]
    depth = np.where(down < -1e-3, -view.camera.height_m / np.minimum(down, -1e-3), 1e3).astype(np.float32)
    points = view.origin + rays * np.minimum(depth, 60.0)[..., None]
    x, z = points[..., 0], points[..., 2]
    tile = mirrored(fractal((1024, 1024), 90.0, rng, octaves=7, fall=0.62))
    wide = mirrored(fractal((512, 512), 64.0, rng, octaves=5))
    stones = _stone_tile()
    # The axes of the tiles are turned, and their seams moved off the middle of the picture.
    along, aside = (np.asarray(axis, dtype=np.float32) for axis in (0.93 * z - 0.37 * x, 0.93 * x + 0.37 * z))
    fine = tile_sample(tile, along * 330.0 + 311.0, aside * 330.0 + 577.0)
    # Grit is there where a pixel is small enough to show it.
    per_m = view.focal_px / np.maximum(depth, 0.5)
    grit = tile_sample(tile, aside * 1450.0, along * 1450.0) * np.clip(1.5 * per_m / 1450.0 - 0.3, 0, 1)
    blotch = tile_sample(wide, z * 42.0 + 100, x * 42.0 + 60)
    pebble = tile_sample(stones, along * 620.0 + 133.0, aside * 620.0 + 289.0)
    path = np.clip(look.path_share(x, z) + 0.18 * blotch, 0, 1)[..., None]
    green = np.clip((blotch * 0.5 + look.moss_share * 1.6 - 0.55 + 0.15 * fine) * 2.0, 0, 1)[..., None] * (
        1 - path
    )
    albedo = vector(*look.soil) * (1 - path) + vector(*look.path) * path
    albedo = albedo * (1 - green) + vector(*look.moss) * green
    relief = look.rough * (
        0.55 * fine * (1 - 0.5 * path[..., 0]) + 0.45 * grit + 0.40 * pebble * (0.35 + 0.65 * path[..., 0])
    )
    albedo *= np.clip(1 + 0.30 * relief + 0.16 * blotch, 0.2, 2.2)[..., None]
    near = np.clip(5.0 / np.maximum(depth, 0.5), 0, 1.3)
    slope_rows, slope_cols = np.gradient(relief)
    bump = (0.55 * near)[..., None] * np.stack([-slope_cols, 0 * relief, slope_rows], axis=-1)
    normals = unit((vector(0, 1, 0) + bump).astype(np.float32))
    sky = np.clip(0.75 + 0.18 * relief, 0.25, 1.2).astype(np.float32)
    return Buffer(albedo.astype(np.float32), normals, depth, sky)


def backdrop(
    view: View, rng: np.random.Generator, *, distance: float, foliage: Colour, gaps: float
) -> Buffer:
    """Hang the far edge of the wood: foliage in clumps, trunks in silhouette, sky through the gaps."""
    shape = (view.height, view.width)
    clumps = fractal(shape, view.width / 9.0, rng, octaves=8, fall=0.68)
    leaves_ = fractal(shape, view.width / 60.0, rng, octaves=5, fall=0.8)
    rays = view.grid()
    height = view.camera.height_m + rays[..., 1] * distance
    open_ = np.clip((clumps + 0.5 * leaves_ - 2.1 + gaps * np.clip(height / 4.0, 0, 2.2)) * 2.5, 0, 1)
    stems = np.clip(fractal((1, shape[1]), view.width / 70.0, rng, octaves=3) - 0.75, 0, 1)
    open_ = open_ * (1 - np.clip(stems * 1.2, 0, 1))
    tone = np.clip(0.75 + 0.35 * clumps + 0.3 * leaves_, 0.15, 2.0)[..., None]
    albedo = vector(*foliage) * tone * (1 - open_[..., None]) + vector(0.85, 0.9, 0.95) * open_[..., None]
    sky = 0.55 * (1 - open_) + 4.5 * open_
    normals = np.broadcast_to(vector(0, 0.2, -0.98), (*shape, 3)).copy()
    return Buffer(
        albedo.astype(np.float32), normals, np.full(shape, distance, np.float32), sky.astype(np.float32)
    )


def trunk(view: View, tree: Trunk, rng: np.random.Generator) -> tuple[Field, Buffer, tuple[slice, slice]]:
    """See one trunk: where it covers, its values, and the part of the picture they are for."""
    depth_guess = tree.z
    wide = (tree.radius * 1.9 + abs(tree.lean) * 3) * view.focal_px / depth_guess + 3
    middle = tree.x / depth_guess * view.focal_px + view.width / 2
    left, right = max(0, int(middle - wide)), min(view.width, int(middle + wide) + 1)
    window = (slice(0, view.height), slice(left, max(right, left)))
    if right - left < 1:
        empty = np.zeros((view.height, 0), np.float32)
        return (
            empty,
            Buffer(
                np.zeros((view.height, 0, 3), np.float32),
                np.zeros((view.height, 0, 3), np.float32),
                empty,
                empty,
            ),
            window,
        )
    rows, cols = np.mgrid[0 : view.height, left:right].astype(np.float32)
    rays = view.rays(rows, cols)
    height = view.camera.height_m + rays[..., 1] * depth_guess
    x0 = tree.x + tree.lean * np.maximum(height, 0)
    radius = tree.radius * (1 + 0.75 * np.exp(-np.maximum(height, 0) / (tree.radius * 0.9)) - 0.03 * height)
    a = rays[..., 0] ** 2 + rays[..., 2] ** 2
    b = rays[..., 0] * x0 + rays[..., 2] * tree.z
    inner = b**2 - a * (x0**2 + tree.z**2 - radius**2)
    depth = ((b - np.sqrt(np.maximum(inner, 0.0))) / a).astype(np.float32)
    points = view.origin + rays * depth[..., None]
    radial = unit(
        np.stack([points[..., 0] - x0, 0.05 + 0 * x0, points[..., 2] - tree.z], axis=-1).astype(np.float32)
    )
    angle = np.arctan2(radial[..., 0], -radial[..., 2])
    ridges = mirrored(fractal((256, 512), 20.0, rng, octaves=5, fall=0.7))
    warp = mirrored(fractal((256, 256), 60.0, rng, octaves=3))
    y = points[..., 1]
    bent = angle * tree.radius * 300 + 7 * tile_sample(warp, y * 60, angle * 40)
    bark = 1.1 - 1.7 * np.abs(tile_sample(ridges, y * 62, np.asarray(bent * 1.5 + 500, dtype=np.float32)))
    moss = np.clip(
        tree.moss * 2.2 - 1.4 * y + 0.35 * tile_sample(warp, y * 130, angle * 90) + 0.3 * radial[..., 0], 0, 1
    )
    albedo = (
        vector(*tree.bark) * (1 - 0.85 * moss[..., None])
        + vector(0.085, 0.115, 0.035) * 0.85 * moss[..., None]
    )
    albedo = albedo * np.clip(0.85 + 0.33 * bark, 0.2, 1.9)[..., None]
    slope = np.gradient(bark, axis=1)
    sideways = unit(np.stack([-radial[..., 2], 0 * y, radial[..., 0]], axis=-1).astype(np.float32))
    normals = unit((radial + 0.5 * slope[..., None] * sideways).astype(np.float32))
    covers = ((inner > 0) & (y > -0.02)).astype(np.float32)
    sky = np.clip(0.45 + 0.10 * bark + 0.1 * np.clip(y, 0, 1), 0.1, 1.0).astype(np.float32)
    return covers, Buffer(albedo.astype(np.float32), normals, depth, sky), window
