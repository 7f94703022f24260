"""A garden at the edge of a village: lawn, a hedge, a board fence. Invented."""

import numpy as np

from sample_cards.camera import Camera, View
from sample_cards.light import Place
from sample_cards.plantings import bush, scatter, tufts
from sample_cards.scene import Plants, Site
from sample_cards.shapes import join
from sample_cards.sites.common import nowhere, over, pair, plant_trunks
from sample_cards.structures import horizon, planks
from sample_cards.terrain import Buffer, GroundLook, Trunk, ground

LOOK = GroundLook(
    soil=(0.055, 0.075, 0.025),
    path=(0.1, 0.1, 0.06),
    moss=(0.07, 0.115, 0.03),
    path_share=nowhere,
    moss_share=0.6,
    rough=0.6,
)

TREE = (Trunk(-1.85, 5.9, 0.12, (0.14, 0.125, 0.105), 0.1, 0.02),)


def still(view: View, rng: np.random.Generator) -> Buffer:
    """Build what does not move."""
    far = horizon(view, rng, hills=(0.05, 0.05, 0.045), height=0.09)
    over(far, ground(view, LOOK, rng))
    over(far, planks(view, rng, depth=8.6, top=1.55, wood=(0.20, 0.155, 0.11), width=0.11))
    plant_trunks(far, view, TREE, rng)
    return far


def plants(rng: np.random.Generator) -> list[Plants]:
    """Grow a border of shrubs and flowers before the fence, and the lawn."""
    border = [
        bush((x, 0.42 * r, 7.6 + 0.2 * np.sin(3 * x)), r, n, rng, colours=colours)
        for x, r, n, colours in (
            (-3.2, 0.75, 2600, ((0.05, 0.09, 0.03), (0.055, 0.10, 0.03))),
            (-1.5, 0.55, 1800, ((0.42, 0.10, 0.14), (0.06, 0.11, 0.035))),
            (-0.2, 0.62, 2200, ((0.09, 0.13, 0.04), (0.05, 0.085, 0.03))),
            (1.15, 0.48, 1600, ((0.55, 0.45, 0.10), (0.07, 0.12, 0.04))),
            (2.5, 0.70, 2400, ((0.08, 0.12, 0.04), (0.045, 0.08, 0.03))),
            (3.8, 0.6, 1800, ((0.35, 0.28, 0.42), (0.06, 0.11, 0.04))),
        )
    ]
    grass = ((0.17, 0.17, 0.06), (0.075, 0.125, 0.032))
    far = scatter(900, 4.6, 7.4, rng, wide=0.48)
    middle = scatter(900, 2.8, 4.6, rng, wide=0.48)
    near = scatter(520, 1.5, 2.8, rng, wide=0.48)
    return [
        Plants(join(border), 0.025),
        Plants(tufts(far, 12, rng, tall=(0.015, 0.05), colours=grass, dry_share=0.12), 0.008),
        Plants(tufts(middle, 13, rng, tall=(0.015, 0.05), colours=grass, dry_share=0.12), 0.008),
        Plants(tufts(near, 14, rng, tall=(0.012, 0.045), colours=grass, dry_share=0.12), 0.008),
    ]


SITE = Site("Quince Garden", Place(50.7, 7.2, 2.0), Camera(), pair(23.0), 0.6, still, plants)
"""A lawn before a border and a fence, one flash high on either side."""
