"""A wood pigeon: plump and grey, a small head, a pink breast, white patches at the neck and on the wing."""

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import Head, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

GREY = (0.215, 0.235, 0.275)
WING = (0.150, 0.148, 0.150)
PINK = (0.285, 0.200, 0.205)
PALE = (0.36, 0.36, 0.38)
WHITE = (0.72, 0.72, 0.70)
DARK = (0.038, 0.038, 0.042)
BILL = (0.52, 0.36, 0.16)
LEG = (0.33, 0.10, 0.085)


def wood_pigeon(pose: Pose) -> Body:
    """Build a pigeon about 0.4 m long."""
    nod = 0.03 * pose.stride * float(np.cos(2 * np.pi * pose.step))
    head = Head(
        (0.122 + nod, 0.232 + 0.06 * pose.head, 0.015 * pose.turn),
        -0.02 + 0.5 * min(pose.head, 0.0), pose.turn,
    )  # fmt: skip
    at = head.at
    parts = [
        Part((0.040, 0.130, 0.0), (-0.060, 0.122, 0.0), 0.068, 0.056, PINK, GREY, belly=PALE, blend=0.03, hair=0.005),
        Part((0.070, 0.152, 0.0), at(-0.014, -0.014), 0.050, 0.028, PINK, GREY, blend=0.035, hair=0.004),
        Part(at(-0.006, 0.0), at(0.008, 0.001), 0.0290, 0.0245, GREY, blend=0.015, hair=0.003),
        Part(at(0.028, -0.004), at(0.050, -0.009), 0.0080, 0.0030, BILL, blend=0.004, hair=0.0, gloss=0.15),
        Part((-0.090, 0.122, 0.0), (-0.232, 0.092 + 0.04 * pose.tail, 0.0), 0.030, 0.036, GREY, DARK, blend=0.03,
             hair=0.003, flat=0.35, flat_axis=(0.15, 1.0, 0.0)),
        *head.eyes(0.010, 0.006, 0.0225, 0.0048),
    ]  # fmt: skip
    for side in (-1.0, 1.0):
        swing = 0.045 * min(pose.stride, 1.0) * float(np.cos(2 * np.pi * pose.step)) * side
        foot, heel = (0.016 + swing, 0.006, 0.026 * side), (-0.004 + 0.5 * swing, 0.044, 0.026 * side)
        shoulder, tip = (0.052, 0.146, 0.052 * side), (-0.185, 0.118, 0.026 * side)
        parts += [
            Part(shoulder, tip, 0.044, 0.012, WING, DARK, blend=0.010, hair=0.004, flat=0.42),
            Part((0.006, 0.084, 0.024 * side), heel, 0.020, 0.007, PALE, blend=0.014, hair=0.004),
            Part(heel, foot, 0.0052, 0.0048, LEG, blend=0.003, hair=0.0),
            Part(
                foot,
                shift(foot, x=0.034, y=-0.002, z=0.006 * side),
                0.0050,
                0.0034,
                LEG,
                blend=0.003,
                hair=0.0,
            ),
            Part(foot, shift(foot, x=-0.014, y=-0.002), 0.0046, 0.0030, LEG, blend=0.003, hair=0.0),
        ]

    def markings(surface: Surface) -> None:
        points, local = surface.points, head.local(surface.points)
        matt = 1.0 * (surface.gloss < 0.1)
        patch = np.hypot((local[:, 0] + 0.026) / 1.1, (local[:, 1] + 0.034) / 0.9)
        tint(surface, matt * ramp(0.0145 - patch, 0.010) * ramp(np.abs(local[:, 2]) - 0.016, 0.008), WHITE)
        sheen = ramp(0.020 - np.hypot(local[:, 0] + 0.022, local[:, 1] + 0.020), 0.014) * (
            np.abs(local[:, 2]) > 0.012
        )
        tint(surface, 0.35 * matt * sheen, (0.12, 0.20, 0.17))
        # The white edge of the folded wing runs along its lower border.
        edge = ramp(
            0.0055 + 0.04 * (points[:, 0] + 0.03) - np.abs(points[:, 1] - 0.116 - 0.14 * points[:, 0]), 0.006
        )
        edge *= (
            ramp(np.abs(points[:, 2]) - 0.052, 0.008)
            * ramp(points[:, 0] + 0.10, 0.02)
            * ramp(0.055 - points[:, 0], 0.02)
        )
        tint(surface, matt * edge, WHITE)

    return Body(tuple(parts), markings, coat=0.35)
