"""What both faults of the trigger look at: trips of the sensor, and what came of each."""

from dataclasses import dataclass

import numpy as np

from triage.diagnose.timeline import Flags, Places, Row, Timeline


@dataclass(frozen=True, slots=True)
class Trips:
    """Trips of the sensor outside setup that pictures tell about.

    Attributes
    ----------
    first : ndarray of int, shape (T,)
        Position of each trip's first frame.
    seconds : ndarray of float, shape (T,)
        Time of it.
    empty : ndarray of bool, shape (T,)
        Whether surely nobody was there, on every frame.
    """

    first: Places
    seconds: Row
    empty: Flags


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
    first, empty = [], []
    told = ~timeline.setup & ~timeline.damaged & ~timeline.dark
    for burst in np.unique(timeline.burst[told]):
        places = np.flatnonzero((timeline.burst == burst) & told)
        first.append(int(places[0]))
        empty.append(bool(np.all(timeline.empty[places])))
    starts = np.array(first, np.intp)
    return Trips(starts, timeline.seconds[starts], np.array(empty, np.bool_))
