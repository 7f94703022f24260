"""An otter: long and low, dark brown and sleek, a broad flat head with a pale throat, a thick tapering tail."""

import itertools

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import TROT, Head, Leg, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

COAT = (0.086, 0.056, 0.036)
PALE = (0.25, 0.195, 0.14)
DARK = (0.050, 0.034, 0.024)
BLACK = (0.020, 0.017, 0.015)


def _head(pose: Pose) -> tuple[Head, list[Part]]:
    head = Head(
        (0.375, 0.245 + 0.11 * pose.head, 0.06 * pose.turn), -0.15 + 0.5 * min(pose.head, 0.0), pose.turn
    )
    at = head.at
    level = head.axis(0.0, 1.0, 0.0)
    parts = [
        Part(
            at(-0.03, 0.0),
            at(0.025, 0.0),
            0.062,
            0.056,
            COAT,
            belly=PALE,
            blend=0.03,
            hair=0.005,
            flat=0.78,
            flat_axis=level,
        ),
        Part(
            at(0.025, -0.006),
            at(0.080, -0.014),
            0.050,
            0.036,
            COAT,
            belly=PALE,
            blend=0.03,
            hair=0.003,
            flat=0.78,
            flat_axis=level,
        ),
        Part(at(0.113, -0.006), at(0.117, -0.007), 0.0145, 0.0130, BLACK, blend=0.006, hair=0.0, gloss=0.6),
        *head.eyes(0.058, 0.022, 0.036, 0.0070),
    ]
    parts += [
        Part(at(-0.030, 0.030, 0.050 * side), at(-0.036, 0.040, 0.054 * side), 0.014, 0.010, DARK, blend=0.008,
             hair=0.003, flat=0.5, flat_axis=head.axis(0.85, 0.1, -0.5 * side))
        for side in (-1.0, 1.0)
    ]  # fmt: skip
    return head, parts


def otter(pose: Pose) -> Body:
    """Build an otter about 0.7 m long without the tail."""
    chest, hip = (0.185, 0.165, 0.0), (-0.230, 0.170, 0.0)
    head, head_parts = _head(pose)
    lift = pose.tail
    tail = [
        (-0.300, 0.150, 0.0), (-0.430, 0.100 + 0.05 * lift, 0.01), (-0.570, 0.062 + 0.12 * lift, 0.03),
        (-0.700, 0.040 + 0.2 * lift, 0.05),
    ]  # fmt: skip
    thick = (0.066, 0.046, 0.030, 0.012)
    parts = [
        Part(chest, (-0.03, 0.190, 0.0), 0.082, 0.092, COAT, belly=DARK, blend=0.06, hair=0.006, flat=0.92),
        Part((-0.03, 0.190, 0.0), hip, 0.092, 0.090, COAT, belly=DARK, blend=0.07, hair=0.006, flat=0.95),
        Part(
            (0.20, 0.175, 0.0),
            head.at(-0.045, -0.005),
            0.078,
            0.060,
            COAT,
            belly=PALE,
            blend=0.06,
            hair=0.006,
        ),
        *(
            Part(first, last, one, next_, COAT, DARK, blend=0.035, hair=0.005)
            for (first, last), (one, next_) in zip(
                itertools.pairwise(tail), itertools.pairwise(thick), strict=True
            )
        ),
        *head_parts,
    ]
    for index, phase in enumerate(TROT):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(hip if hind else chest, x=-0.01 if hind else 0.03, y=-0.045, z=side * 0.060)
        leg = Leg(
            top, 0.060 if hind else 0.046, 0.024, 0.026, COAT, DARK, hind=hind, foot_length=0.045, hair=0.004
        )
        parts += leg.parts((phase + pose.step) % 1.0, 0.16 * pose.stride, 0.045 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        # Wet fur shines in flat points, and the throat is pale up to the cheeks.
        points = surface.points
        local = head.local(points)
        cheek = (
            ramp(-0.016 - 0.10 * np.abs(local[:, 0]) - local[:, 1], 0.03)
            * ramp(local[:, 0] + 0.09, 0.06)
            * ramp(local[:, 1] + 0.085, 0.03)
        )
        tint(surface, 0.8 * cheek * (surface.gloss < 0.2), PALE)
        surface.gloss += 0.05 * (surface.gloss < 0.05)

    return Body(tuple(parts), markings, coat=0.5, eyeshine=(0.80, 0.62, 0.40))
