"""What is kept of each night at a site, so that weeks can be looked at together."""

from dataclasses import dataclass
from datetime import datetime

from triage.records.diagnosis import FaultKind, Part
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.records.night import Window
from triage.records.rig import Outlook


@dataclass(frozen=True, slots=True)
class NightEvent:
    """One event of a night.

    Attributes
    ----------
    start, end : datetime
        Camera time of its first and last frame.
    kind : EventKind
        What it is made of.
    frames : int
        How many.
    """

    start: datetime
    end: datetime
    kind: EventKind
    frames: int


@dataclass(frozen=True, slots=True)
class NightFault:
    """One fault of a night, without its sentences.

    Attributes
    ----------
    part : Part
        Which part.
    kind : FaultKind
        How it failed.
    start, end : datetime or None
        Camera time of the first and the last frame that shows it; None as in `Fault`.
    confidence : float
        0 to 1.
    """

    part: Part
    kind: FaultKind
    start: datetime | None
    end: datetime | None
    confidence: float


@dataclass(frozen=True, slots=True)
class NightFlash:
    """What one flash gave in a night.

    Attributes
    ----------
    part : Part
        Which flash; ``flash-link`` for all together where they never showed apart.
    asked, fired : int
        Frames that needed flash and tell about this one, and those of them with light from it.
    given : float
        All the light it gave on them, in units of one healthy fire.
    outlook : Outlook or None
        How its output changed; None where too little tells about it.
    """

    part: Part
    asked: int
    fired: int
    given: float
    outlook: Outlook | None


@dataclass(frozen=True, slots=True)
class SiteNight:
    """One night at a site: a small record of one card.

    Attributes
    ----------
    digest : str
        Identity of the card's contents; the same card again is the same night.
    site : str
        The site's name.
    first, last : datetime
        Camera time of the first and the last frame.
    watched : Window
        When the rig stood and would have shown a visit, in camera time.
    frames : int
        All of them.
    trips, trips_with_subject, trips_empty : int
        As in `RigReview`.
    events : tuple of NightEvent
        In order of time.
    found : tuple of (FindingKind, int)
        How many frames each finding was made of, in the order of the words.
    faults : tuple of NightFault
        The most likely and most harmful first.
    flashes : tuple of NightFlash
        Each flash that a frame tells about.
    keys : tuple of str
        `Frame.key` of every frame, by which the decisions are known.
    has_fresh_cells : bool
        The user said that the flashes had fresh cells when this night began.
    """

    digest: str
    site: str
    first: datetime
    last: datetime
    watched: Window
    frames: int
    trips: int
    trips_with_subject: int
    trips_empty: int
    events: tuple[NightEvent, ...]
    found: tuple[tuple[FindingKind, int], ...]
    faults: tuple[NightFault, ...]
    flashes: tuple[NightFlash, ...]
    keys: tuple[str, ...]
    has_fresh_cells: bool = False
