"""Who comes, and what they do in front of the camera, drawn from a night's random state."""

from dataclasses import dataclass, replace

import numpy as np

from sample_cards import people
from sample_cards.animals.catalogue import ANIMALS
from sample_cards.animals.pose import Pose
from sample_cards.arrays import vector
from sample_cards.night import Guest
from sample_cards.settings import Setting
from sample_cards.story import hand, person
from sample_cards.subject import Placed

Guests = tuple[Guest, ...]


@dataclass(frozen=True, slots=True)
class Habit:
    """How an animal moves.

    Attributes
    ----------
    pace : float
        Metres between two frames of a burst, about 0.85 s apart.
    near, far : float
        Where it walks, metres from the middle of the path; nearer to the camera is negative.
    reach : float
        How far to the side it may be at the first frame, metres.
    by_day : bool
        About by day.
    by_night : bool
        About by night.
    """

    pace: float
    near: float = -0.2
    far: float = 0.25
    reach: float = 0.9
    by_day: bool = False
    by_night: bool = True


BETWEEN_FRAMES_S = 0.85
"""Seconds between two frames of a burst, about."""

HABITS = {
    "fox": Habit(0.70, by_day=True),
    "badger": Habit(0.34),
    "roe deer": Habit(0.32, -0.1, 0.5, 1.5, by_day=True),
    "hedgehog": Habit(0.06, -1.2, -0.5, 0.7),
    "wood mouse": Habit(0.20, -1.5, -1.1, 0.5),
    "tawny owl": Habit(0.0, -0.6, 0.1, 0.7),
    "hare": Habit(0.30, -0.9, 0.1, 1.0, by_day=True),
    "wild boar": Habit(0.42, -0.1, 0.6, 1.3),
    "pine marten": Habit(0.55, -0.9, 0.0, 0.9),
    "blackbird": Habit(0.05, -2.0, -0.8, 0.4, by_day=True, by_night=False),
    "red squirrel": Habit(0.35, -1.9, -0.6, 0.6, by_day=True, by_night=False),
    "red deer": Habit(0.55, 1.6, 4.0, 1.8, by_day=True),
    "otter": Habit(0.50, -0.6, 0.5, 1.0),
    "wood pigeon": Habit(0.12, -1.7, 0.0, 0.6, by_day=True, by_night=False),
    "grey heron": Habit(0.16, -0.3, 0.6, 0.9, by_day=True),
}
"""By the animal's ordinary name."""


def pass_by(
    species: str,
    setting: Setting,
    frames: int,
    rng: np.random.Generator,
    *,
    late: bool = False,
    at_m: float | None = None,
) -> list[Guests]:
    """Return an animal on its way through the picture, for each frame of a burst.

    Parameters
    ----------
    species : str
        Who.
    setting : Setting
        Where.
    frames : int
        Length of the burst.
    rng : numpy.random.Generator
        The night's random state.
    late : bool
        The sensor trips when the animal is almost gone.
    at_m : float, optional
        How far from the lens it passes; where its kind usually walks by default.
    """
    habit = HABITS[species]
    leftwards = rng.random() < 0.5
    way = -1.0 if leftwards else 1.0
    depth = float(rng.uniform(habit.near, habit.far))
    depth = depth if at_m is None else at_m - float(setting.path(vector(0.0))[0])
    start = float(rng.uniform(1.25, 1.75)) if late else float(rng.uniform(-habit.reach, 0.35 * habit.reach))
    # The picture is narrower where it is near: whoever passes there trips the sensor nearer to the middle.
    near = 1.0 if at_m is None else min(1.0, at_m / 4.2)
    pose = Pose(rng.random(), rng.uniform(0.5, 1.0), rng.uniform(-0.5, 0.15), rng.uniform(-0.4, 0.4))
    turn = float(rng.uniform(-14, 14)) if habit.pace else float(rng.uniform(-160, -60))
    found: list[Guests] = []
    for count in range(frames):
        x = way * (start * near + count * habit.pace)
        z, ahead = (float(one) + depth for one in setting.path(vector(x, x + 0.1 * way)))
        speed = habit.pace / BETWEEN_FRAMES_S
        velocity = (way * speed, (ahead - z) / 0.1 * speed)
        now = replace(pose, step=(pose.step + 0.37 * count) % 1.0, stride=pose.stride if habit.pace else 0.0)
        placed = Placed(ANIMALS[species](now), x, z, (180.0 if leftwards else 0.0) + turn, velocity=velocity)
        found.append((Guest(species, placed),))
    return found


def stay(species: str, setting: Setting, frames: int, rng: np.random.Generator) -> list[Guests]:
    """Return an animal that feeds on the path, about the same place."""
    x = float(rng.uniform(-0.4, 0.4))
    yaw = float(rng.uniform(0, 360))
    found: list[Guests] = []
    for _ in range(frames):
        pose = Pose(rng.random(), 0.25, rng.uniform(-0.9, -0.2), rng.uniform(-0.4, 0.4))
        here = x + float(rng.normal(0, 0.05))
        z = float(setting.path(vector(here))[0]) + HABITS[species].near
        found.append(
            (Guest(species, Placed(ANIMALS[species](pose), here, z, yaw + float(rng.normal(0, 6)))),)
        )
    return found


def at_the_rig(rng: np.random.Generator) -> Guests:
    """Return the operator at work before the camera."""
    choice = rng.integers(5)
    x, z, yaw = float(rng.uniform(-0.7, 0.7)), float(rng.uniform(2.7, 4.4)), float(rng.uniform(0, 360))
    if choice == 0:
        return (hand(x=0.1 * x, z=0.38, y=0.58, yaw=yaw),)
    bodies = (people.standing(0.3), people.standing(-0.4), people.crouching(0.1), people.bending())
    return (person(bodies[choice - 1], x=x, z=z + 0.4, yaw=yaw),)


def walker(frames: int, rng: np.random.Generator) -> list[Guests]:
    """Return somebody who walks past and has nothing to do with the rig."""
    way = 1.0 if rng.random() < 0.5 else -1.0
    return [
        (person(people.standing(0.45 if count % 2 else -0.4), x=way * (count - 1.0) * 0.95, z=4.6,
                yaw=5.0 if way > 0 else 185.0),)
        for count in range(frames)
    ]  # fmt: skip
