"""A tawny owl on the ground: upright, round-headed, mottled brown, dark eyes in pale discs."""

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import Head
from sample_cards.solid import Body, Part, Surface, ramp, tint

BROWN = (0.23, 0.15, 0.085)
PALE = (0.47, 0.39, 0.29)
DARK = (0.06, 0.042, 0.030)


def tawny_owl(pose: Pose) -> Body:
    """Build an owl about 0.38 m tall; `pose.stride` above 1 opens the wings."""
    head = Head((0.045, 0.305 + 0.02 * pose.head, 0.0), -0.08, pose.turn)
    at = head.at
    spread = max(0.0, pose.stride - 1.0)
    parts = [
        Part((0.015, 0.125, 0.0), (0.030, 0.225, 0.0), 0.078, 0.084, PALE, blend=0.04, hair=0.012),
        Part((-0.02, 0.13, 0.0), (-0.005, 0.22, 0.0), 0.070, 0.080, BROWN, blend=0.04, hair=0.010),
        Part(at(-0.015, 0.0), at(0.012, 0.0), 0.078, 0.076, BROWN, blend=0.04, hair=0.010),
        Part((-0.05, 0.10, 0.0), (-0.10, 0.025, 0.0), 0.045, 0.030, BROWN, blend=0.03, hair=0.006, flat=1.0),
        Part(
            at(0.076, -0.018),
            at(0.094, -0.036),
            0.010,
            0.005,
            (0.42, 0.38, 0.22),
            blend=0.004,
            hair=0.0,
            gloss=0.2,
        ),
        *head.eyes(0.070, 0.008, 0.034, 0.0165),
    ]
    for side in (-1.0, 1.0):
        wing = (-0.01, 0.225, 0.075 * side)
        tip = (-0.10 - 0.05 * spread, 0.075 + 0.42 * spread, (0.055 + 0.40 * spread) * side)
        parts.append(
            Part(wing, tip, 0.060, 0.026 + 0.03 * spread, BROWN, (0.17, 0.115, 0.07), blend=0.02, hair=0.008,
                 flat=0.55, flat_axis=(0.25, 0.0, 1.0) if spread < 0.1 else (1.0, 0.2, 0.0))
        )  # fmt: skip
        parts += [
            Part(
                (0.02, 0.07, 0.035 * side),
                (0.025, 0.018, 0.038 * side),
                0.024,
                0.014,
                PALE,
                blend=0.015,
                hair=0.006,
            ),
            Part(
                (0.02, 0.014, 0.038 * side),
                (0.065, 0.010, 0.042 * side),
                0.012,
                0.008,
                (0.3, 0.25, 0.18),
                blend=0.006,
                hair=0.002,
            ),
        ]

    def markings(surface: Surface) -> None:
        local = head.local(surface.points)
        points = surface.points
        front = ramp(surface.normals[:, 0] - 0.35, 0.4) * ramp(0.245 - points[:, 1], 0.02)
        streaks = np.sin(points[:, 2] * 210 + 1.5 * np.sin(points[:, 1] * 60)) + 0.7 * np.sin(
            points[:, 1] * 150
        )
        tint(surface, front * ramp(streaks - 0.75, 0.5), DARK)
        back = (1 - front) * ramp(0.27 - points[:, 1], 0.03)
        mottle = np.sin(points[:, 1] * 230 + 3 * np.sin(points[:, 0] * 90)) * np.sin(
            points[:, 2] * 120 + 3 * np.sin(points[:, 1] * 70)
        )
        tint(surface, 0.75 * back * ramp(mottle - 0.3, 0.4), DARK)
        tint(surface, 0.8 * back * ramp(-0.62 - mottle, 0.2), PALE)
        matt = 1.0 * (surface.gloss < 0.1)
        for side in (-1.0, 1.0):
            disc = np.hypot(local[:, 1] - 0.002, (local[:, 2] - 0.034 * side) * 1.05)
            ahead = ramp(local[:, 0] - 0.035, 0.02) * matt
            tint(surface, ahead * ramp(0.042 - disc, 0.010), (0.42, 0.34, 0.25))
            tint(surface, 0.8 * ahead * ramp(0.005 - np.abs(disc - 0.044), 0.006), DARK)
        brow = ramp(0.012 - np.abs(local[:, 2]), 0.01) * ramp(local[:, 0] - 0.03, 0.02) * matt
        tint(surface, 0.7 * brow * ramp(local[:, 1] + 0.01, 0.03), (0.5, 0.44, 0.35))

    return Body(tuple(parts), markings, coat=0.6)
