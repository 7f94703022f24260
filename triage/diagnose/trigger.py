"""What both faults of the trigger look at: trips of the sensor, and what came of each."""

from dataclasses import dataclass

import numpy as np

from triage.diagnose.timeline import Flags, Places, Row, Timeline


@dataclass(frozen=True, slots=True)
class Trips:
    """Trips of the sensor outside setup.

    Attributes
    ----------
    first : ndarray of int, shape (T,)
        Position of each trip's first frame.
    seconds : ndarray of float, shape (T,)
        Time of it.
    empty : ndarray of bool, shape (T,)
        Whether surely nobody was there, on every frame.
    subject : ndarray of bool, shape (T,)
        Whether somebody was likely there, on any frame.
    """

    first: Places
    seconds: Row
    empty: Flags
    subject: Flags


def trips_of(timeline: Timeline) -> Trips:
    """Take the trips that can be judged out of the night.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Trips
        Without setup, damaged and dark ones, for nobody can say what was there.
    """
    return _collect(timeline, ~timeline.setup & ~timeline.damaged & ~timeline.dark)


def all_trips(timeline: Timeline) -> Trips:
    """Take every trip outside setup out of the night.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Trips
        With the damaged and dark ones, which are neither empty nor show a subject.
    """
    return _collect(timeline, ~timeline.setup)


def _collect(timeline: Timeline, told: Flags) -> Trips:
    places = np.flatnonzero(told)
    _, first, trip = np.unique(timeline.burst[places], return_index=True, return_inverse=True)
    empty, subject = np.ones(len(first), np.bool_), np.zeros(len(first), np.bool_)
    np.logical_and.at(empty, trip, timeline.empty[places])
    np.logical_or.at(subject, trip, timeline.subject[places])
    starts = places[first]
    return Trips(starts, timeline.seconds[starts], empty, subject)
