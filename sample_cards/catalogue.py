"""Every night by its name."""

from sample_cards.first_night import FIRST
from sample_cards.night import Night
from sample_cards.small_night import SMALL

NIGHTS: dict[str, Night] = {night.name: night for night in (FIRST, SMALL)}
"""Nights that can be rendered."""
