"""Scenery in the light of two other frames together: at dusk lit half by the sky and half by flash, as no frame beside.

Light adds. So a frame of dusk is explained by one of the day and one of the night, each with a share of its own, where
no smooth change of light makes either of them look like it: what stands before a flash casts hard shadows that the sky
does not know.
"""

import cv2
import numpy as np

from triage.measure.blocks import BURNT, FLOOR, GRID, block_trust
from triage.measure.medians import medians_of_some
from triage.measure.roots import opponents, roots_of
from triage.measure.tone import luminance
from triage.records.arrays import Mask, Numbers, Plane

_ROUNDS = 3
"""Rounds of reweighting, so that a subject does not draw the shares along."""

_USUAL = 0.05
"""Relative error of a block's light from which it counts less: a subject, or a shadow that wandered."""

_LEAST = 0.04
"""Share of the light that each of the two gives at least; with less, one alone would do."""

_NOT_BURNT = 0.5
"""Share of the blocks that must be left to compare."""


def pairs_by_fit(means: Plane, others: Plane) -> tuple[Numbers, Plane]:
    """Tell how well each two frames together explain the light of a third.

    Parameters
    ----------
    means : ndarray of float32, shape (P,)
        Block means of the frame.
    others : ndarray of float32, shape (K, P)
        Block means of the other frames.

    Returns
    -------
    pairs : ndarray of int, shape (L, 2)
        Places in `others` of each two that give light enough, neither of them less than none.
    misfit : ndarray of float32, shape (L,)
        Usual relative error over the blocks.
    """
    one, other = np.triu_indices(len(others), 1)
    usable: Mask = (means < BURNT) & (others[one] < BURNT) & (others[other] < BURNT)
    first, second = others[one] / (means + FLOOR), others[other] / (means + FLOOR)
    shares, error = _shares(first, second, usable.astype(np.float32))
    gives = shares * np.stack([others[one].mean(axis=1), others[other].mean(axis=1)]) / (means.mean() + FLOOR)
    kept = (gives.min(axis=0) > _LEAST) & (usable.sum(axis=1) > _NOT_BURNT * means.size)
    pairs = np.stack([one, other], axis=1)[kept]
    if not len(pairs):
        return pairs, np.zeros(0, np.float32)
    return pairs, medians_of_some(np.abs(error[kept]), usable[kept])


def mixed(frame: Plane, one: Plane, other: Plane) -> tuple[Plane, Plane]:
    """Add the light of two frames so that it fits a third, channel by channel: dusk is bluer than day.

    Parameters
    ----------
    frame, one, other : ndarray of float32, shape (M, N, 3)
        `triage.measure.roots.search_picture` or `colour_roots` of each.

    Returns
    -------
    picture : ndarray of float32, shape (M, N, 3)
        Of the same kind; what would be brighter than white is white, as in a picture.
    means : ndarray of float32, shape (P,)
        Its block means.
    """
    light = [roots_of(each) ** 2 for each in (frame, one, other)]
    means, first, second = (
        np.asarray(cv2.resize(each, GRID[::-1], interpolation=cv2.INTER_AREA), np.float32).reshape(-1, 3).T
        for each in light
    )
    trust = np.stack([block_trust(*channel) for channel in zip(means, first, second, strict=True)])
    shares, _ = _shares(first / (means + FLOOR), second / (means + FLOOR), trust)
    total = np.minimum(light[1] * shares[0] + light[2] * shares[1], 1.0)
    coarse = np.asarray(cv2.resize(total, GRID[::-1], interpolation=cv2.INTER_AREA), np.float32)
    return opponents(cv2.sqrt(total)), luminance(coarse).ravel()


def _shares(first: Plane, second: Plane, trust: Plane) -> tuple[Plane, Plane]:
    """Fit the shares of two lights, both (L, P) in units of what they should make up; (2, L), and the errors."""
    weight = trust
    shares, error = np.zeros((2, len(first)), np.float32), np.zeros_like(first)
    for _ in range(_ROUNDS):
        one_one, both, other_other = (
            np.einsum("lp,lp,lp->l", weight, a, b)
            for a, b in ((first, first), (first, second), (second, second))
        )
        one, other = (np.einsum("lp,lp->l", weight, each) for each in (first, second))
        size = one_one * other_other - both * both + 1e-9
        shares = np.maximum(
            np.stack([one * other_other - other * both, other * one_one - one * both]) / size, 0.0
        ).astype(np.float32)
        error = shares[0, :, None] * first + shares[1, :, None] * second - 1.0
        weight = trust / (1.0 + (error / _USUAL) ** 2)
    return shares, error
