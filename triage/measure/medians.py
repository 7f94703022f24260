"""Medians of short rows of numbers."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from triage.records.arrays import Mask, Plane


def row_medians(rows: NDArray[np.floating[Any]]) -> Plane:
    """Take the median of each row.

    Parameters
    ----------
    rows : ndarray of float32, shape (K, N)
        At least one number in each; none of them NaN.

    Returns
    -------
    ndarray of float32, shape (K,)
        As of `numpy.median`, in a fraction of its time: whole rows are sorted many numbers at once.
    """
    ordered = np.sort(rows, axis=1)
    middle = rows.shape[1] // 2
    if rows.shape[1] % 2:
        return np.asarray(ordered[:, middle])
    return np.asarray((ordered[:, middle - 1] + ordered[:, middle]) / 2)


def median(numbers: NDArray[np.floating[Any]]) -> float:
    """Take the median.

    Parameters
    ----------
    numbers : ndarray, shape (N,)
        At least one; none of them NaN.

    Returns
    -------
    float
        As of `numpy.median`, which spends most of its time on questions that do not arise here.
    """
    return float(row_medians(numbers[None])[0])


def medians_of_some(rows: Plane, counted: Mask) -> Plane:
    """Take the median of some numbers of each row.

    Parameters
    ----------
    rows : ndarray of float32, shape (K, N)
        None of them NaN.
    counted : ndarray of bool, shape (K, N)
        Which count; at least one in each row.

    Returns
    -------
    ndarray of float32, shape (K,)
        As of `numpy.nanmedian` of a masked copy, in a fraction of its time.
    """
    ordered = np.sort(np.where(counted, rows, np.float32(np.inf)), axis=1)
    every, last = np.arange(len(rows)), counted.sum(axis=1) - 1
    return np.asarray((ordered[every, last // 2] + ordered[every, (last + 1) // 2]) / 2)
