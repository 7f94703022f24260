"""From a region to the chance that a subject is there."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np

from triage.measure.regions import Evidence, Region, part_around, strongest_region
from triage.measure.texture import detail, texture_kept
from triage.records.arrays import Mask, Plane

_TRIES, _TRIES_BY_DAY = 6, 12
"""At most so many regions are looked at in one frame; by day patches of sun may stand out further than an animal."""

_NOTHING = 0.005
"""Chance of a subject where nothing stands out; what is certain is never said to be."""

_ELSEWHERE = (8, 12)
"""Rows and columns of the cells whose peaks tell how restless the rest of the frame is."""

_SMALL = 1.2e-3
"""Area, as a fraction of the picture, below which a region counts as small."""

_KEPT_FROM, _KEPT_TO = 0.4, 0.8
"""Correlation of texture between which a region turns from a thing into mere light."""

_MOVED_ENOUGH = 3.0
"""Logarithm of evidence against the burst's other frames beyond which more says nothing more."""

_STANDS_OUT_BY_NIGHT, _STANDS_OUT_BY_DAY, _DAY = 0.6, 0.9, 0.6
"""Chance without regard to the burst's other frames, from which a region is never passed over; by day more is asked,
since sun and shade keep still as well..."""

WORTH_A_CLOSER_LOOK = 0.05
"""Chance of a subject from which its place is looked at closely (`triage.measure.closely`)."""

_RESTING = 0.45
"""...but left to the photographer with this chance: an animal may keep still for a whole burst..."""

_STILL_BY_NIGHT = (0.9, -1.6)
"""...and by night with log odds of so many times those without regard to the burst, and so much less: what stands out
farthest is nearly always an animal, on nights that may be tuned on and before photographs; little costs an empty frame.
"""


@dataclass(frozen=True, slots=True)
class Clues:
    """What speaks for or against a subject in one region.

    Attributes
    ----------
    strength : float
        Peak of its evidence.
    elsewhere : tuple of float
        90th and 97th percentile of the peaks of evidence in the cells of the frame that it does not cover.
    moved : float or None
        Peak of its evidence against the nearest frames in time alone; None where there are none within a visit.
    area : float
        Fraction of the picture.
    contrast : float
        Mean change, in square-root light.
    texture_kept : float
        0 (another texture, or too little to tell) to 1 (the scene's own texture: only the light changed).
    brighter : bool
        Whether it is brighter than the scenery.
    fineness : float
        Logarithm of its evidence at the finest scale over that at four times the scale.
    day : float
        0 (dark but for flash) to 1.
    """

    strength: float
    elsewhere: tuple[float, float]
    moved: float | None
    area: float
    contrast: float
    texture_kept: float
    brighter: bool
    fineness: float
    day: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """The likeliest subject of a frame.

    Attributes
    ----------
    region : Region or None
        Where; None where nothing stands out.
    chance : float
        That a subject is there, 0 to 1.
    """

    region: Region | None
    chance: float


@dataclass(frozen=True, slots=True)
class Sight:
    """A frame ready to be searched.

    Attributes
    ----------
    evidence : Evidence
        Against the references.
    moved : ndarray of float32, shape (M, N), or None
        Strongest evidence against the nearest frames in time alone.
    change : ndarray of float32, shape (M, N, 3)
        Against the references.
    frame : ndarray of float32, shape (M, N, 3)
        `triage.measure.roots.search_picture` of it.
    expected : ndarray of float32, shape (M, N)
        Lightness of its scenery.
    beyond : ndarray of float32, shape (M, N)
        From `triage.measure.scenery.Comparison`.
    day : float
        0 (dark but for flash) to 1.
    """

    evidence: Evidence
    moved: Plane | None
    change: Plane
    frame: Plane
    expected: Plane
    beyond: Plane
    day: float


def likeliest(sight: Sight) -> Candidate:
    """Look at the strongest regions in turn and keep the likeliest subject.

    Parameters
    ----------
    sight : Sight
        The frame.

    Returns
    -------
    Candidate
        The region with the highest chance.
    """
    best = Candidate(None, 0.0)
    for region, clues in _regions_in_turn(sight):
        found = chance(clues)
        if found > best.chance:
            best = Candidate(region, found)
        if found >= 1.0 - _NOTHING:
            break  # none can be likelier
    return Candidate(None, _NOTHING) if best.region is None else best


