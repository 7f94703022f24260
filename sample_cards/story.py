"""Helpers for telling a night: bursts, animals on the path, the operator."""

import math
from collections.abc import Sequence
from datetime import datetime, timedelta

from sample_cards import people
from sample_cards.animals.catalogue import ANIMALS
from sample_cards.animals.pose import Pose
from sample_cards.arrays import vector
from sample_cards.night import Guest, Shot
from sample_cards.solid import Body
from sample_cards.subject import Placed
from sample_cards.woodland import path_middle

GAPS = (0.0, 0.84, 1.71)
"""Seconds after the trip at which the frames of a burst are taken."""

RECYCLED = (1.0, 0.965, 0.945)
"""Output of a flash through a burst: it has not quite recovered."""


def animal(species: str, pose: Pose, *, x: float, z: float, yaw: float, scale: float = 1.0) -> Guest:
    """Place an animal on the ground."""
    return Guest(species, Placed(ANIMALS[species](pose), x, z, yaw, scale))


def person(body: Body, *, x: float, z: float, yaw: float, y: float = 0.0) -> Guest:
    """Place the operator."""
    return Guest("person", Placed(body, x, z, yaw, y=y))


def hand(*, x: float, z: float, y: float, yaw: float) -> Guest:
    """Place the operator's hand before the lens."""
    return person(people.hand_at_lens(), x=x, z=z, yaw=yaw, y=y)


def wobble(count: int, spread: float, salt: float) -> float:
    """Return a small fixed deviation, different for each frame: flashes never give quite the same twice."""
    return 1.0 + spread * math.sin(12.9898 * (count + 1) + 78.233 * salt)


def burst(
    start: datetime,
    visits: Sequence[tuple[Guest, ...]],
    *,
    powers: tuple[float, ...] = (1.0, 1.0),
    wind: float = 0.3,
    cloud: float = 0.3,
) -> list[Shot]:
    """Return the frames of one trip of the sensor, one for each entry of `visits`."""
    shots = []
    for count, guests in enumerate(visits):
        minute = start.hour * 60 + start.minute
        jitter = 0.06 * math.sin(minute + 3.0 * count)
        taken = start + timedelta(seconds=GAPS[count] + (jitter if count else 0.0))
        given = tuple(
            round(power * RECYCLED[count] * wobble(minute + count, 0.03, salt), 4)
            for salt, power in enumerate(powers, 1)
        )
        shots.append(
            Shot(taken.replace(microsecond=taken.microsecond // 10000 * 10000), guests, given, wind, cloud)
        )
    return shots


def crossing(
    species: str,
    xs: tuple[float, ...],
    *,
    leftwards: bool = False,
    depth: float = 0.0,
    pose: Pose | None = None,
    turn: float = 0.0,
) -> list[tuple[Guest, ...]]:
    """Return an animal at successive places along the path, in step."""
    base = pose or Pose()
    visits: list[tuple[Guest, ...]] = []
    for count, x in enumerate(xs):
        z = path_depth(x) + depth
        slope = math.degrees(math.atan(0.10 + 0.176 * math.cos(0.8 * x + 0.6)))
        yaw = (180.0 + slope if leftwards else slope) + turn
        step = (base.step + 0.37 * count) % 1.0
        visits.append(
            (animal(species, Pose(step, base.stride, base.head, base.turn, base.tail), x=x, z=z, yaw=yaw),)
        )
    return visits


def path_depth(x: float) -> float:
    """Depth of the middle of the woodland path."""
    return float(path_middle(vector(x))[0])
