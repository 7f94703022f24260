"""Logistic models of the chance of a subject, fitted by penalised maximum likelihood."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.optimize import minimize

from tests.benchmarks.presence.gather import Seen
from triage.measure.closely import CLOSELY, close_terms
from triage.measure.presence import ALONE, IN_BURST, WORTH_A_CLOSER_LOOK, chance, log_odds_of, terms
from triage.records.arrays import Mask, Plane

_AN_EMPTY_COUNTS = 1.7
"""Times that a frame with nobody counts in the last fit: among those looked at closely there are few, and at even
weight too many of them are taken for visits."""

_PENALTY = 2.0
"""On the squares of the weights, each in units of one over its term's spread."""


def weights(seen: Sequence[Seen], names: Sequence[str]) -> dict[str, float]:
    """Fit one model, the first of `names` being the constant."""
    told = [[terms(each.clues)[name] for name in names] for each in seen]
    return _fitted(np.array(told), np.array([each.there for each in seen], float), names)


def _fitted(
    values: Plane, there: Plane, names: Sequence[str], *, counts: Plane | float = 1.0
) -> dict[str, float]:
    """Fit log odds, linear in the values, the first of which is the constant."""
    spread = values.std(axis=0)
    spread[0] = 1.0
    scaled = values / np.maximum(spread, 1e-9)

    def loss(tried: Plane) -> tuple[float, Plane]:
        odds = scaled @ tried
        error = counts * (1.0 / (1.0 + np.exp(-odds)) - there)
        penalised = np.r_[0.0, tried[1:]]
        size = np.sum(counts * (np.logaddexp(0.0, odds) - there * odds)) + _PENALTY * np.sum(penalised**2)
        return float(size), scaled.T @ error + 2.0 * _PENALTY * penalised

    found = minimize(loss, np.zeros(len(names)), jac=True, method="L-BFGS-B").x / np.maximum(spread, 1e-9)
    return {name: round(float(weight), 2) for name, weight in zip(names, found, strict=True)}


def both_models(seen: Sequence[Seen]) -> tuple[dict[str, float], dict[str, float]]:
    """Fit the model without the burst's other frames to all regions, the one with them to those that have some."""
    clear = [each for each in seen if not each.ambiguous]
    in_burst = [each for each in clear if each.clues.moved is not None]
    return weights(clear, list(ALONE)), weights(in_burst, list(IN_BURST))


def likeliest_of_frames(seen: Sequence[Seen]) -> list[tuple[float, Seen]]:
    """Give the likeliest region of each frame, with its chance by the weights in force."""
    best: dict[tuple[str, str], tuple[float, Seen]] = {}
    for each in seen:
        found = (chance(each.clues), each)
        where = (each.night, each.path)
        best[where] = max(best.get(where, (-1.0, each)), found, key=lambda pair: pair[0])
    return list(best.values())


def closer_model(seen: Sequence[Seen]) -> dict[str, float]:
    """Fit what a close look tells, given the weights in force for what comes before it."""
    names = list(CLOSELY)
    looked_at = [
        (replace(each.closely, log_odds=log_odds_of(found)), each.visited)
        for found, each in likeliest_of_frames(seen)
        if each.closely is not None and found >= WORTH_A_CLOSER_LOOK
    ]
    told = [[close_terms(clues)[name] for name in names] for clues, _ in looked_at]
    visited = np.array([visited for _, visited in looked_at], float)
    return _fitted(np.array(told), visited, names, counts=np.where(visited > 0, 1.0, _AN_EMPTY_COUNTS))


def parted(seen: Sequence[Seen], parts: int = 10) -> list[tuple[Mask, tuple[dict[str, float], ...]]]:
    """Fit to all nights but a tenth, ten times; give each tenth with the weights it had no part in."""
    nights = sorted({each.night for each in seen})
    part = np.array([nights.index(each.night) % parts for each in seen])
    fits = []
    for number in range(min(parts, len(nights))):
        others = [each for each, own in zip(seen, part == number, strict=True) if not own]
        fits.append((part == number, both_models(others)))
    return fits
