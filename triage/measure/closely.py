"""From a close look to the chance that a subject is there."""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from triage.measure.outline import CloseUp
from triage.measure.presence import Candidate, Sight, log_odds_of, never_certain, share_of, weighed
from triage.measure.regions import Region, part_around

_SOLID_PX, _SOLID_SHARE = (5, 9), 0.4
"""What is solid has squares in it, as wide as this share of a square of its area, within so many pixels: rims of
swaying leaves have none, animals have."""

_FAINT = 1e-3
"""Change that noise alone may make, in square-root light: a quarter of a code value at middle grey."""


@dataclass(frozen=True, slots=True)
class CloseClues:
    """What a close look adds to what was found.

    Attributes
    ----------
    log_odds : float
        Of the chance before.
    day : float
        0 (dark but for flash) to 1.
    outlined : bool
        Whether anything is clear.
    solid : float
        Share of the outline that squares fill, 0 to 1.
    contrast : float
        From `triage.measure.outline.CloseUp`.
    darker : bool
        From the same.
    beyond : float
        Mean lightness beyond all that other frames show near the place, in square-root light.
    """

    log_odds: float
    day: float
    outlined: bool
    solid: float
    contrast: float
    darker: bool
    beyond: float


def close_clues(region: Region, chance: float, seen: CloseUp, sight: Sight) -> CloseClues:
    """Gather what a close look shows.

    Parameters
    ----------
    region : Region
        As it was found.
    chance : float
        Of a subject there, so far.
    seen : CloseUp
        From `triage.measure.outline.outlined`.
    sight : Sight
        The frame it was found in.

    Returns
    -------
    CloseClues
        Of that place.
    """
    part = part_around(region)
    return CloseClues(
        log_odds=log_odds_of(never_certain(chance)),
        day=sight.day,
        outlined=seen.region is not None,
        solid=0.0 if seen.region is None else _solid(seen.region),
        contrast=seen.contrast,
        darker=seen.darker,
        beyond=float(sight.beyond[part][region.mask[part]].mean()),
    )


def _solid(region: Region) -> float:
    """Tell which share of an outline squares fill."""
    # With a margin, so that squares do not lean on the rim of what was cut out.
    mask = region.mask[part_around(region, _SOLID_PX[1])].astype(np.uint8)
    area = np.count_nonzero(mask)
    wide = int(np.clip(round(_SOLID_SHARE * area**0.5), *_SOLID_PX))
    filled = cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((wide, wide), np.uint8))
    return float(np.count_nonzero(filled) / area)


def close_terms(clues: CloseClues) -> dict[str, float]:
    """Write clues as the terms of the logistic model.

    Parameters
    ----------
    clues : CloseClues
        Of one place.

    Returns
    -------
    dict of str to float
        One for each of `CLOSELY`.
    """
    return {
        "always": 1.0,
        "log_odds": clues.log_odds,
        "day": clues.day,
        "outlined": float(clues.outlined),
        "solid": clues.solid,
        "contrast": math.log(clues.contrast + _FAINT),
        "darker": float(clues.darker),
        "beyond": math.log(clues.beyond + _FAINT),
    }


CLOSELY = {
    "always": -1.02,
    "log_odds": 0.84,
    "day": -0.4,
    "outlined": 2.41,
    "solid": 2.02,
    "contrast": -0.62,
    "darker": 0.88,
    "beyond": 0.79,
}
"""Log odds for each unit of each of `close_terms`; ``python -m tests.benchmarks.presence`` fits them."""


def after_a_closer_look(first: Candidate, seen: CloseUp, sight: Sight) -> Candidate:
    """Take into account what a close look showed.

    Parameters
    ----------
    first : Candidate
        As it was found, with a chance of at least `triage.measure.presence.WORTH_A_CLOSER_LOOK`.
    seen : CloseUp
        From `triage.measure.outline.outlined`.
    sight : Sight
        The frame it was found in.

    Returns
    -------
    Candidate
        With the closer outline, where there is one, and the chance by a logistic model.
    """
    if first.region is None:
        return first
    told = chance_closely(close_clues(first.region, first.chance, seen, sight))
    return Candidate(first.region if seen.region is None else seen.region, told)


def chance_closely(clues: CloseClues) -> float:
    """Turn clues into a chance.

    Parameters
    ----------
    clues : CloseClues
        Of one place.

    Returns
    -------
    float
        0.005 to 0.995, as `triage.measure.presence.chance`.
    """
    return never_certain(share_of(weighed(CLOSELY, close_terms(clues))))
