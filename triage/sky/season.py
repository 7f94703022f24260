"""How high the sun stands by the day of the year and the sun's own time: for when the place is not known anyway."""

import numpy as np

from triage.records.arrays import Plane


def height_of_sun(day: Plane, solar_hour: Plane, latitude: float) -> Plane:
    """Give the height of the sun's middle, to about a degree.

    Parameters
    ----------
    day : ndarray of float32, shape (N,)
        Day of the year, 1 to 366.
    solar_hour : ndarray of float32, shape (N,)
        Hours of local mean solar time; 12 is when the sun stands highest, but for the equation of time.
    latitude : float
        Degrees, northern positive.

    Returns
    -------
    ndarray of float32, shape (N,)
        Degrees above the horizon, without refraction.

    References
    ----------
    Declination as in Cooper 1969, Solar Energy 12:333-346 (from memory), within half a degree.
    """
    declination = np.radians(23.45 * np.sin(2.0 * np.pi * (284.0 + day) / 365.0))
    turned = np.radians(15.0 * (solar_hour - 12.0))
    north = np.radians(latitude)
    sine = np.sin(north) * np.sin(declination) + np.cos(north) * np.cos(declination) * np.cos(turned)
    return np.asarray(np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0))), np.float32)
