"""Every night by its name."""

from collections.abc import Iterator, Mapping

from sample_cards.first_night import FIRST
from sample_cards.night import Night
from sample_cards.plan import Plan, held_out
from sample_cards.plans import LONG, PLANS, SHORT
from sample_cards.small_night import SMALL
from sample_cards.telling import planned

__all__ = ["NIGHTS", "QUICK", "TAKES_LONG", "Nights", "held_out"]


class Nights(Mapping[str, Night]):
    """Nights by their names; a planned one is told when it is asked for.

    Parameters
    ----------
    told : tuple of Night
        Told by hand.
    plans : tuple of Plan
        To be told.
    """

    def __init__(self, told: tuple[Night, ...], plans: tuple[Plan, ...]) -> None:
        self._told = {night.name: night for night in told}
        self._plans = {plan.name: plan for plan in plans}
        self._planned: dict[str, Night] = {}

    def __getitem__(self, name: str) -> Night:
        """Return the night of a name."""
        if name in self._told:
            return self._told[name]
        if name not in self._planned:
            self._planned[name] = planned(self._plans[name])
        return self._planned[name]

    def __iter__(self) -> Iterator[str]:
        """Go through the names."""
        yield from self._told
        yield from self._plans

    def __len__(self) -> int:
        """Count the nights."""
        return len(self._told) + len(self._plans)


NIGHTS = Nights((FIRST, SMALL), PLANS)
"""Nights that can be rendered."""

TAKES_LONG = frozenset(plan.name for plan in LONG)
"""Nights that take more than a few minutes to render."""

QUICK = {plan.name: plan.size for plan in SHORT}
"""Nights that are rendered in seconds, with the size meant for that: a healthy one, a dead flash, fog on the glass, a
view that moved, a clock that was reset."""
