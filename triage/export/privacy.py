"""What must not leave for others unless asked for: the exact place of a site, and pictures of people."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_EVEN, Decimal

from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.records.frame import Frame
from triage.records.result import Triage

STEPS_DEG = (1.0, 0.1, 0.01, 0.001)
"""Grids a place may be rounded to, for places of extreme, high, medium and low sensitivity: about 100 km, 10 km, 1 km
and 100 m (Chapman 2020, Current Best Practices for Generalizing Sensitive Species Occurrence Data, GBIF, doi
10.15468/doc-5jp4-5g10, table 7)."""

USUAL_STEP_DEG = 0.1
"""The tool does not know which species comes, so it takes the grid for those of high sensitivity."""

METRES_PER_DEG_LAT = 111_694.0
"""Longest degree of latitude on the WGS84 ellipsoid, at the poles; too long by 1 % at the equator."""
METRES_PER_DEG_LON = 111_320.0
"""A degree of longitude at the equator."""

PEOPLE = frozenset(
    {
        "person",
        "persons",
        "people",
        "human",
        "humans",
        "man",
        "men",
        "woman",
        "women",
        "child",
        "children",
        "kid",
        "kids",
        "boy",
        "girl",
        "family",
        "me",
        "myself",
        "us",
        "operator",
        "photographer",
        "passer-by",
        "passers-by",
        "passerby",
        "walker",
        "walkers",
        "hiker",
        "hikers",
        "runner",
        "jogger",
        "cyclist",
        "rider",
        "hunter",
        "farmer",
        "neighbour",
        "neighbor",
        "ranger",
        "visitor",
        "stranger",
        "somebody",
        "someone",
    }
)
"""Tags by which the photographer says that people are in a frame; chosen here."""


@dataclass(frozen=True, slots=True)
class PublicPlace:
    """A place as it may leave.

    Attributes
    ----------
    lat, lon : str
        Degrees with as many decimals as are meant.
    step_deg : float or None
        The grid it is rounded to; None where it is exact.
    uncertainty_m : int or None
        Radius in metres within which the rig stands, from the rounding alone; None where it is exact, since how
        exact is not known then.
    """

    lat: str
    lon: str
    step_deg: float | None
    uncertainty_m: int | None


def public_place(lat: float, lon: float, step_deg: float | None) -> PublicPlace:
    """Round a place to a decimal grid.

    Parameters
    ----------
    lat, lon : float
        Degrees, north and east positive.
    step_deg : float or None
        One of `STEPS_DEG`; None for the exact place.

    Returns
    -------
    PublicPlace
        The same for every place of one cell: nothing random, so that many cards of one site tell no more than one.
    """
    if step_deg is None:
        return PublicPlace(f"{lat:.6f}", f"{lon:.6f}", None, None)
    grid = Decimal(str(step_deg)) if step_deg < 1 else Decimal(1)
    texts = [str(Decimal(str(value)).quantize(grid, ROUND_HALF_EVEN) + 0) for value in (lat, lon)]
    half = step_deg / 2
    nearest_equator = max(0.0, abs(float(texts[0])) - half)
    reach = math.hypot(
        half * METRES_PER_DEG_LAT, half * METRES_PER_DEG_LON * math.cos(math.radians(nearest_equator))
    )
    return PublicPlace(texts[0], texts[1], step_deg, math.ceil(reach))


def without_place(triage: Triage) -> Triage:
    """Take every place that the camera wrote out of an answer, and the serial number of its body.

    Parameters
    ----------
    triage : Triage
        Worked out for a place that may leave.

    Returns
    -------
    Triage
        The same otherwise.
    """
    frames = tuple(
        replace(frame, capture=replace(frame.capture, lat=None, lon=None, serial=None))
        for frame in triage.frames
    )
    return replace(triage, frames=frames)


def names_people(tags: Sequence[str]) -> bool:
    """Whether one of the tags says that people are in a frame.

    Parameters
    ----------
    tags : sequence of str
        As the photographer wrote them.

    Returns
    -------
    bool
        By `PEOPLE`, whole words, whatever the capitals.
    """
    words = {word.strip(".,;:!?()\"'") for tag in tags for word in tag.casefold().split()}
    return not PEOPLE.isdisjoint(words)


def frames_to_show(
    triage: Triage,
    verdicts: Mapping[str, Verdict],
    tags: Mapping[str, Sequence[str]],
    *,
    with_people: bool,
) -> tuple[tuple[Frame, ...], tuple[Frame, ...]]:
    """Sort the keepers into those whose pictures may leave and those held back.

    Parameters
    ----------
    triage : Triage
        The whole answer.
    verdicts : mapping of str to Verdict
        By `Frame.key`.
    tags : mapping of str to sequence of str
        By `Frame.key`.
    with_people : bool
        The user asked for pictures of people too.

    Returns
    -------
    shown, held : tuple of Frame
        In order of exposure. Only a frame that somebody looked at and kept is ever shown, since the tool cannot tell
        a passer-by from an animal.
    """
    of_people = {index for event in triage.events if event.kind is EventKind.SETUP for index in event.frames}
    of_people |= {judged.index for judged in triage.judgements if judged.has(FindingKind.SETUP)}
    of_people |= {frame.index for frame in triage.frames if names_people(tags.get(frame.key, ()))}
    kept = [frame for frame in triage.frames if verdicts.get(frame.key) is Verdict.KEEP]
    shown = tuple(frame for frame in kept if with_people or frame.index not in of_people)
    return shown, tuple(frame for frame in kept if frame not in shown)
