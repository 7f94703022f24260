"""From which side the flashes light the scene, told by a daylight frame: it shows what the scene itself reflects."""

import numpy as np

from triage.measure.blocks import BURNT, FLOOR, LEFT_THIRD, RIGHT_THIRD
from triage.records.arrays import Plane

_BY_DAY = 4.0
"""Light of a frame, in units of a healthily lit one, from which daylight makes the picture: what a flash that gave a
tenth more or less adds to it then changes its daylight by a thirtieth."""

_SHOWN = 4 * FLOOR
"""Linear luminance from which a block shows what light fell on it: a black sky tells nothing."""

_LEAST_LEFT = 0.1
"""Share of a block's light that must be daylight's."""

_FEWEST = 40
"""Fewest blocks, of 128 in a third of the picture, to go by."""


def flash_lean(means: Plane, flash: Plane) -> float | None:
    """Compare the flash light on the left third of the picture with that on the right one.

    Daylight comes from the whole sky and falls on both sides alike; what is otherwise by flash is the flashes' doing.

    Parameters
    ----------
    means : ndarray of float32, shape (P,)
        Block means of a frame.
    flash : ndarray of float32, shape (P,)
        What the flashes alone add to such a frame, all of them at their healthy output.

    Returns
    -------
    float or None
        Natural logarithm of left over right in linear light, above 0 where flash light comes from the left. None where
        daylight does not make the picture, or shows too little of either side.

    Notes
    -----
    Frames agree on it as far as nobody stands in them and the sun casts no shadow across, so take several.
    """
    if float(means.mean()) < _BY_DAY * float(flash.mean()):
        return None
    daylight = means - flash
    seen = (flash > _SHOWN) & (means < BURNT) & (daylight > _LEAST_LEFT * means)
    left, right = seen & LEFT_THIRD, seen & RIGHT_THIRD
    if min(np.count_nonzero(left), np.count_nonzero(right)) < _FEWEST:
        return None
    share = np.log(flash[seen] / daylight[seen])
    return float(np.mean(share[left[seen]]) - np.mean(share[right[seen]]))
