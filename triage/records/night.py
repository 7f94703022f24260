"""One stretch from leaving the rig to collecting the card."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class SetupSource(StrEnum):
    """Where the setup windows come from."""

    GIVEN = "given"
    WORKED_OUT = "worked out"


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of camera time, both ends included."""

    start: datetime
    end: datetime

    def __contains__(self, moment: datetime) -> bool:
        """Whether a moment lies in the window."""
        return self.start <= moment <= self.end


@dataclass(frozen=True, slots=True)
class SkySpan:
    """A stretch under one kind of sky.

    Attributes
    ----------
    start, end : datetime
        Camera time.
    kind : str
        ``day``, ``civil``, ``nautical``, ``astronomical`` (twilights) or ``night``.
    """

    start: datetime
    end: datetime
    kind: str


@dataclass(frozen=True, slots=True)
class Sky:
    """Sun and moon over a night, in camera time.

    Attributes
    ----------
    sunset, sunrise : datetime or None
        First sunset and last sunrise of the stretch; None where the sun does neither.
    spans : tuple of SkySpan
        The stretch from start to end without gaps.
    moon_lit : float
        Illuminated fraction of the moon in the middle of the night, 0 to 1.
    moon_up : tuple of Window
        When the moon stands above the horizon.
    sun : tuple of (datetime, float)
        How high the sun's centre stands, in degrees, every few minutes of the stretch, in order of time; empty
        where nobody worked it out.
    """

    sunset: datetime | None
    sunrise: datetime | None
    spans: tuple[SkySpan, ...]
    moon_lit: float
    moon_up: tuple[Window, ...]
    sun: tuple[tuple[datetime, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Night:
    """One stretch from leaving the rig to collecting the card.

    Attributes
    ----------
    start, end : datetime
        Camera time of leaving and of collecting, as far as the card shows.
    setup_windows : tuple of Window
        When the operator was at the rig.
    setup_source : SetupSource
        Given by the user, or worked out from the card.
    sky : Sky or None
        None without a place.
    summary : str
        The night in one sentence.
    """

    start: datetime
    end: datetime
    setup_windows: tuple[Window, ...]
    setup_source: SetupSource
    sky: Sky | None
    summary: str
