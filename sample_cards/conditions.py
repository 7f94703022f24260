"""Weather and wear at the moment of an exposure, as plain data."""

from dataclasses import dataclass
from datetime import timedelta


@dataclass(frozen=True, slots=True)
class Conditions:
    """What is in the air, on the glass, and what has been moved; the default is a dry night and a sound rig.

    Attributes
    ----------
    rain, snow, insects : float
        How much is in the air, 0 to 1.
    mist : float
        Mist in the air: share of light lost on ten metres.
    veil : float
        Share of the light that the wet, fogged or frosted glass scatters, 0 to 1.
    frost : bool
        The veil is frost, which grows inwards from the edges; otherwise it is dew.
    drops : float
        Drops of water on the front glass, 0 to 1.
    yaw_deg, pitch_deg, roll_deg : float
        How far the camera was knocked from its aim: to the right, upwards, clockwise.
    focus_m : float or None
        Where the lens is focused now; None for where it was set.
    sun_patches : float
        How strongly the sun breaks through leaves while it is up, 0 to 1.
    clock_error : datetime.timedelta
        What the camera's clock is ahead of the true time.
    """

    rain: float = 0.0
    snow: float = 0.0
    insects: float = 0.0
    mist: float = 0.0
    veil: float = 0.0
    frost: bool = False
    drops: float = 0.0
    yaw_deg: float = 0.0
    pitch_deg: float = 0.0
    roll_deg: float = 0.0
    focus_m: float | None = None
    sun_patches: float = 0.0
    clock_error: timedelta = timedelta(0)

    @property
    def knocked(self) -> bool:
        """Whether the view is off its aim."""
        return bool(self.yaw_deg or self.pitch_deg or self.roll_deg)


SOUND = Conditions()
"""A dry night and a sound rig."""
