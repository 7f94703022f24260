"""A wood mouse: large ears, large black eyes, long tail, pale below."""

import itertools

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import WALK, Head, Leg
from sample_cards.solid import Body, Part

BROWN = (0.24, 0.145, 0.07)
PALE = (0.58, 0.53, 0.46)
PINK = (0.36, 0.23, 0.19)


def wood_mouse(pose: Pose) -> Body:
    """Build a wood mouse about 0.1 m long without the tail."""
    head = Head((0.040, 0.028 + 0.012 * pose.head, 0.006 * pose.turn), -0.25 + 0.3 * pose.head, pose.turn)
    at = head.at
    parts = [
        Part(
            (-0.022, 0.026, 0.0),
            (0.018, 0.025, 0.0),
            0.0225,
            0.0175,
            BROWN,
            belly=PALE,
            blend=0.010,
            hair=0.005,
        ),
        Part(at(-0.008, 0.0), at(0.006, -0.001), 0.0145, 0.0115, BROWN, belly=PALE, blend=0.010, hair=0.003),
        Part(
            at(0.008, -0.003), at(0.023, -0.006), 0.0090, 0.0035, BROWN, belly=PALE, blend=0.006, hair=0.001
        ),
        Part(at(0.0255, -0.005), at(0.026, -0.005), 0.0022, 0.0020, PINK, blend=0.001, hair=0.0),
        *head.eyes(0.0075, 0.0045, 0.0078, 0.0040),
    ]
    parts += [
        Part(
            at(-0.006, 0.012, 0.0085 * side),
            at(-0.009, 0.023, 0.013 * side),
            0.0075,
            0.0070,
            PINK,
            blend=0.002,
            hair=0.0005,
            flat=0.35,
            flat_axis=head.axis(0.9, 0.1, -0.45 * side),
        )
        for side in (-1.0, 1.0)
    ]
    tail = [
        (-0.042, 0.020, 0.0),
        (-0.070, 0.010 + 0.02 * pose.tail, 0.006),
        (-0.105, 0.007, 0.016),
        (-0.135, 0.010, 0.012),
    ]
    parts += [
        Part(first, last, 0.0022, 0.0018, (0.16, 0.11, 0.085), blend=0.002, hair=0.0)
        for first, last in itertools.pairwise(tail)
    ]
    for index, phase in enumerate(WALK):
        hind, side = index > 1, -1.0 if index % 2 == 0 else 1.0
        leg = Leg(
            (-0.020 if hind else 0.018, 0.018, side * 0.011),
            0.0085,
            0.0028,
            0.0030,
            BROWN,
            PINK,
            foot_length=0.008,
            hair=0.001,
        )
        parts += leg.parts((phase + pose.step) % 1.0, 0.022 * pose.stride, 0.006)
    return Body(tuple(parts), coat=0.6)
