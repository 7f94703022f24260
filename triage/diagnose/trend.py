"""The slope of a row of figures over time, and how sure it is, whatever a few wild values do.

References
----------
Theil 1950, Indagationes Mathematicae 12:85-91, 173, and Sen 1968, Journal of the American Statistical
Association 63:1379-1389: the median of the slopes between all pairs, with an interval from Kendall's rank
correlation. Checked in the tests against `scipy.stats.theilslopes`.
"""

from dataclasses import dataclass

import numpy as np

from triage.diagnose.timeline import Row

_Z = 1.959964  # two-sided 95 %
_MOST = 400  # pairs grow with the square; longer rows are thinned evenly


@dataclass(frozen=True, slots=True)
class Trend:
    """A straight line through a row.

    Attributes
    ----------
    slope, low, high : float
        Change for each unit of time, and the ends of its 95 % interval.
    end : float
        The line at the last time.
    """

    slope: float
    low: float
    high: float
    end: float


def find_trend(times: Row, values: Row) -> Trend | None:
    """Fit a line by the median of the slopes between all pairs.

    Parameters
    ----------
    times, values : ndarray of float, shape (N,)
        Without NaN; times in order.

    Returns
    -------
    Trend or None
        None with fewer than three different times.
    """
    if len(times) > _MOST:
        kept = np.unique(np.linspace(0, len(times) - 1, _MOST).astype(int))
        times, values = times[kept], values[kept]
    if len(np.unique(times)) < 3:
        return None
    one, two = np.triu_indices(len(times), 1)
    apart = times[two] - times[one]
    slopes = np.sort((values[two] - values[one])[apart > 0] / apart[apart > 0])
    number = len(times)
    spread = _Z * np.sqrt(number * (number - 1) * (2 * number + 5) / 18.0)
    least = max(0, round((len(slopes) - spread) / 2.0) - 1)
    most = min(len(slopes) - 1, round((len(slopes) + spread) / 2.0))
    slope = float(np.median(slopes))
    return Trend(
        slope=slope,
        low=float(slopes[least]),
        high=float(slopes[most]),
        end=float(np.median(values - slope * (times - times[-1]))),
    )
