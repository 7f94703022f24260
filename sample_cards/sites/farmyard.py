"""A farmyard: trodden earth and gravel before a barn of old boards. Invented."""

import numpy as np

from sample_cards.arrays import Field
from sample_cards.camera import Camera, View
from sample_cards.light import Place
from sample_cards.plantings import scatter, tufts
from sample_cards.scene import Plants, Site
from sample_cards.shapes import join
from sample_cards.sites.common import over, pair, plant_trunks, roll_boulders
from sample_cards.structures import Boulder, horizon, planks
from sample_cards.terrain import Buffer, GroundLook, Trunk, ground

WOOD = (0.15, 0.12, 0.09)
POSTS = tuple(Trunk(x, 6.75, 0.065, (0.17, 0.14, 0.11), 0.12) for x in (-2.3, -0.75, 2.35))
TROUGH = (Boulder(1.45, 6.1, (0.55, 0.36, 0.25), (0.23, 0.22, 0.20)), Boulder(-1.75, 6.2, (0.30, 0.24, 0.2)))


def yard(x: Field, z: Field) -> Field:
    """Return how much a place is gravel, 0 to 1: the whole yard, less so before the wall."""
    share: Field = np.clip(0.75 - 0.25 * (z - 5.0) + 0.1 * np.sin(1.7 * x), 0.1, 0.9).astype(np.float32)
    return share


LOOK = GroundLook(
    soil=(0.12, 0.095, 0.07),
    path=(0.21, 0.19, 0.165),
    moss=(0.075, 0.09, 0.03),
    path_share=yard,
    moss_share=0.22,
    rough=1.25,
)


def still(view: View, rng: np.random.Generator) -> Buffer:
    """Build what does not move."""
    far = horizon(view, rng, hills=(0.045, 0.05, 0.03), height=0.05)
    over(far, ground(view, LOOK, rng))
    over(far, planks(view, rng, depth=7.4, top=2.15, wood=WOOD))
    plant_trunks(far, view, POSTS, rng)
    roll_boulders(far, view, TROUGH, rng)
    return far


def plants(rng: np.random.Generator) -> list[Plants]:
    """Grow weeds along the wall, and let straw lie about."""
    foot = scatter(140, 6.4, 7.3, rng, wide=0.46)
    front = scatter(30, 2.1, 3.7, rng, wide=0.46)
    corner = scatter(14, 1.9, 2.4, rng, wide=0.46)
    corner = corner[np.abs(corner[:, 0]) > 0.45]
    straw = ((0.42, 0.34, 0.17), (0.10, 0.15, 0.045))
    return [
        Plants(join([tufts(foot, 15, rng, tall=(0.08, 0.42), colours=straw, dry_share=0.35)]), 0.030),
        Plants(tufts(front, 9, rng, tall=(0.03, 0.10), colours=straw, dry_share=0.5), 0.025),
        Plants(tufts(corner, 14, rng, tall=(0.06, 0.2), colours=straw, dry_share=0.4), 0.040),
    ]


SITE = Site("Thistle Yard", Place(53.1, 7.9, 2.0), Camera(), pair(22.0), 0.7, still, plants)
"""The yard before a barn, one flash high on either side."""
