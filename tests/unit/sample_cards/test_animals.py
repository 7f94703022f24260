"""Animals have the size of their kind and stand on the ground."""

import pytest

from sample_cards.animals.catalogue import ANIMALS
from sample_cards.animals.pose import Pose

# Nose or bill to the tip of the tail, metres: field guides, from memory.
LENGTHS = {
    "fox": (0.9, 1.3), "badger": (0.7, 1.1),
    "hedgehog": (0.18, 0.32), "roe deer": (0.9, 1.4), "wood mouse": (0.12, 0.25),
    "hare": (0.45, 0.75), "wild boar": (1.0, 1.7), "pine marten": (0.55, 0.85), "blackbird": (0.20, 0.30),
    "red squirrel": (0.30, 0.48), "otter": (0.95, 1.35), "red deer": (1.6, 2.3), "wood pigeon": (0.36, 0.46),
    "grey heron": (0.5, 1.0),
}  # fmt: skip


def ends(name: str, axis: int) -> list[tuple[float, float]]:
    return [(end[axis], radius) for part in ANIMALS[name](Pose(stride=0.0)).parts for end, radius in
            ((part.a, part.ra), (part.b, part.rb))]  # fmt: skip


# Height of the highest point, metres, the same way: a stag with its antlers, a heron with its neck up.
HEIGHTS = {"red deer": (1.9, 2.5), "roe deer": (0.9, 1.3), "grey heron": (0.8, 1.05), "otter": (0.2, 0.4)}


@pytest.mark.source("memory", "field guides")
@pytest.mark.parametrize("name", sorted(HEIGHTS))
def test_height_is_that_of_its_kind(name: str) -> None:
    low, high = HEIGHTS[name]
    assert low <= max(y + radius for y, radius in ends(name, 1)) <= high


@pytest.mark.source("memory", "field guides")
@pytest.mark.parametrize("name", sorted(LENGTHS))
def test_length_is_that_of_its_kind(name: str) -> None:
    along = ends(name, 0)
    length = max(x + r for x, r in along) - min(x - r for x, r in along)
    low, high = LENGTHS[name]
    assert low <= length <= high


@pytest.mark.parametrize("name", sorted(ANIMALS))
def test_feet_are_on_the_ground_and_nothing_below_it(name: str) -> None:
    lowest = min(y - r for y, r in ends(name, 1))
    assert -0.02 <= lowest <= 0.02


@pytest.mark.parametrize("name", sorted(ANIMALS))
def test_reflectances_are_those_of_hair_and_feathers(name: str) -> None:
    for part in ANIMALS[name](Pose()).parts:
        for colour in (part.colour, part.colour_b, part.belly):
            if colour is not None:
                assert all(0.0 < value < 0.9 for value in colour)
