"""From a region's strength to the chance that a subject is there."""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from triage.measure.regions import Region, strongest_region
from triage.measure.texture import texture_kept
from triage.records.arrays import Plane

_NOTHING = 1e-6
"""Strength that is none."""

_TRIES = 5
"""At most so many regions are looked at in one frame."""

_CALM, _RESTLESS = 9.0, 30.0
"""Strength at which a subject is as likely as not, on a still and on a restless card."""

_OVER_USUAL = 2.9
"""...and in between, this many times the strength usual on the card."""

_SLOPE = 0.22
"""Natural-log units of strength in which the odds change by e."""

_KEPT_FROM, _KEPT_TO = 0.5, 0.72
"""Correlation of texture between which a region turns from a thing into mere light."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """The likeliest subject of a frame.

    Attributes
    ----------
    region : Region or None
        Where; None where nothing stands out.
    strength : float
        Its strength, lowered where the scene's own texture shows through; 0 without a region.
    """

    region: Region | None
    strength: float


def likeliest(peak: Plane, fine: Plane, frame_detail: Plane, expected_detail: Plane) -> Candidate:
    """Look at the strongest regions in turn and keep the likeliest subject.

    Parameters
    ----------
    peak, fine : ndarray of float32, shape (M, N)
        From `triage.measure.regions.evidence`.
    frame_detail, expected_detail : ndarray of float32, shape (M, N)
        From `triage.measure.texture.detail`.

    Returns
    -------
    Candidate
        The region with the greatest strength after allowing for mere changes of light.
    """
    best = Candidate(None, 0.0)
    peak, fine = peak.copy(), fine.copy()
    for _ in range(_TRIES):
        region = strongest_region(peak, fine)
        if region is None or region.strength <= best.strength:
            break
        kept = texture_kept(frame_detail, expected_detail, region.mask)
        strength = region.strength * (1.0 - _ramp(kept))
        if strength > best.strength:
            best = Candidate(region, strength)
        around = cv2.dilate(region.mask.astype(np.uint8), np.ones((9, 9), np.uint8)) > 0
        peak[around] = 0.0
        fine[around] = 0.0
    return best


def _ramp(kept: float | None) -> float:
    """Turn a correlation into the share of strength to take away, 0 to 0.9."""
    if kept is None:
        return 0.0
    return 0.9 * min(1.0, max(0.0, (kept - _KEPT_FROM) / (_KEPT_TO - _KEPT_FROM)))


def even_strength(strengths: list[float]) -> float:
    """Find the strength at which a subject is as likely as not on this card.

    Parameters
    ----------
    strengths : list of float
        Strengths of a sample of frames, with subjects or without.

    Returns
    -------
    float
        Rises with the restlessness of the card's quieter frames, within fixed bounds, so that a card where every
        frame holds a subject does not pass for restless.
    """
    quiet = float(np.percentile(strengths, 20)) if strengths else 0.0
    return min(_RESTLESS, max(_CALM, _OVER_USUAL * quiet))


def chance(strength: float, even: float) -> float:
    """Turn a strength into a chance.

    Parameters
    ----------
    strength : float
        0 and up.
    even : float
        From `even_strength`.

    Returns
    -------
    float
        0.005 to 0.995: nothing is certain.
    """
    if strength < _NOTHING:
        return 0.005
    odds = math.log(strength / even) / _SLOPE
    return min(0.995, max(0.005, 1.0 / (1.0 + math.exp(-odds))))
