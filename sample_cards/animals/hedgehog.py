"""A hedgehog: a dome of spines with a pointed brown face."""

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import WALK, Head, Leg
from sample_cards.solid import Body, Part, Surface, ramp, tint

SPINE = (0.13, 0.10, 0.07)
FACE = (0.17, 0.115, 0.07)
DARK = (0.05, 0.038, 0.028)


def hedgehog(pose: Pose) -> Body:
    """Build a hedgehog about 0.26 m long."""
    head = Head((0.105, 0.058 + 0.03 * pose.head, 0.02 * pose.turn), -0.25, pose.turn)
    at = head.at
    parts = [
        Part((-0.055, 0.082, 0.0), (0.045, 0.078, 0.0), 0.072, 0.066, SPINE, blend=0.03, hair=0.024),
        Part(
            (-0.02, 0.05, 0.0),
            (0.07, 0.052, 0.0),
            0.055,
            0.045,
            FACE,
            belly=(0.2, 0.16, 0.11),
            blend=0.03,
            hair=0.008,
        ),
        Part(at(-0.03, 0.0), at(0.010, -0.004), 0.040, 0.029, FACE, blend=0.02, hair=0.006),
        Part(at(0.015, -0.006), at(0.052, -0.014), 0.020, 0.0085, FACE, DARK, blend=0.014, hair=0.003),
        Part(at(0.060, -0.014), at(0.062, -0.014), 0.0065, 0.006, DARK, blend=0.003, hair=0.0, gloss=0.6),
        *head.eyes(0.022, 0.008, 0.018, 0.0055),
    ]
    parts += [
        Part(
            at(-0.016, 0.020, 0.026 * side),
            at(-0.018, 0.030, 0.032 * side),
            0.011,
            0.008,
            (0.13, 0.09, 0.06),
            blend=0.005,
            hair=0.002,
        )
        for side in (-1.0, 1.0)
    ]
    for index, phase in enumerate(WALK):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        leg = Leg(
            (-0.055 if hind else 0.06, 0.045, side * 0.034),
            0.020,
            0.0105,
            0.011,
            DARK,
            DARK,
            foot_length=0.014,
            hair=0.002,
        )
        parts += leg.parts((phase + pose.step) % 1.0, 0.05 * pose.stride, 0.015)

    def markings(surface: Surface) -> None:
        # Spines are banded: light tips on a dark ground, seen as a fine speckle over the dome.
        spiny = ramp(surface.hair - 0.013, 0.008)
        points = surface.points * 520.0
        speckle = np.sin(points[:, 0] + 2.1 * np.sin(points[:, 1] * 0.7)) * np.sin(
            points[:, 1] * 1.1 + 2 * np.sin(points[:, 2] * 0.8)
        )
        tint(surface, spiny * ramp(speckle - 0.25, 0.5), (0.29, 0.245, 0.175))
        tint(surface, spiny * ramp(-0.35 - speckle, 0.4), DARK)

    return Body(tuple(parts), markings, coat=1.5)
