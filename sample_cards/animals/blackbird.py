"""A cock blackbird on the ground: sooty black, an orange bill and eye ring, a long tail."""

from sample_cards.animals.pose import Pose
from sample_cards.animals.quadruped import Head, shift
from sample_cards.solid import Body, Part

BLACK = (0.024, 0.022, 0.021)
WING = (0.034, 0.030, 0.027)
BILL = (0.62, 0.27, 0.035)
LEG = (0.075, 0.050, 0.038)


def blackbird(pose: Pose) -> Body:
    """Build a blackbird about 0.25 m long."""
    head = Head(
        (0.062, 0.132 + 0.02 * pose.head, 0.01 * pose.turn), 0.02 + 0.4 * min(pose.head, 0.0), pose.turn
    )
    at = head.at
    lift = 0.03 + 0.03 * pose.tail
    parts = [
        Part((0.030, 0.086, 0.0), (-0.035, 0.078, 0.0), 0.036, 0.030, BLACK, blend=0.02, hair=0.005),
        Part((0.036, 0.098, 0.0), at(-0.008, -0.006), 0.030, 0.021, BLACK, blend=0.02, hair=0.004),
        Part(at(-0.004, 0.0), at(0.008, 0.0), 0.0215, 0.018, BLACK, blend=0.012, hair=0.003),
        Part(at(0.020, -0.002), at(0.048, -0.006), 0.0062, 0.0018, BILL, blend=0.003, hair=0.0, gloss=0.2),
        Part((-0.050, 0.080, 0.0), (-0.148, 0.062 + lift, 0.0), 0.016, 0.019, WING, blend=0.015, hair=0.002, flat=0.35,
             flat_axis=(0.1, 1.0, 0.0)),
        *head.eyes(0.010, 0.005, 0.0150, 0.0036),
    ]  # fmt: skip
    for side in (-1.0, 1.0):
        ring, foot = at(0.010, 0.005, 0.0142 * side), (0.006, 0.004, 0.016 * side)
        thigh, heel = (0.004, 0.056, 0.014 * side), (-0.008, 0.034, 0.015 * side)
        shoulder, tip = (0.020, 0.094, 0.028 * side), (-0.085, 0.076, 0.018 * side)
        parts += [
            Part(ring, shift(ring, x=1e-4), 0.0050, 0.0050, BILL, blend=0.001, hair=0.0),
            Part(shoulder, tip, 0.022, 0.008, WING, blend=0.006, hair=0.003, flat=0.45),
            Part(thigh, heel, 0.008, 0.0032, BLACK, blend=0.008, hair=0.003),
            Part(heel, foot, 0.0026, 0.0024, LEG, blend=0.002, hair=0.0),
            Part(foot, (0.026, 0.003, 0.018 * side), 0.0026, 0.0018, LEG, blend=0.002, hair=0.0),
        ]
    return Body(tuple(parts), coat=0.4)
