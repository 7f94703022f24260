"""What four-legged animals share: joints of the legs, steps, heads.

Body frame: x forward, y up, z to the animal's right; metres.
"""

from dataclasses import dataclass

import numpy as np

from sample_cards.arrays import Field, vector
from sample_cards.solid import Colour, Part

Point = tuple[float, float, float]


def mix(first: Point, second: Point, share: float) -> Point:
    """Return the point a share of the way from the first to the second."""
    return (
        first[0] + (second[0] - first[0]) * share,
        first[1] + (second[1] - first[1]) * share,
        first[2] + (second[2] - first[2]) * share,
    )


def shift(point: Point, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Point:
    """Return a moved point."""
    return (point[0] + x, point[1] + y, point[2] + z)


@dataclass(frozen=True, slots=True)
class Leg:
    """Build of one leg.

    Attributes
    ----------
    top : tuple of float
        Shoulder or hip joint.
    thick, thin, foot : float
        Radius at the top, above the foot, and of the foot.
    colour, lower : tuple of float
        Reflectance of the upper and the lower leg.
    hind : bool
        Bent as a hind leg.
    foot_length : float
        Length of the foot on the ground.
    hair : float
        Length of its hair.
    """

    top: Point
    thick: float
    thin: float
    foot: float
    colour: Colour
    lower: Colour
    hind: bool = False
    foot_length: float = 0.04
    hair: float = 0.008

    def parts(self, phase: float, stride: float, lift: float) -> list[Part]:
        """Return the leg at a phase of its step, 0 to 1: first half on the ground, second half in the air."""
        turn = 2 * np.pi * phase
        reach = float(np.cos(turn)) * stride / 2
        raised = max(0.0, -float(np.sin(turn))) * lift
        height = self.top[1]
        paw = (self.top[0] + reach + (-0.02 if self.hind else 0.01) * height, self.foot + raised, self.top[2])
        fold = raised / max(height, 1e-6)
        if self.hind:
            ankle = (paw[0] - (0.13 + 0.5 * fold) * height, paw[1] + (0.30 - 0.1 * fold) * height, paw[2])
            bend = shift(mix(self.top, ankle, 0.50), x=(0.20 + 0.3 * fold) * height)
        else:
            ankle = (paw[0] - (0.02 + 0.55 * fold) * height, paw[1] + (0.24 - 0.05 * fold) * height, paw[2])
            bend = shift(mix(self.top, ankle, 0.45), x=(-0.07 + 0.35 * fold) * height)
        toe = shift(paw, x=self.foot_length, y=-0.15 * self.foot)
        middle = self.thick * 0.42 + self.thin * 0.58
        blend = self.thick * 0.5
        return [
            Part(
                self.top,
                bend,
                self.thick,
                middle,
                self.colour,
                blend=self.thick * 1.1,
                hair=self.hair,
                flat=0.7,
            ),
            Part(
                bend,
                ankle,
                middle,
                self.thin * 1.12,
                self.colour,
                self.lower,
                blend=blend,
                hair=self.hair * 0.6,
            ),
            Part(ankle, paw, self.thin * 1.1, self.thin, self.lower, blend=self.thin, hair=self.hair * 0.3),
            Part(paw, toe, self.foot, self.foot * 0.8, self.lower, blend=self.thin, hair=self.hair * 0.3),
        ]


WALK = (0.0, 0.5, 0.75, 0.25)
"""Phase of left fore, right fore, left hind, right hind in a walk."""

TROT = (0.0, 0.5, 0.5, 0.0)
"""Diagonal pairs together."""


class Head:
    """A frame for building a head: x to the nose, y up, z to the right, turned about the neck.

    Parameters
    ----------
    centre : tuple of float
        Middle of the skull in the body frame.
    pitch, turn : float
        Radians; nose down is negative, a turn to the animal's right is positive.
    scale : float
        Metres per unit.
    """

    def __init__(self, centre: Point, pitch: float, turn: float, scale: float = 1.0) -> None:
        cp, sp, ct, st = np.cos(pitch), np.sin(pitch), np.cos(turn), np.sin(turn)
        forward = vector(cp * ct, sp, cp * st)
        right = vector(-st, 0.0, ct)
        up = np.cross(right, forward).astype(np.float32)
        self._axes = np.stack([forward, up, right])
        self._centre = vector(*centre)
        self._scale = scale

    def at(self, x: float, y: float, z: float = 0.0) -> Point:
        """Return a place of the head in the body frame."""
        place = self._centre + self._scale * (vector(x, y, z) @ self._axes)
        return float(place[0]), float(place[1]), float(place[2])

    def axis(self, x: float, y: float, z: float) -> Point:
        """Return a direction of the head in the body frame."""
        turned = vector(x, y, z) @ self._axes
        return float(turned[0]), float(turned[1]), float(turned[2])

    def local(self, points: Field) -> Field:
        """Return points of the body frame in the head's own."""
        inside: Field = ((points - self._centre) @ self._axes.T / self._scale).astype(np.float32)
        return inside

    def eyes(self, x: float, y: float, z: float, radius: float) -> list[Part]:
        """Return two glossy dark eyes."""
        found = []
        for side in (-1.0, 1.0):
            place = self.at(x, y, z * side)
            found.append(
                Part(
                    place,
                    shift(place, x=1e-4),
                    radius,
                    radius,
                    (0.012, 0.009, 0.007),
                    blend=radius * 0.3,
                    hair=0.0,
                    gloss=1.0,
                )
            )
        return found
