"""Tell the flashes of a rig apart: from frames that miss one of them, whatever places it lights.

What a frame lacks of the healthy light is the light of the flash that failed. Every frame that lacks some is tried as
the one that shows a flash missing; the one that explains the most other frames, each flash giving nothing or more, is
believed.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from triage.measure.blocks import FLOOR, block_trust
from triage.measure.healthy import Places, shows_scene
from triage.measure.medians import medians_of_some
from triage.records.arrays import Mask, Plane

_TRIED, _JUDGED = 48, 160
"""At most so many frames are tried, and so many explained by each, spread over the night."""

_UNEXPLAINED = {2: 0.06, 3: 0.03}
"""Misfit, relative to the light of a block, up to which flashes explain a frame, by how many there may be: one of two
that is out changes much, a weak third one little..."""

_DIM, _BY_TONE = 0.75, 0.06
"""...and in a frame that got less than this share of the light, the camera's tone curve alone makes as much."""

_STEADY = 0.06
"""Misfit below which no frame counts more than another where the lights are learnt from all."""

_SUREST = 3
"""The few frames that one light explains best show how restless the scene is, however many miss a flash."""

_OWN_NOISE = 3.0
"""...and so many times the misfit of healthy frames, where wind or rain makes them restless."""

_BRIGHTER = 1.12
"""Taking a light away brightens nothing: a frame with a twentieth of its blocks above this was lit otherwise."""

_LIT_BY_ONE = 0.45
"""Somewhere in the picture one flash of two gives more than this share of the light: less was lost only where the flash
still gave some..."""

_MOSTLY = 0.75
"""...and then it is taken to give this share where it gives most. Both hold of two flashes at the sides of a path."""

_LEAST_OUT = 0.06
"""Share of the healthy light that is lost, at least, where a flash is out."""

_SUPPORT = 1.6
"""So many frames must be explained better by two flashes than by one light, the one they were learnt from included."""

_ALONE, _DARKER = 0.8, 0.9
"""One frame is enough if nearly all of it is darker than this share of the healthy light: no animal does that."""

_EVERYWHERE = 0.1
"""One flash of two lights all of the picture, at least by this share of what it gives where it gives most."""

_LEAST_SHARE = 0.04
"""Share of the healthy light below which what is left over is no third flash."""


@dataclass(frozen=True, slots=True)
class Ratios:
    """Frames relative to the healthy light.

    Attributes
    ----------
    share : ndarray of float32, shape (N, P)
        Light of each block in units of its healthy light.
    trust : ndarray of float32, shape (N, P)
        How much an error counts there.
    """

    share: Plane
    trust: Plane

    def of(self, chosen: Places) -> "Ratios":
        """Take some of the frames."""
        return Ratios(self.share[chosen], self.trust[chosen])


def ratios(means: Plane, healthy: Plane) -> Ratios:
    """Compare frames with the healthy light.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of each frame.
    healthy : ndarray of float32, shape (P,)
        The healthy light.

    Returns
    -------
    Ratios
        A dark block tells little, a burnt one nothing.
    """
    share = (means + FLOOR) / (healthy + FLOOR)
    trust = block_trust(np.broadcast_to(healthy, means.shape), np.maximum(means, healthy / 20))
    scale = np.maximum(share, 0.3) + 0.05 * float(healthy.mean()) / (healthy + FLOOR)
    return Ratios(share.astype(np.float32), (trust / scale).astype(np.float32))


