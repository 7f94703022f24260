"""The operator at the rig: boots, trousers, jacket, hood; nobody in particular, no face."""

from sample_cards.animals.quadruped import Point, mix
from sample_cards.solid import Body, Part

JACKET = (0.075, 0.085, 0.060)
TROUSERS = (0.055, 0.058, 0.070)
BOOTS = (0.075, 0.050, 0.032)
SKIN = (0.42, 0.27, 0.20)
HOOD = (0.060, 0.070, 0.050)


def _leg(hip: Point, knee: Point, ankle: Point) -> list[Part]:
    toe = (ankle[0] + 0.17, 0.035, ankle[2])
    return [
        Part(hip, knee, 0.095, 0.068, TROUSERS, blend=0.06, hair=0.004),
        Part(knee, ankle, 0.070, 0.058, TROUSERS, blend=0.03, hair=0.004),
        Part(
            (ankle[0] - 0.02, 0.14, ankle[2]),
            (ankle[0], 0.05, ankle[2]),
            0.060,
            0.055,
            BOOTS,
            blend=0.02,
            hair=0.0,
        ),
        Part((ankle[0], 0.05, ankle[2]), toe, 0.052, 0.044, BOOTS, blend=0.03, hair=0.0),
    ]


def _arm(shoulder: Point, elbow: Point, hand: Point) -> list[Part]:
    wrist = mix(elbow, hand, 0.8)
    return [
        Part(shoulder, elbow, 0.075, 0.058, JACKET, blend=0.05, hair=0.005),
        Part(elbow, wrist, 0.058, 0.045, JACKET, blend=0.03, hair=0.005),
        Part(wrist, hand, 0.040, 0.034, SKIN, blend=0.012, hair=0.0),
    ]


def _trunk(hips: Point, neck: Point, head: Point) -> list[Part]:
    middle = mix(hips, neck, 0.5)
    return [
        Part(
            hips, middle, 0.150, 0.155, JACKET, blend=0.08, hair=0.006, flat=0.85, flat_axis=(1.0, 0.0, 0.0)
        ),
        Part(middle, neck, 0.165, 0.120, JACKET, blend=0.08, hair=0.006, flat=0.9, flat_axis=(1.0, 0.0, 0.0)),
        Part(mix(neck, head, 0.3), head, 0.080, 0.115, HOOD, blend=0.06, hair=0.004),
    ]


def standing(stride: float = 0.35) -> Body:
    """Build a person walking or standing; x is forward."""
    hips, neck = (0.0, 0.92, 0.0), (0.06, 1.45, 0.0)
    parts = _trunk(hips, neck, (0.10, 1.66, 0.0))
    for side in (-1.0, 1.0):
        reach = stride * side
        parts += _leg(
            (0.0, 0.90, 0.10 * side),
            (0.08 + 0.5 * reach, 0.50, 0.10 * side),
            (reach - 0.02, 0.10, 0.10 * side),
        )
        parts += _arm(
            (0.05, 1.40, 0.22 * side),
            (0.0 - 0.3 * reach, 1.14, 0.26 * side),
            (0.14 - 0.5 * reach, 0.92, 0.25 * side),
        )
    return Body(tuple(parts), coat=0.35, weave=True)


def crouching(reach: float = 0.0) -> Body:
    """Build a person crouching, one arm stretched towards the ground ahead."""
    hips, neck = (-0.10, 0.42, 0.0), (0.22, 0.86, 0.0)
    parts = _trunk(hips, neck, (0.36, 0.98, 0.0))
    for side in (-1.0, 1.0):
        parts += _leg(
            (-0.08, 0.42, 0.12 * side),
            (0.34, 0.50 - 0.22 * (side > 0), 0.16 * side),
            (0.02 - 0.25 * (side > 0), 0.10, 0.14 * side),
        )
    parts += _arm((0.18, 0.80, 0.22), (0.40, 0.55, 0.24), (0.62 + reach, 0.28, 0.14))
    parts += _arm((0.18, 0.80, -0.22), (0.30, 0.52, -0.28), (0.38, 0.50, -0.18))
    return Body(tuple(parts), coat=0.35, weave=True)


def bending() -> Body:
    """Build a person bent over from the hips."""
    hips, neck = (-0.12, 0.92, 0.0), (0.36, 1.08, 0.0)
    parts = _trunk(hips, neck, (0.55, 1.02, 0.0))
    for side in (-1.0, 1.0):
        parts += _leg(
            (-0.10, 0.90, 0.10 * side),
            (0.02 + 0.1 * side, 0.50, 0.11 * side),
            (-0.06 + 0.14 * side, 0.10, 0.11 * side),
        )
        parts += _arm((0.33, 1.02, 0.21 * side), (0.42, 0.74, 0.24 * side), (0.56, 0.52, 0.12 * side))
    return Body(tuple(parts), coat=0.35, weave=True)


def hand_at_lens() -> Body:
    """Build a forearm and hand, to be placed within a few hand's breadths of the lens; x points along the fingers."""
    parts = [
        Part((-0.60, -0.10, 0.0), (-0.10, -0.02, 0.0), 0.065, 0.046, JACKET, blend=0.02, hair=0.004),
        Part((-0.10, -0.02, 0.0), (0.0, 0.0, 0.0), 0.030, 0.042, SKIN, blend=0.02, hair=0.0, flat=0.6),
    ]
    for index, length in enumerate((0.085, 0.10, 0.095, 0.07)):
        y = 0.036 - 0.024 * index
        parts.append(
            Part(
                (0.01, y, 0.0), (0.01 + length, y * 1.25, -0.012), 0.0115, 0.009, SKIN, blend=0.008, hair=0.0
            )
        )
    parts.append(Part((-0.03, 0.035, 0.0), (0.045, 0.085, -0.01), 0.015, 0.011, SKIN, blend=0.012, hair=0.0))
    return Body(tuple(parts), coat=0.3, weave=True)
