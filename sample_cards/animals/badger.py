"""A badger: a broad grey wedge on short black legs, with a white head and two black stripes."""

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import WALK, Head, Leg, shift
from sample_cards.arrays import vector
from sample_cards.solid import Body, Part, Surface, ramp, tint

GREY = (0.165, 0.152, 0.130)
BLACK = (0.020, 0.019, 0.018)
WHITE = (0.56, 0.53, 0.47)


def _head(pose: Pose) -> tuple[Head, list[Part]]:
    head = Head((0.385, 0.215 + 0.10 * pose.head, 0.06 * pose.turn), -0.32 + 0.5 * pose.head, pose.turn)
    at = head.at
    parts = [
        Part(at(-0.03, 0.0), at(0.04, -0.004), 0.070, 0.052, WHITE, blend=0.04, hair=0.010),
        Part(at(0.04, -0.010), at(0.135, -0.028), 0.045, 0.024, WHITE, blend=0.03, hair=0.005),
        Part(at(0.150, -0.026), at(0.156, -0.027), 0.018, 0.016, BLACK, blend=0.006, hair=0.0, gloss=0.5),
        *head.eyes(0.068, 0.020, 0.036, 0.007),
    ]
    for side in (-1.0, 1.0):
        parts += [
            Part(
                at(-0.035, 0.040, 0.052 * side),
                at(-0.040, 0.062, 0.060 * side),
                0.022,
                0.015,
                BLACK,
                blend=0.010,
                hair=0.005,
            ),
            Part(
                at(-0.041, 0.070, 0.062 * side),
                at(-0.041, 0.078, 0.064 * side),
                0.012,
                0.008,
                WHITE,
                blend=0.006,
                hair=0.005,
            ),
        ]
    return head, parts


def badger(pose: Pose) -> Body:
    """Build a badger about 0.75 m long."""
    head, head_parts = _head(pose)
    chest, hip = (0.17, 0.185, 0.0), (-0.22, 0.205, 0.0)
    parts = [
        Part(chest, (-0.04, 0.205, 0.0), 0.125, 0.150, GREY, belly=BLACK, blend=0.07, hair=0.030),
        Part((-0.04, 0.205, 0.0), hip, 0.150, 0.140, GREY, belly=BLACK, blend=0.08, hair=0.034),
        Part(
            (0.20, 0.215, 0.0), head.at(-0.05, 0.0), 0.105, 0.072, GREY, belly=BLACK, blend=0.07, hair=0.022
        ),
        Part(
            (-0.34, 0.215, 0.0),
            (-0.47, 0.15 + 0.1 * pose.tail, 0.0),
            0.045,
            0.022,
            (0.33, 0.31, 0.27),
            blend=0.04,
            hair=0.03,
        ),
        *head_parts,
    ]
    for index, phase in enumerate(WALK):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(hip if hind else chest, x=-0.02 if hind else 0.03, y=-0.03, z=side * 0.075)
        leg = Leg(top, 0.075, 0.034, 0.034, BLACK, BLACK, hind=hind, foot_length=0.05, hair=0.014)
        parts += leg.parts((phase + pose.step) % 1.0, 0.15 * pose.stride, 0.05 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        local = head.local(surface.points)
        near = ramp(0.155 - np.linalg.norm((local - vector(0.05, 0, 0)) * vector(0.85, 1, 1), axis=1), 0.02)
        matt = near * (surface.gloss < 0.2)
        x, y, z = local[:, 0], local[:, 1], np.abs(local[:, 2])
        middle = 0.046 - 0.14 * np.clip(x, -0.05, 0.2)
        stripe = ramp(0.022 - 0.05 * np.clip(x, 0, 0.2) - np.abs(z - middle), 0.010) * ramp(
            y + 0.022 + 0.12 * x, 0.02
        )
        tint(surface, matt * stripe * ramp(0.135 - x, 0.02), BLACK)
        throat = ramp(-0.035 - y - 0.05 * x, 0.012)
        tint(surface, matt * throat * ramp(0.10 - x, 0.03), BLACK)
        flank = ramp(0.135 - surface.points[:, 1], 0.07) * (1 - near)
        tint(surface, flank, BLACK)

    return Body(tuple(parts), markings, coat=0.95, eyeshine=(0.34, 0.30, 0.16))
