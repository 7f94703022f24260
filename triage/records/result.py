"""The whole answer for one card, and what was asked."""

from dataclasses import dataclass, field

from triage.records.card import Card
from triage.records.diagnosis import Fault
from triage.records.event import Event
from triage.records.finding import Judgement
from triage.records.frame import Frame
from triage.records.night import Night, Window
from triage.records.rig import RigReview

FARTHEST_M = 100.0
"""From a camera to where animals pass, at most: beyond, no flash reaches."""


@dataclass(frozen=True, slots=True)
class Options:
    """What the user told the tool about the night.

    Attributes
    ----------
    setup : tuple of Window
        Setup windows in camera time; empty to have them worked out.
    lat, lon : float or None
        Place in degrees, north and east positive; None to use what the pictures carry, if anything.
    tz : str or None
        IANA name, or an offset such as ``+01:00``; None to use what the pictures carry, if anything.
    flashes : int or None
        How many flashes the rig has; None to have it worked out.
    site : str or None
        The site's name.
    distance_m : float or None
        From the camera to where the animals pass, in metres; None to use what the pictures carry, if anything.
    """

    setup: tuple[Window, ...] = ()
    lat: float | None = None
    lon: float | None = None
    tz: str | None = None
    flashes: int | None = None
    site: str | None = None
    distance_m: float | None = None


@dataclass(frozen=True, slots=True)
class Triage:
    """The whole answer for one card.

    Attributes
    ----------
    card : Card
        The files.
    frames : tuple of Frame
        In order of exposure; `Frame.index` is the position here.
    night : Night
        The stretch of time.
    judgements : tuple of Judgement
        One for each frame, same order.
    events : tuple of Event
        Every frame belongs to exactly one.
    faults : tuple of Fault
        The most likely and most harmful first.
    review : RigReview
        What went right, beside the faults.
    """

    card: Card
    frames: tuple[Frame, ...]
    night: Night
    judgements: tuple[Judgement, ...]
    events: tuple[Event, ...]
    faults: tuple[Fault, ...]
    review: RigReview = field(default_factory=RigReview)

    def event_of(self) -> dict[int, int]:
        """Map each `Frame.index` to its event's id."""
        return {index: event.id for event in self.events for index in event.frames}
