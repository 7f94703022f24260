"""How an animal stands at the moment of exposure."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Pose:
    """Attitude of an animal.

    Attributes
    ----------
    step : float
        Phase of the gait, 0 to 1.
    stride : float
        Length of the step in units of the usual one; 0 stands still.
    head : float
        0 for the usual carriage, negative towards the ground, positive raised.
    turn : float
        Head turned, radians; positive to the animal's right.
    tail : float
        Tail raised, radians.
    """

    step: float = 0.1
    stride: float = 1.0
    head: float = 0.0
    turn: float = 0.0
    tail: float = 0.0
