"""A pine marten: long and low, chestnut brown, a cream bib, round pale-rimmed ears, a bushy tail."""

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import TROT, Head, Leg, shift
from sample_cards.solid import Body, Part, Surface, ramp, tint

COAT = (0.130, 0.072, 0.040)
DARK = (0.045, 0.028, 0.019)
BIB = (0.62, 0.48, 0.25)
RIM = (0.36, 0.29, 0.20)
BLACK = (0.020, 0.017, 0.015)


def _head(pose: Pose) -> tuple[Head, list[Part]]:
    head = Head(
        (0.235, 0.222 + 0.09 * pose.head, 0.04 * pose.turn), -0.25 + 0.6 * min(pose.head, 0.0), pose.turn
    )
    at = head.at
    parts = [
        Part(at(-0.015, 0.0), at(0.018, 0.0), 0.034, 0.029, COAT, blend=0.02, hair=0.006),
        Part(at(0.018, -0.006), at(0.056, -0.014), 0.022, 0.012, COAT, blend=0.016, hair=0.003),
        Part(at(0.064, -0.012), at(0.066, -0.013), 0.0065, 0.006, BLACK, blend=0.003, hair=0.0, gloss=0.5),
        *head.eyes(0.030, 0.010, 0.019, 0.0058),
    ]
    for side in (-1.0, 1.0):
        face = head.axis(0.85, 0.1, -0.5 * side)
        parts += [
            Part(at(-0.014, 0.026, 0.024 * side), at(-0.018, 0.040, 0.030 * side), 0.014, 0.011, RIM, blend=0.006,
                 hair=0.004, flat=0.4, flat_axis=face),
            Part(at(-0.009, 0.028, 0.025 * side), at(-0.012, 0.037, 0.029 * side), 0.011, 0.008, DARK, blend=0.002,
                 hair=0.003, flat=0.4, flat_axis=face),
        ]  # fmt: skip
    return head, parts


def pine_marten(pose: Pose) -> Body:
    """Build a marten about 0.5 m long without the tail."""
    chest, hip = (0.125, 0.150, 0.0), (-0.165, 0.165, 0.0)
    head, head_parts = _head(pose)
    lift = 0.25 * pose.tail
    tail = [(-0.215, 0.165, 0.0), (-0.32, 0.150 + 0.3 * lift, 0.01), (-0.44, 0.135 + 0.6 * lift, 0.02)]
    parts = [
        Part(chest, (-0.02, 0.172, 0.0), 0.054, 0.050, COAT, blend=0.04, hair=0.012, flat=0.85),
        Part((-0.02, 0.172, 0.0), hip, 0.050, 0.056, COAT, blend=0.05, hair=0.012, flat=0.85),
        Part((0.13, 0.165, 0.0), head.at(-0.03, -0.005), 0.048, 0.032, COAT, blend=0.04, hair=0.010),
        Part(tail[0], tail[1], 0.024, 0.036, COAT, DARK, blend=0.02, hair=0.022),
        Part(tail[1], tail[2], 0.036, 0.014, DARK, blend=0.02, hair=0.028),
        *head_parts,
    ]
    for index, phase in enumerate(TROT):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        top = shift(hip if hind else chest, x=-0.01 if hind else 0.02, y=-0.015, z=side * 0.034)
        leg = Leg(
            top,
            0.042 if hind else 0.030,
            0.0145,
            0.0165,
            COAT,
            DARK,
            hind=hind,
            foot_length=0.026,
            hair=0.006,
        )
        parts += leg.parts((phase + pose.step) % 1.0, 0.15 * pose.stride, 0.05 * min(pose.stride, 1.0))

    def markings(surface: Surface) -> None:
        points, normals = surface.points, surface.normals
        bib = ramp(0.6 * normals[:, 0] - normals[:, 1] - 0.25, 0.4) * ramp(points[:, 0] - 0.120, 0.03)
        bib *= ramp(points[:, 1] - 0.110, 0.03) * (surface.gloss < 0.1)
        muzzle = ramp(head.local(points)[:, 0] - 0.012, 0.01)
        tint(surface, bib * (1 - 0.7 * muzzle), BIB)

    return Body(tuple(parts), markings, coat=0.6, eyeshine=(0.90, 0.80, 0.35))