def explain(shares: Plane, frames: Ratios) -> tuple[Plane, Plane]:
    """Find how much each flash gave in many frames at once, and how well that explains them.

    Parameters
    ----------
    shares : ndarray of float32, shape (P, K)
        Share of the healthy light each flash gives, K up to 3.
    frames : Ratios
        Of N frames.

    Returns
    -------
    powers : ndarray of float32, shape (N, K)
        0 and up.
    misfit : ndarray of float32, shape (N,)
        Median error relative to the light of a block.

    References
    ----------
    Cauchy weights as in Holland & Welsch 1977, doi 10.1080/03610927708827533.
    """
    counted = frames.trust > 0.3 * frames.trust.max(axis=1, keepdims=True)
    powers, error, misfit = _fitted(shares, frames, frames.trust, counted)
    for _ in range(3):
        doubt = 1.0 + (error / (2.0 * 1.4826 * misfit[:, None] + 2e-3)) ** 2
        powers, error, misfit = _fitted(shares, frames, np.asarray(frames.trust / doubt, np.float32), counted)
    return powers, misfit


def _fitted(shares: Plane, frames: Ratios, weight: Plane, counted: Mask) -> tuple[Plane, Plane, Plane]:
    """Fit powers with given weights; return them, the error of each block and the middle error of each frame."""
    powers = _non_negative(shares, frames.share, np.asarray(weight**2, np.float32))
    error = np.asarray(np.abs(frames.share - powers @ shares.T) * frames.trust, np.float32)
    return powers, error, medians_of_some(error, counted)


def _non_negative(shares: Plane, wanted: Plane, weight: Plane) -> Plane:
    """Solve weighted least squares with no power below 0, by trying every set of flashes that may have fired."""
    count = shares.shape[1]
    products = (shares[:, :, None] * shares[:, None, :]).reshape(len(shares), -1)
    normal = (weight @ products).reshape(-1, count, count)
    target = (weight * wanted) @ shares
    best, gained = np.zeros_like(target), np.zeros(len(target))
    for size in range(1, count + 1):
        for chosen in map(list, combinations(range(count), size)):
            part = normal[:, chosen][:, :, chosen] + 1e-6 * np.eye(size)
            found = np.linalg.solve(part, target[:, chosen][..., None])[..., 0]
            gain = (found * target[:, chosen]).sum(axis=1)
            better = (found >= 0).all(axis=1) & (gain > gained)
            best[better] = 0.0
            rows = np.flatnonzero(better)
            best[rows[:, None], np.array(chosen)] = found[better]
            gained[better] = gain[better]
    return np.asarray(best, np.float32)


def _spread(places: Places, most: int) -> Places:
    """Take at most so many, spread evenly."""
    if len(places) <= most:
        return places
    return np.asarray(places[np.linspace(0, len(places) - 1, most).round().astype(int)])


def part_light(
    means: Plane, healthy: Plane, flashes: int, admit: Callable[[Plane], bool] | None = None
) -> Plane | None:
    """Part the healthy light into what each flash gives.

    Parameters
    ----------
    means : ndarray of float32, shape (N, P)
        Block means of frames lit by flash alone.
    healthy : ndarray of float32, shape (P,)
        The healthy light.
    flashes : int
        How many flashes there may be, 2 or 3.
    admit : callable, optional
        Says of what a frame lacks, as a share of the light of each block, whether it may be a flash's light; all may
        be by default.

    Returns
    -------
    ndarray of float32, shape (P, K), or None
        Share of the healthy light of each flash, which add up to 1; the last one may be that of several. None where no
        frame shows the flashes apart.
    """
    frames = ratios(means, healthy)
    one_light = np.ones((len(healthy), 1), np.float32)
    _, misfit = explain(one_light, frames)
    noise = float(np.median(np.sort(misfit)[:_SUREST]))
    limit = max(_UNEXPLAINED[flashes], _OWN_NOISE * noise)
    brightest = np.percentile(frames.share[:, healthy >= np.median(healthy)], 95, axis=1)
    fit = (brightest < _BRIGHTER + 2.0 * noise) & shows_scene(means, healthy)
    out = 1.0 - frames.share.mean(axis=1)
    by_tone = np.where(out > 1.0 - _DIM, _BY_TONE, 0.0)
    odd = np.flatnonzero((misfit > np.maximum(limit, by_tone)) & fit & (out > _LEAST_OUT))
    if admit is not None:
        odd = odd[[admit(1.0 - np.clip(share, 0.0, 1.0)) for share in frames.share[odd]]]
    odd = _spread(odd[np.argsort(-out[odd], kind="stable")], _TRIED)
    if not len(odd):
        return None
    judged = frames.of(_spread(np.flatnonzero((misfit > 0.5 * limit) & fit), _JUDGED))
    tried = np.clip(frames.share[odd], 0.0, 1.0)
    gains = _badness(one_light, judged, limit) - np.array(
        [_badness(np.stack([1.0 - share, share], axis=1), judged, limit) for share in tried]
    )
    needed = np.where(brightest[odd] < _DARKER, _ALONE, _SUPPORT)
    if np.all(gains < needed):
        return None
    first = 1.0 - tried[np.argmax(np.where(gains < needed, -1.0, gains))]
    shares = np.stack([first, 1.0 - first], axis=1)
    if flashes > 2:
        shares = _parted_again(shares, 1.0 - tried, judged, limit)
    shares = _refined(shares, frames)
    if np.average(shares, axis=0, weights=healthy).min() < _LEAST_SHARE:
        return None
    return shares if flashes > 2 else _of_two(shares, healthy)


