"""How strongly a camera's settings show a flash: a camera that sets ISO itself must not pass for a flash that fades."""

from collections import Counter
from collections.abc import Sequence

import numpy as np

from triage.records.arrays import Plane

Setting = tuple[float | None, float | None]
"""ISO and f-number."""

_DARK = 0.5
"""Chance of darkness from which a frame's setting was chosen for flash."""


def flash_gains(settings: Sequence[Setting], natural_dark: Plane) -> Plane:
    """Compare each frame's exposure of flash light with the card's usual one by night.

    The shutter does not matter: a flash is shorter than it.

    Parameters
    ----------
    settings : sequence of (ISO, f-number)
        One for each frame; None where the camera does not tell.
    natural_dark : ndarray of float32, shape (N,)
        Chance, 0 to 1, that the scene was dark but for flash.

    Returns
    -------
    ndarray of float32, shape (N,)
        1 at the usual setting and where it is not told; 2 is one stop more.

    References
    ----------
    ISO 1230:2007, guide numbers: exposure goes with ISO over the square of the f-number (from memory).
    """
    told = [(iso, number) if iso and number else None for iso, number in settings]
    usual = Counter(each for each, dark in zip(told, natural_dark, strict=True) if each and dark >= _DARK)
    usual = usual or Counter(each for each in told if each)
    if not usual:
        return np.ones(len(told), np.float32)
    iso, number = usual.most_common(1)[0][0]
    gains = [1.0 if each is None else (each[0] / iso) * (number / each[1]) ** 2 for each in told]
    return np.asarray(gains, np.float32)
