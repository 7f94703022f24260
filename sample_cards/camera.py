"""A still camera: where each pixel looks, and how linear light becomes a picture.

The world is measured in metres: x to the right, y up, z away from the camera, the ground near y = 0.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sample_cards.arrays import Bytes8, Field, vector
from sample_cards.filters import blur, stretch


@dataclass(frozen=True, slots=True)
class Camera:
    """A pinhole with a lens in front, set once and left alone.

    Attributes
    ----------
    focal_mm, sensor_mm : float
        Focal length and width of the sensor.
    height_m, pitch_deg : float
        Height of the lens above the ground; tilt, upwards positive.
    f_number, exposure_s, iso, focus_m : float
        The manual settings.
    upright : bool
        Mounted on its side, so that `sensor_mm` is the short one (two thirds of the long one).
    """

    focal_mm: float = 28.0
    sensor_mm: float = 23.5
    height_m: float = 0.62
    pitch_deg: float = -5.5
    f_number: float = 5.6
    exposure_s: float = 1 / 160
    iso: float = 800.0
    focus_m: float = 4.2
    upright: bool = False

    @property
    def full_scale_lux(self) -> float:
        """Light on a white surface that just reaches full scale.

        An incident meter with the usual constant 250 lux s places 18 % grey at 0.18 of full scale
        (ISO 2720, from memory).
        """
        return 250.0 * self.f_number**2 / (self.exposure_s * self.iso)

    @property
    def focal_35mm(self) -> int:
        """Focal length that sees as much on a sensor 36 mm wide."""
        long_side = self.sensor_mm * (1.5 if self.upright else 1.0)
        return round(self.focal_mm * 36.0 / long_side)

    def blur_mm(self, distance_m: float) -> float:
        """Diameter on the sensor of the blur disc of a point at a distance (thin lens)."""
        near = max(distance_m, 0.08) * 1000.0
        focus = self.focus_m * 1000.0
        return (
            self.focal_mm**2 / self.f_number * abs(1.0 / near - 1.0 / focus) / (1.0 - self.focal_mm / focus)
        )


@dataclass(frozen=True, slots=True)
class View:
    """The camera together with a size of picture.

    Attributes
    ----------
    camera : Camera
        The camera.
    width, height : int
        Pixels.
    """

    camera: Camera
    width: int
    height: int

    @property
    def focal_px(self) -> float:
        """Focal length in pixels; also the number of pixels one radian covers in the middle."""
        return self.camera.focal_mm / self.camera.sensor_mm * self.width

    @property
    def origin(self) -> Field:
        """Place of the lens."""
        return vector(0.0, self.camera.height_m, 0.0)

    def axes(self) -> tuple[Field, Field, Field]:
        """Directions to the right, up and forward."""
        pitch = np.radians(self.camera.pitch_deg)
        sin, cos = float(np.sin(pitch)), float(np.cos(pitch))
        return vector(1.0, 0.0, 0.0), vector(0.0, cos, -sin), vector(0.0, sin, cos)

    def rays(self, rows: Field, cols: Field) -> Field:
        """Directions of pixels, scaled so that the forward component is 1."""
        _, up, forward = self.axes()
        down = (rows - np.float32((self.height - 1) / 2)) / np.float32(self.focal_px)
        directions = np.empty((*rows.shape, 3), dtype=np.float32)
        directions[..., 0] = (cols - np.float32((self.width - 1) / 2)) / np.float32(self.focal_px)
        directions[..., 1] = forward[1] - down * up[1]
        directions[..., 2] = forward[2] - down * up[2]
        return directions

    def grid(self) -> Field:
        """Directions of all pixels, shape (height, width, 3)."""
        rows, cols = np.mgrid[0 : self.height, 0 : self.width].astype(np.float32)
        return self.rays(rows, cols)

    def project(self, points: Field) -> tuple[Field, Field, Field]:
        """Column, row and forward depth of points."""
        right, up, forward = self.axes()
        local = points - self.origin
        depth = local @ forward
        safe = np.maximum(depth, 0.05)
        cols = (local @ right) / safe * self.focal_px + (self.width - 1) / 2
        rows = -(local @ up) / safe * self.focal_px + (self.height - 1) / 2
        return cols.astype(np.float32), rows.astype(np.float32), depth.astype(np.float32)


@lru_cache(maxsize=4)
def vignette(view: View) -> Field:
    """Loss of light towards the corners: the cosine-fourth law and a little of the barrel's shade.

    Kept for the next frame: not to be written into.
    """
    rows, cols = np.mgrid[0 : view.height, 0 : view.width].astype(np.float32)
    across = (cols - (view.width - 1) / 2) / view.focal_px
    down = (rows - (view.height - 1) / 2) / view.focal_px
    tangent = across**2 + down**2
    shade: Field = (1.0 / (1.0 + tangent) ** 2 * (1.0 - 0.35 * tangent)).astype(np.float32)
    return shade


ELECTRONS_AT_BASE = 52000.0
"""Full scale at ISO 100 for one pixel of the small picture, electrons."""

READ_NOISE = 9.0
"""Electrons."""


def add_noise(linear: Field, iso: float, rng: np.random.Generator) -> Field:
    """Add photon and read noise; the two chroma parts are smoothed as a camera does."""
    electrons = ELECTRONS_AT_BASE * 100.0 / iso
    deviation = np.maximum(linear, 0.0)
    deviation /= np.float32(electrons)
    deviation += np.float32((READ_NOISE / electrons) ** 2)
    np.sqrt(deviation, out=deviation)
    shape = linear.shape[:2]
    grey = blur(rng.standard_normal(shape, dtype=np.float32), 0.55)
    half = rng.standard_normal((shape[0] // 2 + 1, shape[1] // 2 + 1, 3), dtype=np.float32)
    half -= half @ np.full((3, 1), 1 / 3, np.float32)
    noise = stretch(np.float32(0.45) * half, shape[1], shape[0])
    noise += np.float32(0.82 * 1.6) * grey[..., None]
    noise *= deviation
    noise += linear
    return noise


STEPS = 4096
"""Steps of the tone curve between black and full scale."""

BRIGHTEST = 4.0
"""Linear light beyond which everything is burnt out alike."""


def _code_values() -> Bytes8:
    """Return the 8-bit value by the square root of linear light, so that the dark steps are as fine as the eye's.

    Highlights roll off softly above three quarters of full scale; then sRGB (IEC 61966-2-1) under a mild S-curve.
    """
    light = np.linspace(0.0, BRIGHTEST**0.5, int(STEPS * BRIGHTEST**0.5) + 1) ** 2
    linear = np.where(light > 0.75, 0.75 + 0.25 * np.tanh((light - 0.75) / 0.45), light)
    srgb = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.power(linear, 1 / 2.4) - 0.055)
    curved = srgb - 0.045 * np.sin(2 * np.pi * srgb) * srgb**0.4
    coded: Bytes8 = np.rint(np.clip(curved * 255.0, 0, 255)).astype(np.uint8)
    return coded


_CODES = _code_values()


def develop(linear: Field) -> Bytes8:
    """Turn linear light (1.0 is full scale) into an 8-bit sRGB picture with a camera's tone."""
    index = np.clip(linear, 0.0, BRIGHTEST)
    np.sqrt(index, out=index)
    index *= np.float32(STEPS)
    coded: Bytes8 = _CODES[index.astype(np.uint16)]
    return coded


def lens_blur(linear: Field, width: int) -> Field:
    """Soften as a good lens and the camera's own scaling do."""
    blurred: Field = blur(linear, 0.42 + 0.12 * width / 1200)
    return blurred
