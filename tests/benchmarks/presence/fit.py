"""Logistic models of the chance of a subject, fitted by penalised maximum likelihood."""

from collections.abc import Sequence

import numpy as np
from scipy.optimize import minimize

from tests.benchmarks.presence.gather import Seen
from triage.measure.presence import ALONE, IN_BURST, terms
from triage.records.arrays import Mask, Plane

_PENALTY = 2.0
"""On the squares of the weights, each in units of one over its term's spread."""


def weights(seen: Sequence[Seen], names: Sequence[str]) -> dict[str, float]:
    """Fit one model, the first of `names` being the constant."""
    values = np.array([[terms(each.clues)[name] for name in names] for each in seen])
    there = np.array([each.there for each in seen], float)
    spread = values.std(axis=0)
    spread[0] = 1.0
    scaled = values / np.maximum(spread, 1e-9)

    def loss(tried: Plane) -> tuple[float, Plane]:
        odds = scaled @ tried
        error = 1.0 / (1.0 + np.exp(-odds)) - there
        penalised = np.r_[0.0, tried[1:]]
        size = np.sum(np.logaddexp(0.0, odds) - there * odds) + _PENALTY * np.sum(penalised**2)
        return float(size), scaled.T @ error + 2.0 * _PENALTY * penalised

    found = minimize(loss, np.zeros(len(names)), jac=True, method="L-BFGS-B").x / np.maximum(spread, 1e-9)
    return {name: round(float(weight), 2) for name, weight in zip(names, found, strict=True)}


def both_models(seen: Sequence[Seen]) -> tuple[dict[str, float], dict[str, float]]:
    """Fit the model without the burst's other frames to all regions, the one with them to those that have some."""
    clear = [each for each in seen if not each.ambiguous]
    in_burst = [each for each in clear if each.clues.moved is not None]
    return weights(clear, list(ALONE)), weights(in_burst, list(IN_BURST))


def parted(seen: Sequence[Seen], parts: int = 10) -> list[tuple[Mask, tuple[dict[str, float], ...]]]:
    """Fit to all nights but a tenth, ten times; give each tenth with the weights it had no part in."""
    nights = sorted({each.night for each in seen})
    part = np.array([nights.index(each.night) % parts for each in seen])
    fits = []
    for number in range(min(parts, len(nights))):
        others = [each for each, own in zip(seen, part == number, strict=True) if not own]
        fits.append((part == number, both_models(others)))
    return fits
