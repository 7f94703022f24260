"""What sites have in common: a straight path, two flashes, a way of putting still things together."""

import numpy as np

from sample_cards.arrays import Field
from sample_cards.camera import View
from sample_cards.light import Flash
from sample_cards.structures import Boulder, boulder, rock_grain
from sample_cards.terrain import Buffer, Trunk, trunk


def straight(x: Field) -> Field:
    """Return the depth of the middle of a path that runs straight across the view."""
    return np.asarray(4.25 + 0.05 * x, dtype=np.float32)


def beside(x: Field, z: Field) -> Field:
    """Return how much a place belongs to the straight path, 0 to 1."""
    share: Field = np.clip(1.3 - (np.abs(z - straight(x)) / 0.45) ** 1.6, 0.0, 1.0).astype(np.float32)
    return share


def nowhere(x: Field, z: Field) -> Field:
    """Return that no place belongs to a path."""
    return np.asarray(0 * x * z, dtype=np.float32)


def over(far: Buffer, near: Buffer) -> None:
    """Let the nearer show."""
    far.put(np.ones_like(near.depth), near)


def plant_trunks(far: Buffer, view: View, trees: tuple[Trunk, ...], rng: np.random.Generator) -> None:
    """Put trunks into the view."""
    for tree in trees:
        covers, values, window = trunk(view, tree, rng)
        if covers.size:
            part = Buffer(far.albedo[window], far.normals[window], far.depth[window], far.sky[window])
            part.put(covers, values)


def roll_boulders(far: Buffer, view: View, stones: tuple[Boulder, ...], rng: np.random.Generator) -> None:
    """Put boulders into the view."""
    grain = rock_grain(rng)
    for stone in stones:
        covers, values = boulder(view, stone, grain, rng)
        far.put(covers, values)


def pair(strength: float) -> tuple[Flash, Flash]:
    """Return one flash high on either side."""
    return (
        Flash((-2.3, 2.1, 1.5), (-0.1, 0.25, 4.2), strength, (1.0, 0.985, 0.955)),
        Flash((2.3, 2.0, 1.4), (0.1, 0.25, 4.2), strength, (1.0, 0.97, 0.93)),
    )
