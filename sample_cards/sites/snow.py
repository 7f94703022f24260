"""A spruce wood under snow, a track trodden through it. Invented."""

import numpy as np

from sample_cards.camera import Camera, View
from sample_cards.light import Place
from sample_cards.plantings import bush, scatter, tufts
from sample_cards.scene import Plants, Site
from sample_cards.shapes import join
from sample_cards.sites.common import beside, over, pair, plant_trunks
from sample_cards.terrain import Buffer, GroundLook, Trunk, backdrop, ground

TRUNKS = (
    Trunk(-1.55, 6.4, 0.15, (0.10, 0.075, 0.055), 0.0), Trunk(1.25, 7.6, 0.17, (0.095, 0.07, 0.05), 0.0, 0.01),
    Trunk(2.7, 6.9, 0.14, (0.11, 0.08, 0.06), 0.0), Trunk(-0.35, 9.6, 0.16, (0.10, 0.075, 0.055), 0.0),
    Trunk(-3.4, 8.4, 0.18, (0.10, 0.075, 0.055), 0.0), Trunk(-1.9, 12.5, 0.17, (0.10, 0.08, 0.06), 0.0),
    Trunk(0.9, 13.0, 0.16, (0.10, 0.08, 0.06), 0.0), Trunk(4.2, 11.0, 0.2, (0.10, 0.08, 0.06), 0.0),
    Trunk(-5.3, 13.0, 0.2, (0.10, 0.08, 0.06), 0.0), Trunk(2.3, 16.0, 0.2, (0.10, 0.08, 0.06), 0.0),
)  # fmt: skip

LOOK = GroundLook(
    soil=(0.74, 0.77, 0.81),
    path=(0.60, 0.63, 0.68),
    moss=(0.78, 0.81, 0.85),
    path_share=beside,
    moss_share=0.3,
    rough=0.34,
)

STALKS = ((0.27, 0.20, 0.10), (0.20, 0.15, 0.08))
NEEDLES = ((0.55, 0.58, 0.61), (0.030, 0.050, 0.026))


def still(view: View, rng: np.random.Generator) -> Buffer:
    """Build what does not move."""
    far = backdrop(view, rng, distance=26.0, foliage=(0.05, 0.058, 0.05), gaps=0.6)
    over(far, ground(view, LOOK, rng))
    plant_trunks(far, view, TRUNKS, rng)
    return far


def plants(rng: np.random.Generator) -> list[Plants]:
    """Grow young spruces with snow on them, and dry stalks that stick out of the snow."""
    young = [
        bush((x, 0.35 * size, z), 0.55 * size, int(1300 * size), rng, colours=NEEDLES)
        for x, z, size in (
            (-2.5, 7.4, 1.2),
            (0.5, 8.8, 0.9),
            (3.3, 8.2, 1.3),
            (-0.9, 11.0, 1.2),
            (1.9, 11.5, 1.2),
            (-4.6, 10.5, 1.5),
        )
    ]
    back = scatter(60, 4.9, 8.0, rng, wide=0.46)
    front = scatter(16, 2.2, 3.5, rng, wide=0.46)
    return [
        Plants(join(young), 0.020),
        Plants(tufts(back, 7, rng, tall=(0.10, 0.34), colours=STALKS, dry_share=0.6), 0.035),
        Plants(tufts(front, 6, rng, tall=(0.06, 0.24), colours=STALKS, dry_share=0.6), 0.035),
    ]


SITE = Site("Hoarfrost Ride", Place(51.8, 10.6, 1.0), Camera(iso=400.0), pair(15.0), 0.20, still, plants)
"""A track through snow between spruces, one flash high on either side."""
