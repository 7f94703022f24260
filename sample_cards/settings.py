"""The sites by their names, with what lives there and where it walks."""

from collections.abc import Callable
from dataclasses import dataclass

from sample_cards import woodland
from sample_cards.arrays import Field
from sample_cards.scene import Site
from sample_cards.sites import farmyard, garden, river, rocky, snow
from sample_cards.sites.common import straight


@dataclass(frozen=True, slots=True)
class Setting:
    """A site for telling nights.

    Attributes
    ----------
    site : Site
        The site.
    path : callable
        From x to the depth of the middle of the path.
    animals : tuple of str
        Who comes.
    """

    site: Site
    path: Callable[[Field], Field]
    animals: tuple[str, ...]


SETTINGS: dict[str, Setting] = {
    "woodland": Setting(
        woodland.SITE,
        woodland.path_middle,
        (
            "fox",
            "badger",
            "roe deer",
            "hedgehog",
            "wood mouse",
            "tawny owl",
            "wild boar",
            "pine marten",
            "blackbird",
            "red deer",
            "red squirrel",
            "wood pigeon",
        ),
    ),
    "snow": Setting(
        snow.SITE,
        straight,
        ("fox", "hare", "roe deer", "tawny owl", "wild boar", "wood mouse", "red deer", "red squirrel"),
    ),
    "rocks": Setting(rocky.SITE, straight, ("pine marten", "fox", "hare", "wood mouse", "red deer")),
    "farmyard": Setting(
        farmyard.SITE,
        straight,
        ("fox", "hedgehog", "wood mouse", "blackbird", "tawny owl", "hare", "wood pigeon"),
    ),
    "garden": Setting(
        garden.SITE,
        straight,
        (
            "hedgehog",
            "blackbird",
            "fox",
            "badger",
            "wood mouse",
            "pine marten",
            "red squirrel",
            "wood pigeon",
        ),
    ),
    "river": Setting(
        river.SITE, straight, ("wild boar", "fox", "roe deer", "badger", "wood mouse", "otter", "grey heron")
    ),
}
"""Every site that nights can be told at."""
