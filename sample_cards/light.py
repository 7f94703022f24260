"""What lights the scene: the sky by the height of sun and moon, and flashes on stands."""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

import ephem
import numpy as np

from sample_cards.arrays import Field, unit, vector


@dataclass(frozen=True, slots=True)
class Place:
    """Where the site lies; invented, so rounded.

    Attributes
    ----------
    lat, lon : float
        Degrees, north and east positive.
    offset_h : float
        Hours the camera's clock is ahead of UTC.
    """

    lat: float
    lon: float
    offset_h: float


def heights(place: Place, moment: datetime) -> tuple[float, float, float]:
    """Return the altitude of sun and moon in degrees and the moon's lit share, for a time of the camera's clock."""
    observer = ephem.Observer()
    observer.lat, observer.lon = str(place.lat), str(place.lon)
    observer.pressure = 0
    observer.date = moment - timedelta(hours=place.offset_h)
    sun, moon = ephem.Sun(observer), ephem.Moon(observer)
    return math.degrees(float(sun.alt)), math.degrees(float(moon.alt)), float(moon.moon_phase)


# Light on open level ground under a clear sky by height of the sun, as the usual tables of natural
# illumination give it (from memory, to about a quarter): degrees and lux.
_SUN_DEG = (-18.0, -12.0, -9.0, -6.0, -3.0, -0.8, 2.0, 5.0, 10.0, 20.0, 40.0, 60.0)
_SUN_LUX = (0.0007, 0.008, 0.12, 3.4, 60.0, 450.0, 1600.0, 4500.0, 11000.0, 28000.0, 66000.0, 100000.0)


def skylight_lux(sun_deg: float, moon_deg: float, moon_lit: float, cloud: float = 0.0) -> float:
    """Light on open level ground: sun and sky, moon, and the stars' remainder."""
    logs = np.interp(sun_deg, _SUN_DEG, np.log10(_SUN_LUX))
    sun = 10.0 ** float(logs)
    moon = 0.25 * moon_lit**2.2 * max(0.0, math.sin(math.radians(moon_deg)))
    return float((sun + moon) * (1.0 - 0.75 * cloud) + 0.0005)


def skylight_colour(sun_deg: float) -> Field:
    """Colour of the light under a camera set to daylight: warm while the sun is up and low, blue after it."""
    blue = float(np.clip((3.0 - sun_deg) / 8.0, 0.0, 1.0))
    warm, cold = vector(1.06, 1.0, 0.90), vector(0.72, 0.95, 1.42)
    return warm + blue * (cold - warm)


@dataclass(frozen=True, slots=True)
class Flash:
    """A flash on a stand, at full health.

    Attributes
    ----------
    place, aim : tuple of float
        Where it stands and the point it is aimed at, metres.
    strength : float
        Light on a surface square to the beam at 1 m, in units of full scale.
    colour : tuple of float
        Relative to daylight.
    spread_deg : float
        Angle off the axis at which the beam has fallen to a half.
    """

    place: tuple[float, float, float]
    aim: tuple[float, float, float]
    strength: float
    colour: tuple[float, float, float] = (1.0, 0.98, 0.95)
    spread_deg: float = 30.0

    def at(self, points: Field) -> tuple[Field, Field]:
        """Return the light that arrives square to the beam, and the directions towards the flash.

        Falls with the square of the distance and with the angle off the axis.
        """
        towards = vector(*self.place) - points
        squared = np.maximum(np.einsum("...i,...i->...", towards, towards), 0.01)
        towards = unit(towards)
        axis = unit(vector(*self.aim) - vector(*self.place))
        off_axis = np.clip(-(towards @ axis), 0.0, 1.0)
        power = math.log(0.5) / math.log(math.cos(math.radians(self.spread_deg)))
        arriving: Field = np.float32(self.strength) / squared * off_axis ** np.float32(power)
        return arriving, towards

    def on(self, points: Field, normals: Field, *, wrap: float = 0.12) -> Field:
        """Return the light on surfaces, with the cosine of the angle; wrap lets leaves and hair scatter a little."""
        arriving, towards = self.at(points)
        cosine = np.einsum("...i,...i->...", towards, normals)
        lit: Field = (arriving * np.clip(cosine * (1 - wrap) + wrap, 0.0, 1.0)).astype(np.float32)
        return lit
