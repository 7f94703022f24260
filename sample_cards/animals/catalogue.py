"""Every animal by its name."""

from collections.abc import Callable

from sample_cards.animals.badger import badger
from sample_cards.animals.blackbird import blackbird
from sample_cards.animals.fox import fox
from sample_cards.animals.hare import hare
from sample_cards.animals.hedgehog import hedgehog
from sample_cards.animals.pine_marten import pine_marten
from sample_cards.animals.pose import Pose
from sample_cards.animals.roe_deer import roe_deer
from sample_cards.animals.tawny_owl import tawny_owl
from sample_cards.animals.wild_boar import wild_boar
from sample_cards.animals.wood_mouse import wood_mouse
from sample_cards.solid import Body

ANIMALS: dict[str, Callable[[Pose], Body]] = {
    "fox": fox,
    "badger": badger,
    "hedgehog": hedgehog,
    "roe deer": roe_deer,
    "wood mouse": wood_mouse,
    "tawny owl": tawny_owl,
    "hare": hare,
    "wild boar": wild_boar,
    "pine marten": pine_marten,
    "blackbird": blackbird,
}
"""Builders by the animal's ordinary name."""
