"""A brown hare: long black-tipped ears, long hind legs, a tail black above and white below."""

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import WALK, Head, Leg, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

COAT = (0.215, 0.150, 0.085)
DARK = (0.10, 0.068, 0.042)
BELLY = (0.55, 0.50, 0.42)
BLACK = (0.020, 0.018, 0.016)


def _head(pose: Pose) -> list[Part]:
    head = Head(
        (0.205, 0.300 + 0.09 * pose.head, 0.03 * pose.turn), -0.35 + 0.5 * min(pose.head, 0.0), pose.turn
    )
    at = head.at
    parts = [
        Part(at(-0.02, 0.0), at(0.025, -0.004), 0.044, 0.038, COAT, belly=BELLY, blend=0.03, hair=0.009),
        Part(at(0.025, -0.008), at(0.068, -0.020), 0.037, 0.027, COAT, belly=BELLY, blend=0.03, hair=0.006),
        Part(at(0.086, -0.018), at(0.088, -0.019), 0.0085, 0.008, DARK, blend=0.006, hair=0.0, gloss=0.2),
        *head.eyes(0.030, 0.012, 0.034, 0.0105),
    ]
    for side in (-1.0, 1.0):
        face = head.axis(0.75, 0.15, -0.65 * side)
        root, middle = at(-0.022, 0.032, 0.018 * side), at(-0.082, 0.122, 0.032 * side)
        tip = at(-0.124, 0.190, 0.040 * side)
        parts += [
            Part(root, middle, 0.014, 0.020, COAT, blend=0.012, hair=0.004, flat=0.45, flat_axis=face),
            Part(middle, tip, 0.020, 0.006, COAT, BLACK, blend=0.006, hair=0.004, flat=0.45, flat_axis=face),
        ]
    return parts


def hare(pose: Pose) -> Body:
    """Build a hare about 0.55 m long."""
    chest, hip = (0.105, 0.190, 0.0), (-0.130, 0.215, 0.0)
    parts = [
        Part(chest, (-0.01, 0.215, 0.0), 0.074, 0.088, COAT, belly=BELLY, blend=0.05, hair=0.016, flat=0.85),
        Part((-0.01, 0.215, 0.0), hip, 0.088, 0.096, COAT, belly=BELLY, blend=0.06, hair=0.016, flat=0.88),
        Part(
            (0.12, 0.215, 0.0), (0.180, 0.285, 0.0), 0.060, 0.042, COAT, belly=BELLY, blend=0.05, hair=0.012
        ),
        Part(
            (-0.215, 0.215, 0.0),
            (-0.262, 0.235 + 0.05 * pose.tail, 0.0),
            0.030,
            0.020,
            BELLY,
            blend=0.02,
            hair=0.018,
        ),
        *_head(pose),
    ]
    for index, phase in enumerate(WALK):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(hip if hind else chest, x=-0.01 if hind else 0.02, y=-0.02, z=side * 0.046)
        leg = Leg(top, 0.078 if hind else 0.034, 0.0115, 0.0130, COAT, COAT, hind=hind,
                  foot_length=0.075 if hind else 0.03, hair=0.008)  # fmt: skip
        parts += leg.parts((phase + pose.step) % 1.0, 0.15 * pose.stride, 0.06 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        points, normals = surface.points, surface.normals
        tail = ramp(-0.222 - points[:, 0], 0.012)
        tint(surface, tail * ramp(normals[:, 1] - 0.25, 0.3), BLACK)
        tint(
            surface,
            0.45 * ramp(normals[:, 1] - 0.55, 0.6) * ramp(0.26 - points[:, 1], 0.1) * (1 - tail),
            DARK,
        )

    return Body(tuple(parts), markings, coat=0.75)
