"""A path between boulders on a hillside. Invented."""

import numpy as np

from sample_cards.camera import Camera, View
from sample_cards.light import Place
from sample_cards.plantings import bush, scatter, tufts
from sample_cards.scene import Plants, Site
from sample_cards.shapes import join
from sample_cards.sites.common import beside, over, pair, roll_boulders
from sample_cards.structures import Boulder, horizon
from sample_cards.terrain import Buffer, GroundLook, ground

STONES = (
    Boulder(-1.75, 5.9, (0.75, 0.80, 0.5)),
    Boulder(1.9, 6.2, (0.95, 1.15, 0.6)), Boulder(0.15, 6.9, (0.55, 0.42, 0.4)),
    Boulder(-0.75, 8.6, (1.2, 1.05, 0.7)), Boulder(2.9, 9.5, (1.6, 2.1, 0.9)), Boulder(-3.7, 9.2, (1.5, 2.0, 0.9)),
    Boulder(0.9, 12.0, (2.2, 1.8, 1.0)), Boulder(-2.2, 13.5, (2.0, 2.4, 1.0)), Boulder(1.05, 5.35, (0.24, 0.20, 0.2)),
    Boulder(-0.55, 5.5, (0.19, 0.13, 0.15)),
    Boulder(-1.15, 2.95, (0.22, 0.16, 0.2)),
    Boulder(0.95, 3.1, (0.30, 0.22, 0.22)),
    Boulder(0.42, 2.45, (0.11, 0.07, 0.1)),
    Boulder(-0.45, 3.3, (0.10, 0.06, 0.1)), Boulder(0.0, 5.25, (0.12, 0.09, 0.1)),
)  # fmt: skip

LOOK = GroundLook(
    soil=(0.155, 0.135, 0.11),
    path=(0.23, 0.205, 0.175),
    moss=(0.09, 0.095, 0.04),
    path_share=beside,
    moss_share=0.24,
    rough=1.5,
)


def still(view: View, rng: np.random.Generator) -> Buffer:
    """Build what does not move."""
    far = horizon(view, rng, hills=(0.05, 0.055, 0.035), height=0.14)
    over(far, ground(view, LOOK, rng))
    roll_boulders(far, view, STONES, rng)
    return far


def plants(rng: np.random.Generator) -> list[Plants]:
    """Grow dry grass between the stones, and a few shrubs."""
    shrubs = [
        bush((x, 0.3, z), size, n, rng, colours=((0.20, 0.10, 0.06), (0.075, 0.085, 0.035)))
        for x, z, size, n in (
            (-2.7, 7.2, 0.5, 600),
            (0.95, 7.8, 0.45, 500),
            (-0.1, 10.5, 0.6, 500),
            (3.6, 7.6, 0.55, 600),
        )
    ]
    back = scatter(120, 4.8, 8.0, rng, wide=0.46)
    front = scatter(46, 2.1, 3.6, rng, wide=0.46)
    straw = ((0.34, 0.28, 0.15), (0.14, 0.15, 0.055))
    return [
        Plants(join(shrubs), 0.025),
        Plants(tufts(back, 14, rng, tall=(0.07, 0.26), colours=straw, dry_share=0.65), 0.035),
        Plants(tufts(front, 13, rng, tall=(0.05, 0.17), colours=straw, dry_share=0.65), 0.035),
    ]


SITE = Site("Grindle Scar", Place(46.9, 8.4, 2.0), Camera(), pair(22.0), 0.55, still, plants)
"""A rocky path on an open hillside, one flash high on either side."""
