"""Plants that grow at more than one site: grass in tufts, shrubs."""

import numpy as np

from sample_cards.arrays import Field, unit, vector
from sample_cards.shapes import Shapes, blades, leaves

Colour = tuple[float, float, float]


def scatter(count: int, near: float, far: float, rng: np.random.Generator, *, wide: float = 0.5) -> Field:
    """Spread places evenly over the ground the camera sees between two depths."""
    z = np.sqrt(rng.uniform(near**2, far**2, count))
    x = rng.uniform(-wide, wide, count) * z
    return np.stack([x, 0 * x, z], axis=1).astype(np.float32)


def tufts(
    middles: Field,
    each: int,
    rng: np.random.Generator,
    *,
    tall: tuple[float, float],
    colours: tuple[Colour, Colour] = ((0.30, 0.23, 0.11), (0.085, 0.13, 0.035)),
    dry_share: float = 0.28,
) -> Shapes:
    """Grow tufts of grass, some of it dry: `colours` are those of the dry and of the fresh blades."""
    feet = np.repeat(middles, each, axis=0)
    feet = feet + np.stack(
        [rng.normal(0, 0.045, len(feet)), 0 * feet[:, 0], rng.normal(0, 0.045, len(feet))], axis=1
    )
    count = len(feet)
    height = rng.uniform(*tall, count).astype(np.float32)
    lean = (rng.normal(0, 0.55, (count, 2)) + 8 * (feet - np.repeat(middles, each, axis=0))[:, ::2]).astype(
        np.float32
    )
    dry = rng.random((count, 1)) < dry_share
    tones = np.where(dry, vector(*colours[0]), vector(*colours[1])) * rng.uniform(0.65, 1.35, (count, 1))
    width = rng.uniform(0.0022, 0.0055, count).astype(np.float32)
    return blades(
        feet.astype(np.float32),
        height=height,
        width=width,
        lean=np.clip(lean, -0.85, 0.85),
        colours=tones.astype(np.float32),
    )


def bush(
    middle: tuple[float, float, float],
    radius: float,
    count: int,
    rng: np.random.Generator,
    *,
    colours: tuple[Colour, Colour] = ((0.26, 0.19, 0.05), (0.060, 0.105, 0.030)),
) -> Shapes:
    """Grow a shrub: leaves about a cloud of twigs; `colours` are those of its turned and of its fresh leaves."""
    aims = unit(rng.normal(0, 1, (count, 3)).astype(np.float32))
    reach = radius * rng.uniform(0.35, 1.0, (count, 1)) ** 0.6
    places: Field = (vector(*middle) + aims * reach * vector(1.1, 0.9, 0.8)).astype(np.float32)
    lumps = np.sin(places @ vector(9, 7, 5)) + np.sin(places @ vector(-6, 11, 8))
    places = np.asarray(places[(places[:, 1] > 0.02) & (lumps > -0.6)], dtype=np.float32)
    total = len(places)
    normals = unit((rng.normal(0, 0.6, (total, 3)) + vector(0, 0.7, -0.5)).astype(np.float32))
    autumn = rng.random((total, 1)) < 0.22
    tones = np.where(autumn, vector(*colours[0]), vector(*colours[1])) * rng.uniform(0.6, 1.4, (total, 1))
    size = rng.uniform(0.03, 0.065, total).astype(np.float32)
    return leaves(places, size=size, colours=tones.astype(np.float32), normals=normals, rng=rng)
