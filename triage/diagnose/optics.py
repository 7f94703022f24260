"""Angles and lengths from a lens: where a place in the picture lies in the world.

All formulas are those of a rectilinear lens focused much farther away than its focal length.

References
----------
Ray 2002, Applied Photographic Optics, 3rd edition, "angle of view" (from memory): 2 arctan(d / 2f).
CIPA DC-008 (Exif 2.32), tag FocalLengthIn35mmFilm: the focal length that gives the same angle of view across
the 36 by 24 mm of 35-mm film (from memory).
"""

import math
from dataclasses import dataclass

from triage.records.frame import Capture

_FILM_DIAGONAL_MM = math.hypot(36.0, 24.0)
_TALLEST = 2.2  # a picture so long and narrow was trimmed: its angle of view is not the lens's


@dataclass(frozen=True, slots=True)
class View:
    """Half the picture as seen from the lens.

    Attributes
    ----------
    half_width, half_height : float
        Tangent of half the angle of view across and upright.
    """

    half_width: float
    half_height: float

    @property
    def width_deg(self) -> float:
        """Angle of view across, in degrees."""
        return math.degrees(2.0 * math.atan(self.half_width))

    @property
    def height_deg(self) -> float:
        """Angle of view upright, in degrees."""
        return math.degrees(2.0 * math.atan(self.half_height))


def angle_of_view_deg(size_mm: float, focal_mm: float) -> float:
    """Return the angle that a length on the sensor sees.

    Parameters
    ----------
    size_mm : float
        Width, height or diagonal of the sensor.
    focal_mm : float
        Focal length.

    Returns
    -------
    float
        Degrees.
    """
    return math.degrees(2.0 * math.atan(size_mm / (2.0 * focal_mm)))


def view_of(capture: Capture) -> View | None:
    """Work the view out from what the camera recorded.

    Parameters
    ----------
    capture : Capture
        One exposure.

    Returns
    -------
    View or None
        None without a focal length that can be turned into an angle.
    """
    width, height = capture.width, capture.height
    if not width or not height or max(width, height) > _TALLEST * min(width, height):
        return None
    if capture.sensor_mm is not None and capture.focal_mm:
        across, upright = capture.sensor_mm
        return View(across / (2.0 * capture.focal_mm), upright / (2.0 * capture.focal_mm))
    if capture.focal35_mm:
        # The diagonal is what two shapes of picture have in common.
        half = _FILM_DIAGONAL_MM / (2.0 * capture.focal35_mm)
        diagonal = math.hypot(width, height)
        return View(half * width / diagonal, half * height / diagonal)
    return None


def offset_deg(half: float, place: float) -> float:
    """Return the angle from the middle of the picture to a place in it.

    Parameters
    ----------
    half : float
        `View.half_width` or `View.half_height`.
    place : float
        Fraction of the width (height) from the middle, -0.5 to 0.5; beyond, outside the picture.

    Returns
    -------
    float
        Degrees, of the same sign.
    """
    return math.degrees(math.atan(2.0 * place * half))


def offset_m(half: float, place: float, distance_m: float) -> float:
    """Return how far to the side of the camera's axis a place lies, at a distance along the axis.

    Parameters
    ----------
    half, place : float
        As for `offset_deg`.
    distance_m : float
        Metres.

    Returns
    -------
    float
        Metres, of the same sign.
    """
    return 2.0 * place * half * distance_m


def stops(ratio: float) -> float:
    """Return a ratio of light in stops.

    Parameters
    ----------
    ratio : float
        Above 0.

    Returns
    -------
    float
        Its logarithm to base 2 (APEX, CIPA DC-008 annex C; ANSI PH2.5-1960, from memory).
    """
    return math.log2(ratio)
