"""When visits come, by the clock: statistics of times of day, which go round and have no beginning.

Times are hours of the camera's clock, 0 to 24; 24 hours are 360 degrees.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ive

from triage.events import limits
from triage.records.night import Window

Hours = NDArray[np.float64]
"""Hours of the day, or one figure for each; shape (N,)."""

DAY_H = 24.0
_RADIANS_PER_H = 2 * math.pi / DAY_H
_MINUTES = 24 * 60
_NO_DIRECTION = 1e-9
"""Mean vectors shorter than this are what rounding leaves of nothing."""


@dataclass(frozen=True, slots=True)
class Activity:
    """When visits come, by the clock.

    Attributes
    ----------
    times : tuple of float
        Hour of the day at which each independent visit began.
    mean_h : float or None
        Circular mean, 0 to 24; None where the times have none.
    resultant : float
        Length of the mean vector, 0 (no common time) to 1 (all at the same time).
    spread_h : float or None
        Circular standard deviation in hours; None where there is no common time.
    rayleigh_p : float or None
        How often times spread evenly round the clock would lie so close together; None with fewer than
        `limits.FEWEST_FOR_RAYLEIGH`.
    rayleigh_watched_p : float or None
        The same against times spread evenly over the hours that were watched.
    half : (float, float) or None
        Hours between which the closest half of the visits came; it may pass midnight.
    concentration : float or None
        Of the kernels of `density`; None with fewer visits than `limits.FEWEST_FOR_DENSITY`.
    density : tuple of float
        Share of the visits for each hour of time, at 0:00, 0:15, ... 23:45; empty as above.
    watched : tuple of float
        Hours watched in each of the 24 hours of the clock.
    """

    times: tuple[float, ...]
    mean_h: float | None
    resultant: float
    spread_h: float | None
    rayleigh_p: float | None
    rayleigh_watched_p: float | None
    half: tuple[float, float] | None
    concentration: float | None
    density: tuple[float, ...]
    watched: tuple[float, ...]


def activity(visits: Sequence[Window], watched: Sequence[Window], *, apart: timedelta) -> Activity:
    """Tell when visits come.

    Parameters
    ----------
    visits : sequence of Window
        From first to last frame of each visit, in camera time; in any order.
    watched : sequence of Window
        When the rig stood and would have shown a visit.
    apart : timedelta
        Visits with no more than this between them count once, at the start of the first.

    Returns
    -------
    Activity
        Also of no visit at all.
    """
    times = np.array([clock_hours(window.start) for window in independent(visits, apart)])
    mean_h, resultant = circular_mean(times)
    minutes = _watched_minutes(watched)
    enough = len(times) >= limits.FEWEST_FOR_RAYLEIGH
    by_watched = circular_mean(_in_watched_time(times, minutes))[1]
    concentration = kernel_concentration(times) if len(times) >= limits.FEWEST_FOR_DENSITY else None
    return Activity(
        times=tuple(float(time) for time in times),
        mean_h=mean_h,
        resultant=resultant,
        spread_h=None if mean_h is None else circular_spread_h(resultant),
        rayleigh_p=rayleigh_p(len(times), resultant) if enough else None,
        rayleigh_watched_p=rayleigh_p(len(times), by_watched) if enough and minutes.any() else None,
        half=closest_half(times) if enough else None,
        concentration=concentration,
        density=()
        if concentration is None
        else tuple(float(value) for value in density(times, np.arange(0, DAY_H, 0.25), concentration)),
        watched=tuple(float(value) for value in minutes.reshape(24, 60).sum(axis=1) / 60),
    )


def clock_hours(moment: datetime) -> float:
    """Return the time of day in hours.

    Parameters
    ----------
    moment : datetime
        Camera time.

    Returns
    -------
    float
        0 up to, and not including, 24.
    """
    return moment.hour + moment.minute / 60 + (moment.second + moment.microsecond / 1e6) / 3600


def independent(visits: Sequence[Window], apart: timedelta) -> tuple[Window, ...]:
    """Join visits that may well be the same animal's.

    Parameters
    ----------
    visits : sequence of Window
        In any order.
    apart : timedelta
        Independent visits have more than this between them, from the last frame to the first.

    Returns
    -------
    tuple of Window
        In order of time, each from the first of its visits to the end of the last.

    References
    ----------
    O'Brien, Kinnaird & Wibisono 2003, Animal Conservation 6:131-139: pictures more than half an hour apart.
    """
    joined: list[Window] = []
    for visit in sorted(visits, key=lambda window: (window.start, window.end)):
        if joined and visit.start - joined[-1].end <= apart:
            joined[-1] = Window(joined[-1].start, max(joined[-1].end, visit.end))
        else:
            joined.append(visit)
    return tuple(joined)


def circular_mean(hours: Hours) -> tuple[float | None, float]:
    """Return the mean time of day and the length of the mean vector.

    Parameters
    ----------
    hours : ndarray of float64, shape (N,)
        Times of day.

    Returns
    -------
    mean_h : float or None
        0 up to 24; None without times, or where they cancel each other out.
    resultant : float
        0 to 1; 0 without times.

    References
    ----------
    Mardia & Jupp 2000, Directional Statistics, section 2.2.
    """
    if not len(hours):
        return None, 0.0
    vector = complex(np.exp(1j * _RADIANS_PER_H * hours).mean())
    length = min(1.0, abs(vector))
    if length < _NO_DIRECTION:
        return None, 0.0
    return math.atan2(vector.imag, vector.real) / _RADIANS_PER_H % DAY_H, length


def circular_spread_h(resultant: float) -> float:
    """Return the circular standard deviation.

    Parameters
    ----------
    resultant : float
        Length of the mean vector, above 0.

    Returns
    -------
    float
        Hours; 0 where all times are the same, and without upper limit.

    References
    ----------
    Mardia & Jupp 2000, Directional Statistics, section 2.3.
    """
    return math.sqrt(max(0.0, -2.0 * math.log(resultant))) / _RADIANS_PER_H


def rayleigh_p(number: int, resultant: float) -> float:
    """Return how often times spread evenly over the circle would lie at least so close together.

    Parameters
    ----------
    number : int
        Times, at least one.
    resultant : float
        Length of their mean vector.

    Returns
    -------
    float
        0 to 1.

    References
    ----------
    Zar 2010, Biostatistical Analysis, 5th ed., equation 27.4.
    """
    total = number * resultant
    value = math.exp(math.sqrt(1 + 4 * number + 4 * (number**2 - total**2)) - (1 + 2 * number))
    return min(1.0, value)


def closest_half(hours: Hours) -> tuple[float, float]:
    """Return the shortest stretch of the clock that holds at least half of the times.

    Parameters
    ----------
    hours : ndarray of float64, shape (N,)
        At least one time.

    Returns
    -------
    (float, float)
        Begin and end; the end is the smaller one where the stretch passes midnight.
    """
    ordered = np.sort(hours)
    number = len(ordered)
    held = (number + 1) // 2
    ends = np.roll(ordered, -(held - 1))
    lengths = (ends - ordered) % DAY_H
    at = int(np.argmin(lengths))
    return float(ordered[at]), float(ends[at])


def kernel_concentration(hours: Hours) -> float:
    """Choose how narrow the kernels of a density are.

    Parameters
    ----------
    hours : ndarray of float64, shape (N,)
        At least one time.

    Returns
    -------
    float
        Concentration of the von Mises kernels, above 0; larger is narrower. Where the times tell no shape
        at all, the smallest.

    Notes
    -----
    Taylor's rule for a von Mises law, with the largest of the concentrations that the lengths of the first three
    trigonometric moments give, so that two hours of activity do not blur into one.

    References
    ----------
    Taylor 2008, Comput. Stat. Data Anal. 52:3493-3500, doi 10.1016/j.csda.2007.11.003; the three moments:
    Ridout & Linkie 2009, J. Agric. Biol. Environ. Stat. 14:322-337, doi 10.1198/jabes.2009.08038.
    """
    moments = [abs(complex(np.exp(1j * order * _RADIANS_PER_H * hours).mean())) for order in (1, 2, 3)]
    shape = max(_concentration_of(moment, order) for order, moment in enumerate(moments, start=1))
    if shape <= 0:
        return limits.LEAST_CONCENTRATION
    # I_2(2k) / I_0(k)^2, each scaled by its own exponential, which cancel.
    ratio = float(ive(2, 2 * shape)) / float(ive(0, shape)) ** 2
    found = math.pow(3 * len(hours) * shape**2 * ratio / (4 * math.sqrt(math.pi)), 0.4)
    return min(max(found, limits.LEAST_CONCENTRATION), limits.MOST_CONCENTRATION)


def _concentration_of(moment: float, order: int) -> float:
    """Solve I_order(k) / I_0(k) = moment for k; 0 where only evenness or worse gives it."""

    def excess(shape: float) -> float:
        return float(ive(order, shape)) / float(ive(0, shape)) - moment

    if moment <= 0:
        return 0.0
    if excess(limits.MOST_CONCENTRATION) <= 0:
        return limits.MOST_CONCENTRATION
    return float(brentq(excess, 0.0, limits.MOST_CONCENTRATION))


def density(hours: Hours, at: Hours, concentration: float) -> Hours:
    """Return the density of times of day.

    Parameters
    ----------
    hours : ndarray of float64, shape (N,)
        At least one time.
    at : ndarray of float64, shape (M,)
        Where it is wanted.
    concentration : float
        Of the von Mises kernels.

    Returns
    -------
    ndarray of float64, shape (M,)
        Share of the times for each hour; its integral over 24 hours is 1.

    References
    ----------
    Ridout & Linkie 2009, J. Agric. Biol. Environ. Stat. 14:322-337, doi 10.1198/jabes.2009.08038.
    """
    turns = _RADIANS_PER_H * (at[:, None] - hours[None, :])
    # exp(k cos t) / (2 pi I_0(k)), written so that a large k does not overflow.
    kernels = np.exp(concentration * (np.cos(turns) - 1)) / (2 * math.pi * float(ive(0, concentration)))
    return np.asarray(kernels.mean(axis=1) * _RADIANS_PER_H, np.float64)


def _watched_minutes(watched: Sequence[Window]) -> Hours:
    """Return how many minutes of each minute of the clock were watched, over all stretches."""
    minutes = np.zeros(_MINUTES)
    for window in watched:
        length = (window.end - window.start).total_seconds() / 60
        if length <= 0:
            continue
        minutes += length // _MINUTES
        begin = clock_hours(window.start) * 60
        end = begin + length % _MINUTES
        for low, high in ((begin, min(end, _MINUTES)), (0.0, end - _MINUTES)):
            edges = np.clip([low, high], 0, _MINUTES)
            minutes += np.clip(
                np.minimum(edges[1], np.arange(1, _MINUTES + 1)) - np.maximum(edges[0], np.arange(_MINUTES)),
                0,
                1,
            )
    return minutes


def _in_watched_time(hours: Hours, minutes: Hours) -> Hours:
    """Move times to a clock on which every watched moment takes as long as any other.

    Times spread evenly over what was watched are then spread evenly over the circle, so that the test of
    evenness means the same whether the rig stood for whole days or for nights only.
    """
    total = float(minutes.sum())
    if not total:
        return hours
    gone = np.concatenate([[0.0], np.cumsum(minutes)]) / total
    return np.asarray(np.interp(hours * 60, np.arange(_MINUTES + 1), gone) * DAY_H, np.float64)
