"""Every animal by its name."""

from collections.abc import Callable

from sample_cards.animals.badger import badger
from sample_cards.animals.blackbird import blackbird
from sample_cards.animals.fox import fox
from sample_cards.animals.grey_heron import grey_heron
from sample_cards.animals.hare import hare
from sample_cards.animals.hedgehog import hedgehog
from sample_cards.animals.otter import otter
from sample_cards.animals.pine_marten import pine_marten
from sample_cards.animals.pose import Pose
from sample_cards.animals.red_deer import red_deer
from sample_cards.animals.red_squirrel import red_squirrel
from sample_cards.animals.roe_deer import roe_deer
from sample_cards.animals.tawny_owl import tawny_owl
from sample_cards.animals.wild_boar import wild_boar
from sample_cards.animals.wood_mouse import wood_mouse
from sample_cards.animals.wood_pigeon import wood_pigeon
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
    "red squirrel": red_squirrel,
    "red deer": red_deer,
    "otter": otter,
    "wood pigeon": wood_pigeon,
    "grey heron": grey_heron,
}
"""Builders by the animal's ordinary name."""
