"""How much each of several known lights gave in one frame."""

import numpy as np

from triage.measure.blocks import FLOOR, block_trust
from triage.measure.medians import median
from triage.measure.nonnegative import Exact, non_negative_least_squares
from triage.records.arrays import Plane


def robust_powers(patterns: Plane, means: Plane) -> Plane:
    """Solve for non-negative powers, giving little weight to blocks that a subject or burnt light spoils.

    Parameters
    ----------
    patterns : ndarray of float32, shape (P, K)
        Block means of each light at power 1.
    means : ndarray of float32, shape (P,)
        The frame's block means.

    Returns
    -------
    ndarray of float32, shape (K,)
        0 and up.

    References
    ----------
    Lawson & Hanson 1974, Solving Least Squares Problems, chapter 23 (as in `scipy.optimize.nnls`), reweighted
    with Cauchy weights as in Holland & Welsch 1977, doi 10.1080/03610927708827533.
    """
    full = patterns.sum(axis=1)
    # Relative to what a block got, but not far below what it could get: a dark subject must not weigh most.
    scale_of_block = np.maximum(means, 0.3 * full) + 0.05 * float(full.mean()) + FLOOR
    weight = block_trust(means + _weakest(patterns)) / scale_of_block
    powers: Exact = np.zeros(patterns.shape[1])
    robust = np.ones_like(weight)
    for _ in range(6):
        scale = (weight * robust)[:, None]
        powers = non_negative_least_squares(patterns * scale, means * scale[:, 0])
        error = (means - patterns @ powers) * weight
        spread = 1.4826 * median(np.abs(error)) + 1e-3
        robust = 1.0 / (1.0 + (error / (2.0 * spread)) ** 2)
    return np.asarray(powers, np.float32)


def _weakest(patterns: Plane) -> Plane:
    """Light a block would get at a twentieth of full power: keeps blocks that went dark in the fit."""
    return np.asarray(0.05 * patterns.sum(axis=1), np.float32)
