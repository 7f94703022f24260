"""Frames that look as they do in the dead of night: nothing but flash lit them, whatever the clock makes likely."""

import numpy as np

from triage.measure.blocks import BLACK, FLOOR
from triage.measure.medians import row_medians
from triage.records.arrays import Mask, Plane

_DEEP = 0.9
"""Chance of darkness from which a frame serves as an example, and which its likenesses get."""

_EXAMPLES = 96
"""At most so many examples, spread over the card."""

_ALIKE = 0.05
"""Median difference of log light over the blocks, level included, up to which two frames were lit alike: flashes vary
by one to three hundredths from fire to fire (common practice, no source), and dusk that adds less matters little."""

_TWICE, _BURST_S = 2, 60.0
"""So many examples must agree; of light that is the same a while later, a frame of the same minute may be one."""

_UNCHANGED = 0.035
"""Median difference of log light up to which light is the same as a while ago..."""

_A_WHILE_S = (2400.0, 10800.0)
"""...between 40 minutes and three hours: twilight changes by half in ten minutes (USNO's definition of its stages), and
beyond three hours the sun may stand as high again on the other side of noon or midnight."""

_MAY_BE_DARK = 0.3
"""Chance of darkness below which the sun is too likely up for light to prove anything."""


def dark_by_likeness(means: Plane, natural_dark: Plane, seconds: Plane) -> Plane:
    """Raise the chance of darkness of frames lit just as frames of the dead of night are.

    Ambient light changes by the minute at dusk and is never the same as a flash's: neither in level nor in pattern.
    Light that is the same an hour later was no daylight either.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of each frame of one view.
    natural_dark : ndarray of float32, shape (N,)
        Chance, 0 to 1, by clock or sun, that the scene was dark but for flash.
    seconds : ndarray of float64, shape (N,)
        Time of each frame.

    Returns
    -------
    ndarray of float32, shape (N,)
        Never lower than before.
    """
    lit = means.mean(axis=1) > BLACK
    logs = np.log(means + FLOOR)
    raised = natural_dark.copy()
    perhaps = lit & (natural_dark >= _MAY_BE_DARK)
    raised[_unchanged(logs, perhaps & (natural_dark < _DEEP), perhaps, seconds)] = _DEEP
    deep = np.flatnonzero(lit & (raised >= _DEEP))
    doubtful = np.flatnonzero(lit & (raised < _DEEP))
    if len(deep) < _TWICE:
        return raised
    spread = np.unique(np.linspace(0, len(deep) - 1, min(_EXAMPLES, len(deep))).round().astype(int))
    examples = logs[deep[spread]]
    for index in doubtful:
        if _lit_alike(examples, logs[index], _ALIKE) >= _TWICE:
            raised[index] = _DEEP
    return raised


def _lit_alike(others: Plane, logs: Plane, limit: float) -> int:
    """Count the other frames that were lit just as one was."""
    return int(np.count_nonzero(row_medians(np.abs(others - logs)) < limit)) if len(others) else 0


def _unchanged(logs: Plane, asked: Mask, others_too: Mask, seconds: Plane) -> Mask:
    """Find the asked frames whose light is that of another a good while before or after, and of one more."""
    found = np.zeros(len(logs), np.bool_)
    places = np.flatnonzero(others_too)
    for index in np.flatnonzero(asked):
        gap = np.abs(seconds[places] - seconds[index])
        later = logs[places[(gap > _A_WHILE_S[0]) & (gap < _A_WHILE_S[1])][:_EXAMPLES]]
        burst = logs[places[(gap < _BURST_S) & (places != index)][:_TWICE]]
        same = _lit_alike(later, logs[index], _UNCHANGED)
        found[index] = same > 0 and same + _lit_alike(burst, logs[index], _UNCHANGED) >= _TWICE
    return found