def regions_with_clues(sight: Sight) -> list[tuple[Region, Clues]]:
    """Outline the strongest regions of a frame and gather what speaks for each.

    Parameters
    ----------
    sight : Sight
        The frame.

    Returns
    -------
    list of (Region, Clues)
        The strongest first.
    """
    return list(_regions_in_turn(sight))


def _regions_in_turn(sight: Sight) -> Iterator[tuple[Region, Clues]]:
    """Outline the strongest regions one by one."""
    peak, fine = sight.evidence.peak.copy(), sight.evidence.scales[0].copy()
    cells = _cell_peaks(peak)
    frame_detail, expected_detail = detail(sight.frame[..., 0]), detail(sight.expected)
    for _ in range(_TRIES_BY_DAY if sight.day >= _DAY else _TRIES):
        region = strongest_region(peak, fine)
        if region is None:
            return
        part = part_around(region)
        kept = texture_kept(frame_detail[part], expected_detail[part], region.mask[part])
        yield region, _clues(sight, region, _elsewhere(cells, region), _ramp(kept))
        part = part_around(region, 2)
        around = cv2.dilate(region.mask[part].view(np.uint8), np.ones((5, 5), np.uint8)) > 0
        peak[part][around] = 0.0
        fine[part][around] = 0.0


def chance(clues: Clues) -> float:
    """Turn clues into a chance.

    Parameters
    ----------
    clues : Clues
        Of one region.

    Returns
    -------
    float
        0.005 to 0.995: nothing is certain. A logistic model; ``python -m tests.benchmarks.presence`` fits its
        weights and says how far they hold on nights left out.
    """
    alone = _odds(ALONE, clues)
    told = share_of(alone)
    if clues.moved is not None:
        still = _still(alone, by_day=clues.day >= _DAY)
        told = max(share_of(_odds(IN_BURST, clues)), still)
    return never_certain(told)


def never_certain(chance: float) -> float:
    """Keep a chance away from certainty.

    Parameters
    ----------
    chance : float
        0 to 1.

    Returns
    -------
    float
        0.005 to 0.995.
    """
    return min(1.0 - _NOTHING, max(_NOTHING, chance))


def _still(alone: float, *, by_day: bool) -> float:
    """Give the least chance of what stands out, whether it moved within the burst or not."""
    if by_day:
        return _RESTING if share_of(alone) >= _STANDS_OUT_BY_DAY else 0.0
    slope, offset = _STILL_BY_NIGHT
    return share_of(slope * alone + offset) if share_of(alone) >= _STANDS_OUT_BY_NIGHT else 0.0


def terms(clues: Clues) -> dict[str, float]:
    """Write clues as the terms of the logistic model.

    Parameters
    ----------
    clues : Clues
        Of one region.

    Returns
    -------
    dict of str to float
        One for each of `IN_BURST`.
    """
    high, highest = clues.elsewhere
    small = min(0.0, math.log(max(clues.area, 1e-6) / _SMALL))
    return {
        "always": 1.0,
        "over_most_places": math.log((clues.strength + 1.0) / (high + 1.0)),
        "over_nearly_all_places": math.log((clues.strength + 1.0) / (highest + 1.0)),
        "moved": min(_MOVED_ENOUGH, math.log((clues.moved or 0.0) + 1.0)),
        "small": small,
        "small_and_brighter": small * clues.brighter,
        "contrast": math.log(clues.contrast + 4e-3),
        "texture_kept_by_day": clues.day * clues.texture_kept,
        "strength_by_day": clues.day * math.log(clues.strength),
        "fineness": clues.fineness,
    }


ALONE = {
    "always": 1.28,
    "over_most_places": 1.84,
    "over_nearly_all_places": -0.05,
    "small": 2.22,
    "small_and_brighter": 1.15,
    "contrast": 1.11,
    "texture_kept_by_day": -6.59,
    "strength_by_day": 0.16,
    "fineness": -0.59,
}
"""Log odds for each unit of some of `terms`, where no other frame of a burst tells more."""

