"""Frames that look as they do in the dead of night: nothing but flash lit them, whatever the clock makes likely."""

import numpy as np

from triage.measure.blocks import BLACK, FLOOR
from triage.records.arrays import Plane

_DEEP = 0.9
"""Chance of darkness from which a frame serves as an example, and which its likenesses get."""

_EXAMPLES = 96
"""At most so many examples, spread over the card."""

_ALIKE = 0.05
"""Median difference of log light over the blocks, level included, up to which two frames were lit alike: flashes vary
by one to three hundredths from fire to fire (common practice, no source), and dusk that adds less matters little."""

_TWICE = 2
"""So many examples must agree."""


def dark_by_likeness(means: Plane, natural_dark: Plane) -> Plane:
    """Raise the chance of darkness of frames lit just as frames of the dead of night are.

    Ambient light changes by the minute at dusk and is never the same as a flash's: neither in level nor in pattern.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of each frame of one view.
    natural_dark : ndarray of float32, shape (N,)
        Chance, 0 to 1, by clock or sun, that the scene was dark but for flash.

    Returns
    -------
    ndarray of float32, shape (N,)
        Never lower than before.
    """
    lit = means.mean(axis=1) > BLACK
    deep = np.flatnonzero(lit & (natural_dark >= _DEEP))
    doubtful = np.flatnonzero(lit & (natural_dark < _DEEP))
    if len(deep) < _TWICE or not len(doubtful):
        return natural_dark
    spread = np.unique(np.linspace(0, len(deep) - 1, min(_EXAMPLES, len(deep))).round().astype(int))
    logs = np.log(means + FLOOR)
    examples = logs[deep[spread]]
    raised = natural_dark.copy()
    for index in doubtful:
        apart = np.median(np.abs(examples - logs[index]), axis=1)
        if np.count_nonzero(apart < _ALIKE) >= _TWICE:
            raised[index] = _DEEP
    return raised
