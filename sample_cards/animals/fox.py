"""A red fox: slender, black stockings, thick tail with a pale tip."""

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import TROT, Head, Leg, shift
from sample_cards.arrays import vector
from sample_cards.solid import Body, Part, Surface, ramp, tint

RED = (0.255, 0.098, 0.034)
RUST = (0.19, 0.072, 0.026)
CREAM = (0.62, 0.55, 0.46)
BLACK = (0.022, 0.019, 0.017)
GREY = (0.30, 0.21, 0.13)


def _head(pose: Pose) -> tuple[Head, list[Part]]:
    centre = (0.365, 0.435 + 0.16 * pose.head, 0.055 * pose.turn)
    head = Head(centre, -0.30 + 0.9 * min(pose.head, 0.0), pose.turn)
    at = head.at
    parts = [
        Part(at(-0.02, 0.0), at(0.03, 0.0), 0.055, 0.043, RED, blend=0.03, hair=0.012),
        Part(
            at(-0.015, -0.022, -0.040),
            at(0.02, -0.015, -0.02),
            0.036,
            0.028,
            RED,
            belly=CREAM,
            blend=0.02,
            hair=0.02,
        ),
        Part(
            at(-0.015, -0.022, 0.040),
            at(0.02, -0.015, 0.02),
            0.036,
            0.028,
            RED,
            belly=CREAM,
            blend=0.02,
            hair=0.02,
        ),
        Part(at(0.035, -0.010), at(0.122, -0.024), 0.030, 0.014, RED, belly=CREAM, blend=0.022, hair=0.005),
        Part(at(0.05, -0.030), at(0.108, -0.036), 0.018, 0.010, CREAM, blend=0.012, hair=0.005),
        Part(at(0.130, -0.022), at(0.134, -0.023), 0.0115, 0.0105, BLACK, blend=0.004, hair=0.0, gloss=0.5),
        *head.eyes(0.048, 0.014, 0.029, 0.0085),
    ]
    for side in (-1.0, 1.0):
        ear = head.axis(0.9, 0.1, -0.5 * side)
        parts.append(
            Part(at(-0.030, 0.035, 0.036 * side), at(-0.048, 0.128, 0.056 * side), 0.034, 0.004, RUST, BLACK,
                 blend=0.010, hair=0.006, flat=0.42, flat_axis=ear)
        )  # fmt: skip
        parts.append(
            Part(at(-0.012, 0.042, 0.038 * side), at(-0.034, 0.112, 0.053 * side), 0.020, 0.003, (0.34, 0.26, 0.2),
                 blend=0.004, hair=0.006, flat=0.42, flat_axis=ear)
        )  # fmt: skip
    return head, parts


def fox(pose: Pose) -> Body:
    """Build a fox about 0.7 m long without the tail."""
    chest, hip = (0.175, 0.315, 0.0), (-0.215, 0.325, 0.0)
    head, head_parts = _head(pose)
    root = (-0.29, 0.335, 0.0)
    lift = float(np.sin(pose.tail))
    tail = [
        root,
        (-0.42, 0.285 + 0.14 * lift, 0.01),
        (-0.57, 0.215 + 0.3 * lift, 0.03),
        (-0.70, 0.185 + 0.42 * lift, 0.05),
    ]
    parts = [
        Part(chest, (0.0, 0.318, 0.0), 0.098, 0.086, RED, belly=CREAM, blend=0.05, hair=0.018, flat=0.80),
        Part((0.0, 0.318, 0.0), hip, 0.086, 0.082, RED, belly=GREY, blend=0.06, hair=0.018, flat=0.78),
        Part(
            (0.20, 0.275, 0.0),
            (0.255, 0.325, 0.0),
            0.068,
            0.060,
            RED,
            belly=CREAM,
            blend=0.06,
            hair=0.022,
            flat=0.85,
        ),
        Part(
            (0.20, 0.345, 0.0), head.at(-0.05, -0.01), 0.080, 0.058, RED, belly=CREAM, blend=0.05, hair=0.022
        ),
        Part(root, tail[1], 0.034, 0.062, RED, blend=0.03, hair=0.022),
        Part(tail[1], tail[2], 0.062, 0.066, RUST, (0.16, 0.075, 0.035), blend=0.03, hair=0.032),
        Part(tail[2], tail[3], 0.062, 0.020, RUST, (0.75, 0.70, 0.62), blend=0.03, hair=0.032),
        *head_parts,
    ]
    for index, phase in enumerate(TROT):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(hip if hind else chest, x=-0.01 if hind else 0.025, y=-0.02, z=side * 0.048)
        leg = Leg(
            top, 0.062 if hind else 0.046, 0.0165, 0.019, RED, BLACK, hind=hind, foot_length=0.035, hair=0.01
        )
        parts += leg.parts((phase + pose.step) % 1.0, 0.22 * pose.stride, 0.09 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        local = head.local(surface.points)
        near = ramp(0.125 - np.linalg.norm(local - vector(0.035, 0, 0), axis=1), 0.015)
        matt = near * (surface.gloss < 0.2)
        cheek = -0.014 - 0.12 * np.abs(local[:, 0] - 0.06) + 0.25 * (np.abs(local[:, 2]) - 0.03) - local[:, 1]
        tint(surface, matt * ramp(cheek, 0.012) * ramp(local[:, 0] + 0.045, 0.04), CREAM)
        line = np.hypot((local[:, 0] - 0.098) / 0.026, (local[:, 1] + 0.012) / 0.009)
        tint(surface, 0.75 * matt * ramp(1.0 - line, 0.6), (0.06, 0.04, 0.03))
        points, normals = surface.points, surface.normals
        throat = ramp(normals[:, 0] - normals[:, 1] - 0.85, 0.5) * ramp(points[:, 0] - 0.20, 0.04)
        throat *= ramp(0.42 + 0.3 * (points[:, 0] - 0.28) - points[:, 1], 0.03) * ramp(
            points[:, 1] - 0.22, 0.05
        )
        tint(surface, throat * (1 - near), CREAM)
        grizzle = 0.45 * ramp(normals[:, 1] - 0.65, 0.6) * (1 - near)
        tint(surface, grizzle, (0.17, 0.085, 0.035))

    return Body(tuple(parts), markings, coat=0.55, eyeshine=(0.75, 0.95, 0.60))
