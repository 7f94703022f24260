"""A grey heron: tall on long thin legs, a grey cloak, a white neck in an S, a black eyebrow, a yellow bill."""

import itertools

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import Head, Point, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

CLOAK = (0.250, 0.265, 0.285)
QUILL = (0.055, 0.058, 0.066)
NECK = (0.56, 0.55, 0.53)
WHITE = (0.72, 0.71, 0.69)
BLACK = (0.022, 0.022, 0.026)
BILL = (0.56, 0.38, 0.10)
LEG = (0.185, 0.150, 0.090)


def _neck(pose: Pose, skull: Point) -> list[Part]:
    """Bend the neck from the shoulders to the skull: forward, back, and forward again."""
    low, bow = (0.155, 0.540, 0.0), 0.055 * (1.0 + 0.3 * pose.head)
    along = np.linspace(0.0, 1.0, 7)
    x = low[0] + (skull[0] - low[0]) * along + bow * np.sin(2 * np.pi * along)
    y = low[1] + (skull[1] - low[1]) * along
    z = skull[2] * along
    thick = (0.058, 0.040, 0.031, 0.028, 0.026, 0.025, 0.024)
    points = [(float(x[index]), float(y[index]), float(z[index])) for index in range(7)]
    return [
        Part(first, last, one, next_, NECK, blend=0.02, hair=0.005)
        for (first, last), (one, next_) in zip(
            itertools.pairwise(points), itertools.pairwise(thick), strict=True
        )
    ]


def grey_heron(pose: Pose) -> Body:
    """Build a heron about 0.9 m tall."""
    low = min(pose.head, 0.0)
    centre = (0.245 + 0.16 * -low, 0.855 + 0.30 * low + 0.05 * max(pose.head, 0.0), 0.05 * pose.turn)
    head = Head(centre, -0.06 + 0.7 * low, pose.turn)
    at = head.at
    parts = [
        Part((0.100, 0.525, 0.0), (-0.160, 0.470, 0.0), 0.088, 0.066, CLOAK, belly=WHITE, blend=0.05, hair=0.010,
             flat=0.85),
        Part((-0.180, 0.470, 0.0), (-0.330, 0.415, 0.0), 0.046, 0.030, CLOAK, QUILL, blend=0.04, hair=0.006, flat=0.5,
             flat_axis=(0.3, 1.0, 0.0)),
        *_neck(pose, at(-0.030, -0.012)),
        Part(at(-0.032, 0.0), at(0.026, -0.001), 0.030, 0.023, WHITE, blend=0.018, hair=0.003, flat=0.85),
        Part(at(0.036, -0.004), at(0.160, -0.012), 0.0150, 0.0030, BILL, blend=0.008, hair=0.0, gloss=0.12),
        Part(at(-0.030, 0.014), at(-0.150, -0.034), 0.009, 0.0022, BLACK, blend=0.006, hair=0.003),
        *head.eyes(0.022, 0.006, 0.0195, 0.0052),
    ]  # fmt: skip
    for side in (-1.0, 1.0):
        swing = 0.16 * min(pose.stride, 1.0) * float(np.cos(2 * np.pi * pose.step)) * side
        foot = (0.02 + swing, 0.010, 0.045 * side)
        knee = (-0.012 + 0.2 * swing, 0.370, 0.045 * side)
        hock = (-0.045 + 0.55 * swing, 0.205, 0.045 * side)
        shoulder, tip = (0.085, 0.560, 0.072 * side), (-0.250, 0.430, 0.046 * side)
        parts += [
            Part(shoulder, tip, 0.066, 0.024, CLOAK, QUILL, blend=0.012, hair=0.008, flat=0.40),
            Part((-0.02, 0.450, 0.045 * side), knee, 0.042, 0.018, NECK, blend=0.02, hair=0.008),
            Part(knee, hock, 0.0120, 0.0110, LEG, blend=0.006, hair=0.0),
            Part(hock, foot, 0.0110, 0.0085, LEG, blend=0.004, hair=0.0),
            Part(foot, shift(foot, x=0.085, y=-0.004, z=0.014 * side), 0.0075, 0.0045, LEG, blend=0.004, hair=0.0),
            Part(foot, shift(foot, x=0.070, y=-0.004, z=-0.030 * side), 0.0070, 0.0045, LEG, blend=0.004, hair=0.0),
            Part(foot, shift(foot, x=-0.050, y=-0.004), 0.0070, 0.0040, LEG, blend=0.004, hair=0.0),
        ]  # fmt: skip

    def markings(surface: Surface) -> None:
        points, local = surface.points, head.local(surface.points)
        matt = 1.0 * (surface.gloss < 0.1)
        brow = ramp(0.010 - np.abs(local[:, 1] - 0.016), 0.006) * ramp(0.018 - local[:, 0], 0.01)
        brow *= ramp(local[:, 0] + 0.055, 0.01) * (np.abs(local[:, 2]) > 0.008)
        tint(surface, matt * brow, BLACK)
        front = (
            ramp(surface.normals[:, 0] - 0.25, 0.5)
            * ramp(0.80 - points[:, 1], 0.03)
            * ramp(points[:, 1] - 0.50, 0.04)
        )
        dashes = ramp(np.sin(points[:, 1] * 230.0 + 140.0 * np.abs(points[:, 2])) - 0.35, 0.7)
        dashes *= ramp(0.005 - np.abs(np.abs(points[:, 2]) - 0.009), 0.006)
        tint(surface, 0.75 * matt * front * dashes * ramp(points[:, 0] - 0.10, 0.03), BLACK)
        shoulder = ramp(0.020 - np.hypot(0.6 * (points[:, 0] - 0.140), points[:, 1] - 0.565), 0.022) * (
            np.abs(points[:, 2]) > 0.05
        )
        tint(surface, 0.85 * matt * shoulder, BLACK)

    return Body(tuple(parts), markings, coat=0.45)
