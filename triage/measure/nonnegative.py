"""Least squares with unknowns that cannot be negative, for a handful of unknowns."""

import numpy as np
from numpy.typing import NDArray

from triage.records.arrays import Mask, Plane

Exact = NDArray[np.float64]
"""Products of columns lose half the digits, so they are worked out with twice as many."""

_NOTHING = 1e-10
"""Gain, relative to the largest there could be, from which an unknown is let go from nought."""


def non_negative_least_squares(columns: Plane, target: Plane) -> Exact:
    """Find the non-negative combination of some columns that comes closest to a target.

    Parameters
    ----------
    columns : ndarray, shape (P, K)
        A handful of columns: the work is done on their products.
    target : ndarray, shape (P,)
        Any.

    Returns
    -------
    ndarray of float64, shape (K,)
        0 and up.

    References
    ----------
    Lawson & Hanson 1974, Solving Least Squares Problems, chapter 23. As `scipy.optimize.nnls`, whose package takes
    longer to load than all the rest of this program.
    """
    exact = columns.astype(np.float64)
    products, aim = exact.T @ exact, exact.T @ target
    powers = _without_negatives(products, aim)
    return _freed_one_by_one(products, aim) if powers is None else powers


def _without_negatives(products: Exact, aim: Exact) -> Exact | None:
    """Leave out what comes out negative until nothing does; None where that is not the answer, or cannot be told."""
    kept = np.arange(len(aim))
    powers: Exact = np.zeros(len(aim))
    while len(kept):
        try:
            found = np.linalg.solve(products[kept[:, None], kept], aim[kept])
        except np.linalg.LinAlgError:
            return None
        if found.min() >= 0.0:
            powers[kept] = found
            break
        kept = kept[found > 0.0]
    wanted = aim - products @ powers
    wanted[kept] = 0.0
    return powers if wanted.max() <= _NOTHING * np.abs(aim).max() else None


def _freed_one_by_one(products: Exact, aim: Exact) -> Exact:
    """Begin with nought, let the most wanted unknown go each time, and hold back what would turn negative."""
    powers: Exact = np.zeros(len(aim))
    free: Mask = np.zeros(len(aim), np.bool_)
    least = _NOTHING * max(float(np.abs(aim).max()), np.finfo(np.float64).tiny)
    for _ in range(3 * len(aim)):
        wanted = np.where(free, 0.0, aim - products @ powers)
        if wanted.max() <= least:
            break
        free[int(np.argmax(wanted))] = True
        powers = _held_back(products, aim, powers, free)
    return powers


def _held_back(products: Exact, aim: Exact, powers: Exact, free: Mask) -> Exact:
    """Go from powers that are allowed towards the best ones of the free unknowns, which `free` is left with."""
    while free.any():
        best = np.zeros(len(aim))
        best[free] = np.linalg.lstsq(products[np.ix_(free, free)], aim[free], rcond=None)[0]
        negative = free & (best <= 0.0)
        if not negative.any():
            return best
        step = float((powers[negative] / (powers[negative] - best[negative])).min())
        powers = powers + step * (best - powers)
        free &= powers > 1e-12 * powers.max()
        powers = np.where(free, powers, 0.0)
    return np.zeros(len(aim))
