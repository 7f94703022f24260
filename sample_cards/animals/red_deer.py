"""A red deer stag in autumn: large, a dark shaggy neck, a pale rump, and antlers with six points."""

import numpy as np

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import WALK, Head, Leg, Point, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

COAT = (0.128, 0.073, 0.040)
MANE = (0.062, 0.042, 0.029)
BELLY = (0.105, 0.082, 0.062)
LEG = (0.105, 0.070, 0.046)
BLACK = (0.018, 0.016, 0.015)
PALE = (0.36, 0.27, 0.155)
ANTLER = (0.20, 0.145, 0.095)
TIP = (0.55, 0.47, 0.36)


def _antler(head: Head, side: float) -> list[Part]:
    """Grow one antler: a beam that bends back and then up and forward, with tines before it."""
    at = head.at
    beam: list[Point] = [
        at(-0.045, 0.070, 0.045 * side), at(-0.170, 0.200, 0.150 * side), at(-0.255, 0.400, 0.250 * side),
        at(-0.210, 0.620, 0.255 * side), at(-0.120, 0.790, 0.200 * side),
    ]  # fmt: skip
    thick = (0.024, 0.019, 0.017, 0.014, 0.006)
    parts = [
        Part(beam[index], beam[index + 1], thick[index], thick[index + 1], ANTLER, TIP if index == 3 else None,
             blend=0.010, hair=0.0)
        for index in range(4)
    ]  # fmt: skip
    tines = (
        (at(-0.070, 0.100, 0.070 * side), at(0.130, 0.190, 0.130 * side)),
        (at(-0.180, 0.230, 0.160 * side), at(0.010, 0.340, 0.260 * side)),
        (at(-0.250, 0.430, 0.255 * side), at(-0.070, 0.560, 0.340 * side)),
        (at(-0.205, 0.640, 0.250 * side), at(-0.290, 0.790, 0.300 * side)),
    )
    parts += [Part(root, end, 0.014, 0.005, ANTLER, TIP, blend=0.008, hair=0.0) for root, end in tines]
    return parts


def _head(pose: Pose) -> tuple[Head, list[Part]]:
    low = min(pose.head, 0.0)
    centre = (0.93 + 0.10 * -low, 1.50 + 0.85 * low + 0.06 * max(pose.head, 0.0), 0.14 * pose.turn)
    head = Head(centre, -0.38 + 0.6 * low, pose.turn)
    at = head.at
    parts = [
        Part(at(-0.05, 0.0), at(0.06, -0.004), 0.095, 0.078, COAT, belly=BELLY, blend=0.05, hair=0.010),
        Part(at(0.06, -0.016), at(0.245, -0.046), 0.068, 0.042, COAT, belly=BELLY, blend=0.05, hair=0.006),
        Part(at(0.250, -0.046), at(0.278, -0.052), 0.042, 0.036, (0.13, 0.10, 0.08), blend=0.02, hair=0.003),
        Part(at(0.300, -0.042), at(0.305, -0.044), 0.029, 0.027, BLACK, blend=0.010, hair=0.0, gloss=0.45),
        *head.eyes(0.060, 0.030, 0.062, 0.017),
    ]
    for side in (-1.0, 1.0):
        face = head.axis(0.85, 0.1, -0.55 * side)
        parts += [
            Part(at(-0.070, 0.040, 0.075 * side), at(-0.125, 0.115, 0.235 * side), 0.042, 0.010, COAT, MANE, blend=0.02,
                 hair=0.010, flat=0.5, flat_axis=face),
            *_antler(head, side),
        ]  # fmt: skip
    return head, parts


def red_deer(pose: Pose) -> Body:
    """Build a stag about 1.2 m high at the shoulder."""
    head, head_parts = _head(pose)
    chest, hip = (0.42, 0.960, 0.0), (-0.50, 0.985, 0.0)
    nape = head.at(-0.085, -0.03)
    throat = tuple(0.5 * (first + last) for first, last in zip((0.56, 0.98, 0.0), nape, strict=True))
    parts = [
        Part(chest, (0.0, 0.950, 0.0), 0.265, 0.245, COAT, belly=BELLY, blend=0.13, hair=0.020, flat=0.70),
        Part((0.0, 0.950, 0.0), hip, 0.245, 0.230, COAT, belly=BELLY, blend=0.14, hair=0.018, flat=0.72),
        Part((0.48, 1.050, 0.0), nape, 0.220, 0.110, MANE, blend=0.12, hair=0.040, flat=0.78),
        Part((0.58, 0.960, 0.0), (throat[0], throat[1] - 0.05, throat[2]), 0.150, 0.105, MANE, blend=0.10, hair=0.055,
             flat=0.7),
        Part((-0.66, 1.060, 0.0), (-0.735, 0.93, 0.0), 0.085, 0.050, COAT, PALE, blend=0.07, hair=0.018),
        *head_parts,
    ]  # fmt: skip
    for index, phase in enumerate(WALK):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(
            hip if hind else chest, x=-0.05 if hind else 0.03, y=-0.05 if hind else -0.12, z=side * 0.115
        )
        leg = Leg(
            top, 0.175 if hind else 0.120, 0.027, 0.030, COAT, LEG, hind=hind, foot_length=0.05, hair=0.010
        )
        parts += leg.parts((phase + pose.step) % 1.0, 0.50 * pose.stride, 0.20 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        points, normals = surface.points, surface.normals
        matt = 1.0 * (surface.gloss < 0.2)
        rump = ramp(0.185 - np.hypot(points[:, 0] + 0.76, points[:, 1] - 1.00), 0.08) * ramp(
            -normals[:, 0] - 0.05, 0.5
        )
        tint(surface, rump * matt, PALE)
        local = head.local(points)
        muzzle = (
            ramp(local[:, 0] - 0.215, 0.03)
            * ramp(0.285 - local[:, 0], 0.02)
            * ramp(0.09 - np.abs(local[:, 1]), 0.02)
        )
        tint(surface, 0.22 * muzzle * matt, PALE)
        tint(surface, ramp(0.045 - points[:, 1], 0.02), BLACK)

    return Body(tuple(parts), markings, coat=0.55, eyeshine=(0.62, 0.95, 0.80))
