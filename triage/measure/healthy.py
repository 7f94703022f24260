"""What a frame lit by all flashes at their healthy output looks like: the brightest light that several frames share."""

import numpy as np
from numpy.typing import NDArray

from triage.measure.blocks import FLOOR, GRID
from triage.records.arrays import Mask, Plane

Places = NDArray[np.intp]
"""Indexes of frames."""

_BRIGHTEST = 80
"""So many of the brightest frames are looked at."""

_MANY, _ENOUGH = 30, 3
"""Of more than so many frames, so many must share a light before it is believed; of fewer, two."""

_ALIKE = 0.06
"""Median difference of log light over the blocks up to which two frames were lit alike: flashes vary by one to three
hundredths from fire to fire (common practice, no source)."""

_TEXTURE = 0.5
"""Least correlation of a frame's own detail with another's of the same view: beneath a hand before the lens there is
none."""

_NOWHERE_DARKER, _BRIGHTER = -0.12, 0.15
"""A state is fuller than another if, in log light, it is nowhere darker than the first and in places brighter than the
second: a light more was on."""

_A_LITTLE, _IN_PART, _BROADLY = 0.05, 0.3, 0.4
"""A light more makes at least the first share of the places brighter by so much, which large animals that stand at one
place time and again do not; within one trip, where an animal may stand still, it must be the second."""

_OTHERWISE = 0.2
"""Two states that are each brighter by this much, in log light, on their own side were lit by different flashes."""


def _detail(light: Plane) -> Plane:
    """Take the log light of each block less that of the blocks around it."""
    logs = np.log(light + FLOOR).reshape(-1, *GRID)
    padded = np.pad(logs, ((0, 0), (1, 1), (1, 1)), mode="edge")
    around = sum(
        padded[:, 1 + row : 1 + row + GRID[0], 1 + col : 1 + col + GRID[1]]
        for row in (-1, 0, 1)
        for col in (-1, 0, 1)
    )
    return np.asarray(logs - around / 9.0, np.float32).reshape(len(light), -1)


def shows_scene(means: Plane, healthy: Plane) -> Mask:
    """Find the frames that show the scene's own detail, however they are lit.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of each frame.
    healthy : ndarray of float32, shape (P,)
        The healthy light.

    Returns
    -------
    ndarray of bool, shape (N,)
        False for one whose view is mostly covered.
    """
    mine, whole = _detail(means), _detail(healthy[None])[0]
    seen = healthy > 0.2 * float(healthy.mean())
    mine, whole = mine[:, seen], whole[seen]
    mine, whole = _held_in(mine), _held_in(whole[None])[0]
    product = (mine @ whole) / (np.linalg.norm(mine, axis=1) * np.linalg.norm(whole) + 1e-9)
    return np.asarray(product > _TEXTURE)


def _held_in(detail: Plane) -> Plane:
    """Cut what stands out far, so that no single block decides."""
    limit = 2.0 * np.median(np.abs(detail), axis=1, keepdims=True) + 0.05
    return np.asarray(np.clip(detail, -limit, limit), np.float32)


def _apart(logs: Plane, one: Plane) -> Plane:
    """Say how unlike a light each frame is lit."""
    return np.asarray(np.median(np.abs(logs - one), axis=1), np.float32)


def _full_power(lit: Plane) -> Plane:
    """Average the brighter half of frames lit alike: a flash that has not recharged gives a little less."""
    logs = np.log(lit + FLOOR)
    level = np.median(logs - np.median(logs, axis=0), axis=1)
    if len(lit) <= _ENOUGH:
        return np.asarray(np.median(lit, axis=0), np.float32)
    return np.asarray(np.median(lit[level >= np.median(level)], axis=0), np.float32)


def _state(lit: Plane, logs: Plane, alike: Mask) -> Plane:
    """Average the frames lit alike where they are bright, but those that are not all over: somebody large is there."""
    near = _apart(logs, np.median(logs[alike], axis=0)) < _ALIKE
    return _full_power(lit[near if near.any() else alike])


