"""A roe doe in her grey-brown autumn coat: long thin legs, upright neck, large ears, pale rump."""

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import WALK, Head, Leg, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

COAT = (0.145, 0.098, 0.058)
BELLY = (0.23, 0.18, 0.125)
LEG = (0.135, 0.085, 0.048)
BLACK = (0.018, 0.016, 0.015)
WHITE = (0.66, 0.62, 0.55)


def _head(pose: Pose) -> tuple[Head, list[Part]]:
    low = min(pose.head, 0.0)
    centre = (0.555 + 0.06 * -low, 1.03 + 0.62 * low + 0.05 * max(pose.head, 0.0), 0.10 * pose.turn)
    head = Head(centre, -0.42 + 0.75 * low, pose.turn)
    at = head.at
    parts = [
        Part(at(-0.035, 0.0), at(0.035, -0.002), 0.062, 0.050, COAT, belly=BELLY, blend=0.03, hair=0.008),
        Part(at(0.035, -0.012), at(0.135, -0.030), 0.043, 0.027, COAT, belly=BELLY, blend=0.03, hair=0.004),
        Part(at(0.140, -0.028), at(0.158, -0.032), 0.027, 0.023, (0.16, 0.12, 0.09), blend=0.014, hair=0.002),
        Part(at(0.172, -0.026), at(0.176, -0.028), 0.0185, 0.017, BLACK, blend=0.006, hair=0.0, gloss=0.45),
        *head.eyes(0.035, 0.020, 0.040, 0.0125),
    ]
    for side in (-1.0, 1.0):
        face = head.axis(0.85, 0.1, -0.55 * side)
        root, tip = at(-0.045, 0.038, 0.045 * side), at(-0.085, 0.165, 0.105 * side)
        parts += [
            Part(root, tip, 0.026, 0.006, COAT, (0.10, 0.07, 0.05), blend=0.012, hair=0.006, flat=0.5, flat_axis=face),
            Part(at(-0.035, 0.075, 0.058 * side), at(-0.060, 0.135, 0.088 * side), 0.024, 0.012, BELLY, blend=0.006,
                 hair=0.008, flat=0.5, flat_axis=face),
        ]  # fmt: skip
    return head, parts


def roe_deer(pose: Pose) -> Body:
    """Build a roe doe about 0.72 m high at the shoulder."""
    head, head_parts = _head(pose)
    chest, hip = (0.275, 0.600, 0.0), (-0.305, 0.625, 0.0)
    parts = [
        Part(chest, (0.0, 0.595, 0.0), 0.150, 0.142, COAT, belly=BELLY, blend=0.08, hair=0.012, flat=0.72),
        Part((0.0, 0.595, 0.0), hip, 0.142, 0.138, COAT, belly=BELLY, blend=0.09, hair=0.012, flat=0.74),
        Part(
            (0.31, 0.655, 0.0), head.at(-0.055, -0.02), 0.115, 0.056, COAT, blend=0.08, hair=0.010, flat=0.8
        ),
        Part(
            (-0.40, 0.655, 0.0),
            (-0.43, 0.60, 0.0),
            0.066,
            0.055,
            COAT,
            (0.30, 0.24, 0.175),
            blend=0.06,
            hair=0.014,
        ),
        *head_parts,
    ]
    for index, phase in enumerate(WALK):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(
            hip if hind else chest, x=-0.035 if hind else 0.02, y=-0.03 if hind else -0.06, z=side * 0.068
        )
        leg = Leg(
            top, 0.105 if hind else 0.070, 0.0155, 0.0175, COAT, LEG, hind=hind, foot_length=0.028, hair=0.006
        )
        parts += leg.parts((phase + pose.step) % 1.0, 0.34 * pose.stride, 0.14 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        local = head.local(surface.points)
        matt = 1.0 * (surface.gloss < 0.2)
        chin = ramp(0.034 - np.hypot(local[:, 0] - 0.150, (local[:, 1] + 0.052) * 1.2), 0.012)
        tint(surface, chin * matt, WHITE)
        band = ramp(0.018 - np.abs(local[:, 0] - 0.150), 0.01) * ramp(0.05 - np.abs(local[:, 1] + 0.01), 0.02)
        tint(surface, 0.8 * band * matt, BLACK)
        points, normals = surface.points, surface.normals
        rump = ramp(0.12 - np.hypot(points[:, 0] + 0.47, points[:, 1] - 0.60), 0.05) * ramp(
            -normals[:, 0] - 0.50, 0.4
        )
        tint(surface, rump, WHITE)
        hoof = ramp(0.028 - points[:, 1], 0.012)
        tint(surface, hoof, BLACK)

    return Body(tuple(parts), markings, coat=0.45, eyeshine=(0.62, 0.95, 0.80))