def _badness(shares: Plane, judged: Ratios, limit: float) -> float:
    """Say how badly flashes explain frames: a frame within half the limit costs nothing, beyond it one."""
    _, misfit = explain(shares, judged)
    return float(np.clip(2.0 * misfit / limit - 1.0, 0.0, 1.0).sum())


def _parted_again(shares: Plane, lost: Plane, judged: Ratios, limit: float) -> Plane:
    """Part two lights into three, where some frames ask for that."""
    ways = _in_three(shares[:, 0], lost)
    costs = [_badness(way, judged, limit) for way in ways]
    if not ways or min(costs) > _badness(shares, judged, limit) - _SUPPORT:
        return shares
    return ways[int(np.argmin(costs))]


def _in_three(first: Plane, lost: Plane) -> list[Plane]:
    """List the ways to part the light in three, given one part and what each of some frames lacks.

    What a frame lacks may be another flash, another flash besides the first, or one of two that the first part holds.
    """
    ways = []
    for lack in lost:
        for one, other in ((first, lack), (first, lack - first), (lack, first - lack)):
            parts = np.stack([one, other, 1.0 - one - other], axis=1)
            if (
                np.all(np.percentile(parts, 5, axis=0) > -_LEAST_SHARE)
                and parts.mean(axis=0).min() > _LEAST_SHARE
            ):
                parts = np.clip(parts, 0.0, 1.0)
                ways.append(parts / parts.sum(axis=1, keepdims=True))
    return ways


def _refined(shares: Plane, frames: Ratios) -> Plane:
    """Learn each flash's share of the light from all frames, their powers given: a subject stands in few of them."""
    some = frames.of(_spread(np.arange(len(frames.share)), 2 * _JUDGED))
    powers, misfit = explain(shares, some)
    told = Ratios(some.share.T, some.trust.T / (misfit + _STEADY))
    better, _ = explain(powers, told)
    better = np.where(better.sum(axis=1, keepdims=True) > 0.5, better, shares)
    return np.asarray(better / better.sum(axis=1, keepdims=True), np.float32)


def _of_two(shares: Plane, healthy: Plane) -> Plane | None:
    """Scale a flash that was only weaker, never out, to what it must give where it gives most; None for mere spots."""
    missing, seen = shares[:, 0], healthy > 0.15 * float(healthy.mean())
    least, most = (float(value) for value in np.percentile(missing[seen], [10, 97]))
    if least < _EVERYWHERE * most:
        return None
    if most < _LIT_BY_ONE:
        missing = missing * np.float32(_MOSTLY / most)
    return np.asarray(np.stack([missing, 1.0 - missing], axis=1), np.float32)
