"""A red squirrel: russet, white below, tufted ears, and a bushy tail carried in a bow over the back."""

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import WALK, Head, Leg, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

RUSSET = (0.260, 0.098, 0.034)
RUST = (0.22, 0.080, 0.03)
DARK = (0.145, 0.052, 0.022)
WHITE = (0.66, 0.62, 0.54)


def _head(pose: Pose) -> list[Part]:
    head = Head(
        (0.098, 0.098 + 0.03 * pose.head, 0.012 * pose.turn), -0.30 + 0.4 * min(pose.head, 0.0), pose.turn
    )
    at = head.at
    parts = [
        Part(at(-0.010, 0.0), at(0.008, 0.0), 0.0235, 0.0205, RUSSET, belly=WHITE, blend=0.014, hair=0.004),
        Part(
            at(0.012, -0.004), at(0.028, -0.009), 0.0145, 0.0085, RUSSET, belly=WHITE, blend=0.010, hair=0.002
        ),
        Part(at(0.0345, -0.008), at(0.035, -0.008), 0.0034, 0.003, DARK, blend=0.002, hair=0.0),
        *head.eyes(0.014, 0.0065, 0.0150, 0.0056),
    ]
    for side in (-1.0, 1.0):
        face = head.axis(0.85, 0.1, -0.5 * side)
        root, tip = at(-0.008, 0.018, 0.012 * side), at(-0.013, 0.037, 0.016 * side)
        parts += [
            Part(root, tip, 0.0085, 0.0055, RUSSET, DARK, blend=0.004, hair=0.002, flat=0.5, flat_axis=face),
            Part(tip, at(-0.018, 0.060, 0.018 * side), 0.0048, 0.0012, DARK, blend=0.003, hair=0.006),
        ]
    return parts


def _tail(pose: Pose) -> list[Part]:
    """Grow the tail: up from the rump, bent back at its tip; flatter while the animal runs."""
    run = min(pose.stride, 1.0)
    along = np.linspace(0.0, 1.0, 6)
    x = -0.095 - (0.050 + 0.095 * run) * along + 0.010 * np.sin(np.pi * along) - 0.030 * along**3
    y = 0.052 + (0.185 - 0.115 * run) * along**0.9 + 0.030 * np.sin(np.pi * along) + 0.04 * pose.tail * along
    thick = (0.012, 0.026, 0.033, 0.034, 0.029, 0.012)
    points = [(float(x[index]), float(y[index]), 0.004 * index) for index in range(6)]
    return [
        Part(points[index], points[index + 1], thick[index], thick[index + 1], RUSSET if index % 2 else RUST,
             blend=0.014, hair=0.017, flat=0.75)
        for index in range(5)
    ]  # fmt: skip


def red_squirrel(pose: Pose) -> Body:
    """Build a squirrel about 0.2 m long without the tail."""
    chest, hip = (0.045, 0.058, 0.0), (-0.060, 0.060, 0.0)
    parts = [
        Part(
            chest, (-0.010, 0.070, 0.0), 0.028, 0.033, RUSSET, belly=WHITE, blend=0.02, hair=0.007, flat=0.85
        ),
        Part((-0.010, 0.070, 0.0), hip, 0.033, 0.040, RUSSET, belly=WHITE, blend=0.025, hair=0.007, flat=0.9),
        Part(
            (0.052, 0.068, 0.0),
            (0.086, 0.090, 0.0),
            0.025,
            0.020,
            RUSSET,
            belly=WHITE,
            blend=0.018,
            hair=0.006,
        ),
        *_head(pose),
        *_tail(pose),
    ]
    for index, phase in enumerate(WALK):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(hip if hind else chest, x=0.0 if hind else 0.008, y=-0.008, z=side * 0.021)
        leg = Leg(top, 0.030 if hind else 0.014, 0.0055, 0.0062, RUSSET, (0.20, 0.08, 0.03), hind=hind,
                  foot_length=0.030 if hind else 0.012, hair=0.003)  # fmt: skip
        parts += leg.parts((phase + pose.step) % 1.0, 0.075 * pose.stride, 0.022 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        points, normals = surface.points, surface.normals
        breast = ramp(normals[:, 0] - 0.9 * normals[:, 1] - 0.55, 0.4) * ramp(points[:, 0] - 0.040, 0.02)
        breast *= ramp(0.098 - points[:, 1], 0.02) * (surface.gloss < 0.1)
        tint(surface, breast, WHITE)
        tint(surface, 0.4 * ramp(normals[:, 1] - 0.6, 0.5) * (surface.hair < 0.012), DARK)

    return Body(tuple(parts), markings, coat=0.8)
