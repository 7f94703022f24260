"""A river bank: mud, reeds, dark water and the far bank. Invented."""

import numpy as np

from sample_cards.arrays import Field
from sample_cards.camera import Camera, View
from sample_cards.light import Place
from sample_cards.plantings import scatter, tufts
from sample_cards.scene import Plants, Site
from sample_cards.sites.common import over, pair, roll_boulders
from sample_cards.structures import Boulder, horizon, water
from sample_cards.terrain import Buffer, GroundLook, ground

STONES = (
    Boulder(-1.1, 5.15, (0.22, 0.13, 0.16)),
    Boulder(1.35, 5.35, (0.34, 0.20, 0.22)), Boulder(0.55, 5.3, (0.12, 0.07, 0.1)),
    Boulder(-0.35, 5.45, (0.15, 0.08, 0.12)),
)  # fmt: skip


def shore(x: Field) -> Field:
    """Return the depth at which the water begins."""
    line: Field = (5.35 + 0.16 * np.sin(1.3 * x + 0.4) + 0.05 * np.sin(5.1 * x)).astype(np.float32)
    return line


def mud(x: Field, z: Field) -> Field:
    """Return how bare a place is, 0 to 1: mud by the water, grass away from it."""
    share: Field = np.clip(1.15 - np.abs(z - shore(x) + 0.7) / 0.9, 0.0, 1.0).astype(np.float32)
    return share


LOOK = GroundLook(
    soil=(0.075, 0.06, 0.042),
    path=(0.105, 0.088, 0.068),
    moss=(0.06, 0.085, 0.026),
    path_share=mud,
    moss_share=0.34,
    rough=0.8,
)


def still(view: View, rng: np.random.Generator) -> Buffer:
    """Build what does not move."""
    far = horizon(view, rng, hills=(0.04, 0.05, 0.025), height=0.10)
    over(far, ground(view, LOOK, rng))
    rays = view.grid()
    flat = -view.camera.height_m / np.minimum(rays[..., 1], -1e-3)
    over(far, water(view, rng, shore=shore((rays[..., 0] * flat).astype(np.float32))))
    roll_boulders(far, view, STONES, rng)
    return far


def plants(rng: np.random.Generator) -> list[Plants]:
    """Grow reeds at the water's edge on either side, and rough grass."""
    reeds = scatter(150, 5.3, 7.2, rng, wide=0.50)
    reeds = reeds[(np.abs(reeds[:, 0] - 0.2) > 1.1)]
    edge = scatter(46, 4.75, 5.3, rng, wide=0.46)
    edge = edge[np.sin(2.3 * edge[:, 0]) > 0.0]
    front = scatter(120, 2.0, 3.7, rng, wide=0.46)
    front = front[np.sin(2.7 * front[:, 0] + 1.3 * front[:, 2]) > -0.2]
    green = ((0.27, 0.22, 0.11), (0.075, 0.125, 0.04))
    return [
        Plants(
            tufts(reeds, 7, rng, tall=(0.55, 1.45), colours=((0.36, 0.28, 0.15), (0.12, 0.155, 0.05))), 0.022
        ),
        Plants(tufts(edge, 10, rng, tall=(0.10, 0.30), colours=green), 0.030),
        Plants(tufts(front, 14, rng, tall=(0.05, 0.17), colours=green), 0.030),
    ]


SITE = Site("Otter Bend", Place(49.6, 12.3, 2.0), Camera(), pair(24.0), 0.75, still, plants)
"""A bank above dark water, one flash high on either side."""