def healthy_light(lit: Plane, trips: Places | None = None) -> Plane:
    """Find the healthy light: the brightest that at least two frames share, of those that show the scene.

    Parameters
    ----------
    lit : ndarray of float32, shape (N, P)
        Block means of two or more frames lit by flash alone.
    trips : ndarray of int, shape (N,), optional
        Which trip of the sensor each belongs to; left out, each has its own.

    Returns
    -------
    ndarray of float32, shape (P,)
        Block means of a healthily lit frame.
    """
    typical = np.median(lit, axis=0)
    logs = np.log(lit + FLOOR)
    seen = typical >= np.median(typical)  # a veil of fog lifts the dark blocks, never the bright ones
    level = np.median((logs - np.log(typical + FLOOR))[:, seen], axis=1)
    order = np.argsort(-level, kind="stable")[:_BRIGHTEST]
    clear = order[shows_scene(lit[order], typical)]
    order = clear if len(clear) >= 2 else order
    enough = _ENOUGH if len(lit) > _MANY else 2
    some, bright = lit[order], logs[order][:, seen]
    trip = (np.arange(len(lit)) if trips is None else trips)[order]
    alike = [_apart(bright, one) < _ALIKE for one in bright]
    company = np.array([np.count_nonzero(each) * (len(np.unique(trip[each])) > 1) for each in alike])
    if not company.any():
        company = np.array([np.count_nonzero(each) for each in alike])
    first = int(np.argmax(company >= min(enough, company.max())))
    healthy = _state(some, logs[order], alike[first])
    return _with_what_it_lacks(_fullest(healthy, some, trip, enough), some, enough)


def _shared(more: Plane, index: int, among: Places) -> Places:
    """Take those of some frames that are lit alike one of them."""
    return np.asarray(among[_apart(more[among], more[index]) < _ALIKE])


def _fullest(healthy: Plane, lit: Plane, trips: Places, enough: int) -> Plane:
    """Go on to a state that is nowhere darker and in places brighter, where two frames show it."""
    for _ in range(3):
        seen = healthy > 0.3 * float(healthy.mean())
        more = np.log(lit[:, seen] + FLOOR) - np.log(healthy[seen] + FLOOR)
        low, high = np.percentile(more, [10, 90], axis=1)
        fuller = np.flatnonzero((low > _NOWHERE_DARKER) & (high > _BRIGHTER))
        for index in fuller[np.argsort(-high[fuller], kind="stable")]:
            alike = _shared(more, index, fuller)
            # A subject is seldom at the same place twice: the second brightest tells what both frames show.
            brighter = np.median(more[alike], axis=0) > _A_LITTLE
            broadly = np.mean(brighter) >= _BROADLY and _keeps_detail(lit[alike], healthy, seen, brighter)
            if np.mean(brighter) < _IN_PART or len(alike) < enough:
                continue
            if not broadly and len(np.unique(trips[alike])) < 2:
                continue
            both = np.sort(more[alike], axis=0)[-2]
            if (
                np.percentile(both, 90) > _BRIGHTER
                and np.percentile(np.median(more[alike], axis=0), 5) > _NOWHERE_DARKER
            ):
                healthy = _full_power(lit[alike])
                break
        else:
            break
    return healthy


def _keeps_detail(lit: Plane, healthy: Plane, seen: Mask, brighter: Mask) -> bool:
    """Say whether what is brighter shows the scene's own detail: an animal before the lens shows its own."""
    mine = np.median(_detail(lit), axis=0)[seen][brighter]
    return bool(np.corrcoef(mine, _detail(healthy[None])[0][seen][brighter])[0, 1] > _TEXTURE)


def _with_what_it_lacks(healthy: Plane, lit: Plane, enough: int) -> Plane:
    """Add the light of frames that were lit otherwise: where no frame shows all flashes, each shows one."""
    seen = healthy > 0.3 * float(healthy.mean())
    more = np.log(lit[:, seen] + FLOOR) - np.log(healthy[seen] + FLOOR)
    low, high = np.percentile(more, [20, 85], axis=1)
    other = np.flatnonzero((high > _OTHERWISE) & (low < -2.0 * _OTHERWISE))
    for index in other[np.argsort(low[other] - high[other], kind="stable")]:
        alike = _shared(more, index, other)
        if len(alike) < enough:
            continue
        least, most = np.sort(more[alike], axis=0)[[0, -1]]
        if np.percentile(least, 85) > _OTHERWISE and np.percentile(most, 20) < -2.0 * _OTHERWISE:
            return healthy + _full_power(lit[alike])
    return healthy
