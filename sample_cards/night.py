"""What happens in a night: exposures, visitors, weather and failures, before anything is drawn."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from sample_cards.conditions import SOUND, Conditions
from sample_cards.metadata import SERIAL
from sample_cards.scene import Site
from sample_cards.subject import Placed


@dataclass(frozen=True, slots=True)
class Guest:
    """Who is in front of the camera.

    Attributes
    ----------
    species : str
        Ordinary name, or ``person``.
    placed : Placed
        The body and where it is.
    """

    species: str
    placed: Placed


@dataclass(frozen=True, slots=True)
class Shot:
    """One exposure.

    Attributes
    ----------
    taken : datetime
        True local time; what the camera's clock said is `clock`.
    guests : tuple of Guest
        Who is there.
    powers : tuple of float
        Each flash in units of its healthy output.
    wind, cloud : float
        0 to 1.
    setup : bool
        The operator is at the rig.
    keeps : float
        Share of the file that reaches the card; below 1 the file is damaged.
    conditions : Conditions
        Weather and wear.
    skips : int
        Numbers the camera used, before this one, for files that are not on the card.
    visit : int or None
        Which visit the frame belongs to; None where the night does not number them.
    smaller : float
        Width and height of the picture in units of the card's usual ones.
    """

    taken: datetime
    guests: tuple[Guest, ...] = ()
    powers: tuple[float, ...] = (1.0, 1.0)
    wind: float = 0.3
    cloud: float = 0.3
    setup: bool = False
    keeps: float = 1.0
    conditions: Conditions = SOUND
    skips: int = 0
    visit: int | None = None
    smaller: float = 1.0

    @property
    def clock(self) -> datetime:
        """What the camera's clock said."""
        return self.taken + self.conditions.clock_error


@dataclass(frozen=True, slots=True)
class TrueFault:
    """What really failed.

    Attributes
    ----------
    component, fault : str
        In the words of the tool's design.
    start : datetime
        First frame that shows it.
    end : datetime or None
        Last one; None for lasting to the end.
    minor : bool
        May be named but need not be.
    """

    component: str
    fault: str
    start: datetime
    end: datetime | None = None
    minor: bool = False


@dataclass(frozen=True, slots=True)
class Night:
    """A night to be rendered.

    Attributes
    ----------
    name : str
        Name on the command line.
    site : Site
        Where.
    size : tuple of int
        Usual width and height.
    quality : int
        Of the JPEG files.
    seed : int
        Usual random state.
    first_exposure : int
        Count of the camera's shutter at the first frame.
    setup_windows : tuple of tuple of datetime
        When the operator was there.
    faults : tuple of TrueFault
        What failed.
    shots : callable
        Returns the exposures, in order.
    auto_exposure : bool
        The camera chooses ISO and time for the light of the sky.
    collected : datetime or None
        When the operator took the card, where the night says so.
    notes : tuple of str
        What is odd about the card without being a fault.
    serial : str
        Of the camera.
    second : Night or None
        What another camera took, mixed in.
    orientation : int
        1 for a camera that stands level; 6 or 8 for one mounted on its side, which stores its pictures lying.
    """

    name: str
    site: Site
    size: tuple[int, int]
    quality: int
    seed: int
    first_exposure: int
    setup_windows: tuple[tuple[datetime, datetime], ...]
    faults: tuple[TrueFault, ...]
    shots: Callable[[], list[Shot]]
    auto_exposure: bool = False
    collected: datetime | None = None
    notes: tuple[str, ...] = ()
    serial: str = SERIAL
    second: "Night | None" = None
    orientation: int = 1
