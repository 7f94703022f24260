"""The ambient light's own shape, told from the flashes'."""

import numpy as np

from triage.measure.blocks import BLACK, FLOOR
from triage.measure.nonnegative import non_negative_least_squares
from triage.measure.powers import robust_powers
from triage.records.arrays import Plane

NIGHT = 0.8
"""From this chance of natural darkness on, a lit frame was lit by flash."""

TWILIGHT = 0.25
"""From this chance on, a frame that shows the flashes' own light and no other was lit by them."""

_LEAST_AMBIENT = 0.3
"""Share of healthy light that a frame's remainder after flash must have to show the ambient light's shape."""

_OWN_SHAPE = 0.2
"""Relative misfit from which the ambient light's shape is its own."""

_ALIKE = 0.8
"""Median correlation with their common shape from which the frames agree on the ambient light."""

_EXPLAINED = 0.05
"""Median misfit, in log light, up to which flash alone explains a frame."""


def _flash_in(means: Plane, patterns: Plane) -> Plane:
    """Give the light of a frame that the flashes explain."""
    return np.asarray(patterns @ robust_powers(patterns, means), np.float32)


def _above_flash(flash: Plane, means: Plane) -> Plane:
    """Take away as much flash as fits under a frame, but for the darkest tenth, where a dark subject may stand."""
    lit = flash > 0.25 * np.median(flash)
    under = float(np.percentile(means[lit] / (flash[lit] + FLOOR), 10))
    return np.asarray(np.maximum(means - min(1.0, under) * flash, 0.0), np.float32)


def _mostly_flash(flash: Plane, means: Plane) -> bool:
    """Say whether flash alone explains most of a frame, and a subject the rest."""
    lit = flash > 0.25 * np.median(flash)
    ratio = np.log((means[lit] + FLOOR) / (flash[lit] + FLOOR))
    return bool(np.median(np.abs(ratio - np.median(ratio))) < _EXPLAINED)


def _differs(shape: Plane, patterns: Plane) -> bool:
    """Say whether a light's shape is no mere mixture of the flashes'; a mixture could not be told from them."""
    weight = 1.0 / (shape + 0.1)
    weighted = patterns * weight[:, None]
    misfit = np.linalg.norm(weighted @ non_negative_least_squares(weighted, shape * weight) - shape * weight)
    return bool(misfit > _OWN_SHAPE * np.linalg.norm(shape * weight))


def _common_shape(means: Plane) -> Plane | None:
    """Give the shape that the most alike half of several frames share; None where they share none.

    The other half may show whatever it likes: a hand before the lens, an animal.
    """
    shapes = means / means.mean(axis=1, keepdims=True)
    shape = np.median(shapes, axis=0)
    for _ in range(2):
        alike = np.array([np.corrcoef(each, shape)[0, 1] for each in shapes])
        shape = np.median(shapes[alike >= np.median(alike)], axis=0)
    alike = np.array([np.corrcoef(each, shape)[0, 1] for each in shapes])
    return np.asarray(shape, np.float32) if np.median(alike) >= _ALIKE else None


def _daylight_pattern(means: Plane, flashes: Plane) -> Plane | None:
    """Find the shape of daylight in the half of the daylight frames that shows the least flash, taken for none."""
    flash = np.stack([each - _above_flash(_flash_in(each, flashes), each) for each in means]).mean(axis=1)
    share = flash / means.mean(axis=1)
    shape = _common_shape(means[share <= np.percentile(share, 50)])
    return shape if shape is not None and _differs(shape, flashes) else None


def _twilight_pattern(means: Plane, flashes: Plane) -> Plane | None:
    """Find the shape of the ambient light in what twilight frames show above the flashes' light."""
    least = _LEAST_AMBIENT * float(flashes.sum(axis=1).mean())
    split = [(_flash_in(each, flashes), each) for each in means]
    above = [_above_flash(flash, each) for flash, each in split if not _mostly_flash(flash, each)]
    ample = [rest for rest in above if rest.mean() > least and _differs(rest / rest.mean(), flashes)]
    if not ample:
        return None
    rests = np.stack(ample)
    level = rests.mean(axis=1)
    shape = _common_shape(rests[level >= np.percentile(level, 70)])
    return shape if shape is not None and _differs(shape, flashes) else None


def ambient_shape(means: Plane, natural_dark: Plane, flashes: Plane) -> Plane | None:
    """Find the shape of the ambient light: in daylight frames where there are some, in twilight frames else.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of each frame.
    natural_dark : ndarray of float32, shape (N,)
        Chance, 0 to 1, that the scene was dark but for flash.
    flashes : ndarray of float32, shape (P, K)
        The flashes' patterns at healthy output.

    Returns
    -------
    ndarray of float32, shape (P,), or None
        Mean 1; None where the card shows no ambient light that could be told from the flashes'.
    """
    bright = means.mean(axis=1) > BLACK
    by_day = (natural_dark < TWILIGHT) & bright
    found = _daylight_pattern(means[by_day], flashes) if np.count_nonzero(by_day) >= 3 else None
    if found is None:
        found = _twilight_pattern(means[(natural_dark < NIGHT) & bright], flashes)
    return found
