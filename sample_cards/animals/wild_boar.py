"""A wild boar: a dark bristly wedge, high at the shoulders, with a long head and a bare snout."""

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import WALK, Head, Leg, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

COAT = (0.068, 0.055, 0.043)
DARK = (0.034, 0.028, 0.023)
FACE = (0.12, 0.098, 0.076)
SNOUT = (0.075, 0.052, 0.045)


def _head(pose: Pose) -> list[Part]:
    low = min(pose.head, 0.0)
    head = Head((0.56, 0.52 + 0.28 * low, 0.08 * pose.turn), -0.62 + 0.25 * low, pose.turn)
    at = head.at
    parts = [
        Part(at(-0.08, 0.01), at(0.05, 0.0), 0.135, 0.100, COAT, belly=DARK, blend=0.08, hair=0.020),
        Part(at(0.05, -0.01), at(0.235, -0.030), 0.092, 0.052, FACE, blend=0.07, hair=0.010),
        Part(at(0.235, -0.030), at(0.285, -0.034), 0.050, 0.046, SNOUT, blend=0.03, hair=0.003),
        Part(at(0.292, -0.033), at(0.297, -0.033), 0.043, 0.042, SNOUT, blend=0.012, hair=0.0, gloss=0.25, flat=0.5,
             flat_axis=head.axis(1.0, 0.0, 0.0)),
        *head.eyes(0.085, 0.048, 0.070, 0.010),
    ]  # fmt: skip
    for side in (-1.0, 1.0):
        face = head.axis(0.7, 0.2, -0.6 * side)
        parts.append(
            Part(at(-0.045, 0.085, 0.080 * side), at(-0.075, 0.185, 0.115 * side), 0.050, 0.010, DARK, blend=0.02,
                 hair=0.020, flat=0.4, flat_axis=face)
        )  # fmt: skip
        parts.append(
            Part(at(0.175, -0.062, 0.048 * side), at(0.186, -0.034, 0.062 * side), 0.007, 0.003, (0.5, 0.46, 0.38),
                 blend=0.004, hair=0.0, gloss=0.2)
        )  # fmt: skip
    return parts


def wild_boar(pose: Pose) -> Body:
    """Build a boar about 1.2 m long and 0.75 m high at the shoulder."""
    chest, hip = (0.24, 0.505, 0.0), (-0.36, 0.500, 0.0)
    parts = [
        Part(chest, (-0.05, 0.500, 0.0), 0.235, 0.215, COAT, belly=DARK, blend=0.12, hair=0.036, flat=0.72),
        Part((-0.05, 0.500, 0.0), hip, 0.215, 0.165, COAT, belly=DARK, blend=0.12, hair=0.032, flat=0.76),
        Part((0.26, 0.60, 0.0), (0.00, 0.655, 0.0), 0.130, 0.080, DARK, blend=0.10, hair=0.045, flat=0.5),
        Part((0.30, 0.535, 0.0), (0.50, 0.53 + 0.2 * min(pose.head, 0.0), 0.05 * pose.turn), 0.195, 0.140, COAT,
             belly=DARK, blend=0.10, hair=0.032, flat=0.8),
        Part((-0.505, 0.545, 0.0), (-0.56, 0.40, 0.02), 0.020, 0.014, DARK, blend=0.02, hair=0.012),
        Part((-0.56, 0.40, 0.02), (-0.565, 0.33, 0.02), 0.014, 0.018, DARK, blend=0.01, hair=0.022),
        *_head(pose),
    ]  # fmt: skip
    for index, phase in enumerate(WALK):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(hip if hind else chest, x=-0.02 if hind else 0.03, y=-0.10, z=side * 0.095)
        leg = Leg(
            top, 0.125 if hind else 0.105, 0.030, 0.031, COAT, DARK, hind=hind, foot_length=0.045, hair=0.014
        )
        parts += leg.parts((phase + pose.step) % 1.0, 0.26 * pose.stride, 0.09 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        points = surface.points
        tint(surface, 0.9 * ramp(0.26 - points[:, 1], 0.10) * (surface.gloss < 0.1), DARK)
        cheek = ramp(0.06 - abs(points[:, 0] - 0.60), 0.06) * ramp(surface.normals[:, 1] * -1.0 + 0.2, 0.6)
        tint(surface, 0.35 * cheek * (surface.gloss < 0.1), FACE)

    return Body(tuple(parts), markings, coat=0.85)