IN_BURST = {
    "always": -6.37,
    "over_most_places": 1.18,
    "over_nearly_all_places": 0.42,
    "moved": 3.21,
    "small": 1.81,
    "small_and_brighter": 1.27,
    "contrast": 1.2,
    "texture_kept_by_day": -5.04,
    "strength_by_day": 0.32,
    "fineness": -0.42,
}
"""Log odds for each unit of each of `terms`, where a burst's other frames were looked at."""


def _odds(weights: dict[str, float], clues: Clues) -> float:
    """Weigh the clues; as a logarithm."""
    return weighed(weights, terms(clues))


def weighed(weights: dict[str, float], told: dict[str, float]) -> float:
    """Add up what each term is worth.

    Parameters
    ----------
    weights : dict of str to float
        Log odds for each unit of some terms.
    told : dict of str to float
        Those terms, and any others.

    Returns
    -------
    float
        Log odds.
    """
    return sum(weight * told[name] for name, weight in weights.items())


def log_odds_of(chance: float) -> float:
    """Turn a chance into log odds: the inverse of `share_of`.

    Parameters
    ----------
    chance : float
        More than 0 and less than 1, as `never_certain` gives it.

    Returns
    -------
    float
        Above 0 for what is likelier than not.
    """
    return math.log(chance / (1.0 - chance))


def share_of(log_odds: float) -> float:
    """Turn log odds into a chance.

    Parameters
    ----------
    log_odds : float
        Any; beyond 30 nothing changes.

    Returns
    -------
    float
        0 to 1.
    """
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, log_odds))))


def _clues(sight: Sight, region: Region, elsewhere: tuple[float, float], kept: float) -> Clues:
    """Gather what speaks for a region."""
    part = part_around(region)
    mask = region.mask[part]
    changed = sight.change[part][mask]
    lightness, red, blue = np.abs(changed).mean(axis=0).tolist()
    fine, middle = (float(sight.evidence.scales[scale][part][mask].max()) for scale in (0, 2))
    return Clues(
        strength=region.strength,
        elsewhere=elsewhere,
        moved=None if sight.moved is None else float(sight.moved[part][mask].max()),
        area=region.area,
        contrast=lightness + 0.25 * (red + blue),
        texture_kept=kept,
        brighter=bool(changed[:, 0].sum() > 0),
        fineness=math.log((fine + 1.0) / (middle + 1.0)),
        day=sight.day,
    )


def usual_peak(found: Evidence) -> float:
    """Say how strong the evidence is in most of a frame's places, whatever stands out.

    Parameters
    ----------
    found : Evidence
        Of a frame.

    Returns
    -------
    float
        90th percentile of the peaks in the cells of a coarse grid, 0 and up.
    """
    return float(np.percentile(_cell_peaks(found.peak), 90))


def _cell_peaks(peak: Plane) -> Plane:
    """Take the highest evidence in each cell of a coarse grid."""
    rows, cols = _ELSEWHERE
    high, wide = peak.shape[0] // rows, peak.shape[1] // cols
    cells = peak[: high * rows, : wide * cols].reshape(rows, high, cols, wide)
    return np.asarray(cells.max(axis=(1, 3)), np.float32)


def _elsewhere(cells: Plane, region: Region) -> tuple[float, float]:
    """Tell how strong the evidence is in the cells outside a region's box."""
    rows, cols = _ELSEWHERE
    outside: Mask = np.ones(_ELSEWHERE, np.bool_)
    box = region.box
    outside[int(box.y0 * rows) : math.ceil(box.y1 * rows), int(box.x0 * cols) : math.ceil(box.x1 * cols)] = (
        False
    )
    if np.count_nonzero(outside) < rows * cols // 8:
        return 0.0, 0.0
    ordered = np.sort(cells[outside])
    high, highest = np.interp(
        (0.9 * (len(ordered) - 1), 0.97 * (len(ordered) - 1)), np.arange(len(ordered)), ordered
    )
    return float(high), float(highest)


def _ramp(kept: float | None) -> float:
    """Turn a correlation into a share, 0 to 1, of texture kept."""
    if kept is None:
        return 0.0
    return min(1.0, max(0.0, (kept - _KEPT_FROM) / (_KEPT_TO - _KEPT_FROM)))
