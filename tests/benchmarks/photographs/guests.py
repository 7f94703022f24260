"""Who comes: outlines of rounds and limbs, with a coat, at a distance, lit by the lamps from their side."""

from dataclasses import dataclass

import cv2
import numpy as np

from tests.benchmarks.photographs.stand import CAMERA_HEIGHT_M, LAMPS, Field, Stand, in_beam, smooth_noise

Round = tuple[float, float, float, float]
"""Middle to the right and up, half width, half height: in heights at the shoulder, looking to the right."""

BODIES: dict[str, tuple[float, tuple[Round, ...], tuple[tuple[float, float, float, float, float], ...]]] = {
    # height in metres, rounds, limbs (from x, y to x, y, half width)
    "low": (
        0.2,
        ((0.0, 0.6, 1.1, 0.36), (1.15, 0.85, 0.3, 0.24), (-0.9, 0.6, 0.5, 0.3)),
        (
            (-0.8, 0.5, -0.9, 0.0, 0.11),
            (-0.5, 0.5, -0.4, 0.0, 0.11),
            (0.6, 0.5, 0.5, 0.0, 0.11),
            (0.8, 0.5, 1.0, 0.0, 0.11),
            (-1.3, 0.6, -2.3, 0.4, 0.14),
        ),
    ),
    "middle": (
        0.42,
        (
            (0.0, 0.75, 0.75, 0.26),
            (0.85, 1.05, 0.24, 0.17),
            (1.1, 0.98, 0.17, 0.08),
            (0.78, 1.27, 0.06, 0.13),
        ),
        (
            (-0.55, 0.7, -0.6, 0.0, 0.08),
            (-0.4, 0.7, -0.3, 0.0, 0.07),
            (0.45, 0.7, 0.4, 0.0, 0.07),
            (0.55, 0.7, 0.7, 0.0, 0.07),
            (-0.7, 0.8, -1.4, 0.45, 0.12),
            (0.5, 0.85, 0.85, 1.05, 0.13),
        ),
    ),
    "tall": (
        1.05,
        ((0.0, 0.82, 0.52, 0.22), (0.72, 1.32, 0.17, 0.1), (0.62, 1.45, 0.04, 0.09)),
        (
            (-0.4, 0.75, -0.42, 0.0, 0.045),
            (-0.32, 0.75, -0.25, 0.0, 0.04),
            (0.35, 0.75, 0.33, 0.0, 0.04),
            (0.42, 0.75, 0.5, 0.0, 0.04),
            (0.4, 0.9, 0.68, 1.3, 0.09),
        ),
    ),
    "round": (0.14, ((0.0, 0.55, 0.85, 0.5), (0.85, 0.4, 0.3, 0.2)), ()),
    "person": (
        1.5,
        ((0.0, 0.75, 0.17, 0.28), (0.0, 1.09, 0.075, 0.095)),
        (
            (-0.08, 0.55, -0.1, 0.0, 0.07),
            (0.08, 0.55, 0.12, 0.0, 0.07),
            (-0.14, 0.9, -0.24, 0.5, 0.05),
            (0.14, 0.9, 0.26, 0.55, 0.05),
        ),
    ),
}


@dataclass(frozen=True, slots=True)
class Guest:
    """Somebody in one frame.

    Attributes
    ----------
    kind : str
        One of `BODIES`.
    x : float
        Middle of the body in widths of the picture from its left border.
    far_m : float
        Distance.
    leftward : bool
        Looks to the left.
    coat : float
        Share of light that comes back.
    coat_seed : int
        Of the pattern of the coat.
    scale : float
        Of the usual size.
    """

    kind: str
    x: float
    far_m: float
    leftward: bool
    coat: float
    coat_seed: int
    scale: float = 1.0


@dataclass(frozen=True, slots=True)
class Shape:
    """A guest as the camera sees it.

    Attributes
    ----------
    shows : array, shape (h, w)
        Share of each pixel, with what stands in front taken off.
    whole : array, shape (h, 2 w)
        Without anything in front, with half a width more on either side.
    coat : array, shape (h, w)
        Share of light that comes back.
    slope : array, shape (h, w)
        How far the body turns to the right, -1 to 1.
    """

    shows: Field
    whole: Field
    coat: Field
    slope: Field


def shape_of(guest: Guest, place: Stand) -> Shape:
    """Draw a guest where it stands."""
    height, width = place.shape
    tall, rounds, limbs = BODIES[guest.kind]
    unit = tall * guest.scale * place.focal_px / guest.far_m
    foot = place.horizon + CAMERA_HEIGHT_M * place.focal_px / guest.far_m
    middle = guest.x * width + width / 2
    turn = -1.0 if guest.leftward else 1.0
    fine = 4
    canvas = np.zeros((height * fine // 2, width * fine), np.uint8)
    to = fine / 2.0

    def at(x: float, y: float) -> tuple[int, int]:
        return round((middle + turn * x * unit) * to), round((foot - y * unit) * to)

    for x, y, half_width, half_height in rounds:
        axes = (max(1, round(half_width * unit * to)), max(1, round(half_height * unit * to)))
        cv2.ellipse(canvas, at(x, y), axes, 0, 0, 360, 255, -1, cv2.LINE_AA)
    for x0, y0, x1, y1, half in limbs:
        cv2.line(canvas, at(x0, y0), at(x1, y1), 255, max(1, round(2 * half * unit * to)), cv2.LINE_AA)
    whole = cv2.resize(canvas, (2 * width, height), interpolation=cv2.INTER_AREA).astype(np.float32) / 255.0
    whole = cv2.GaussianBlur(whole, (0, 0), 0.7)
    inside = np.ascontiguousarray(whole[:, width // 2 : width // 2 + width])
    front = place.far_m < guest.far_m - 0.4
    shows = inside * (1.0 - cv2.GaussianBlur(front.astype(np.float32), (0, 0), 0.7))
    rng = np.random.default_rng(guest.coat_seed)
    pattern = 0.2 * smooth_noise(rng, (height, width), max(3.0, unit / 5)) + 0.12 * smooth_noise(
        rng, (height, width), 3.0
    )
    depth = np.sqrt(cv2.distanceTransform((inside > 0.5).astype(np.uint8), cv2.DIST_L2, 3))
    slope = -cv2.Sobel(cv2.GaussianBlur(depth, (0, 0), 1.5), cv2.CV_32F, 1, 0, ksize=3) / 4.0
    coat = np.clip(guest.coat * np.exp(pattern), 0.02, 0.9)
    return Shape(shows, whole, np.asarray(coat, np.float32), np.clip(slope * 1.5, -1.0, 1.0))


def light_on(guest: Guest, lamp: str, shape: Shape, place: Stand) -> Field:
    """Light of a lamp on the body: by its distance from the lamp and the side it turns to it."""
    away = _where(guest, place) - np.array(LAMPS[lamp])
    distance = max(float(np.linalg.norm(away)), 0.5)
    facing = np.clip(0.65 - 0.5 * away[0] / distance * shape.slope, 0.08, 1.2)
    return np.asarray(facing * in_beam(lamp, away) / distance**2 / place.unit, np.float32)


def _where(guest: Guest, place: Stand) -> Field:
    """Return the middle of the body in metres: to the right, up, ahead."""
    x = (guest.x - 0.5) * place.shape[1] / place.focal_px * guest.far_m
    return np.array([x, 0.3, guest.far_m], np.float32)


def shadow_of(guest: Guest, lamp: str, shape: Shape, place: Stand) -> Field:
    """Share of a lamp's light that the body keeps from what is behind it."""
    height, width = place.shape
    x = float(_where(guest, place)[0])
    lamp_x, lamp_y, lamp_z = LAMPS[lamp]
    if lamp_z > guest.far_m - 0.3:
        return np.zeros((height, width), np.float32)
    behind = np.clip(place.far_m, guest.far_m, guest.far_m * 2.5)
    # Along the ray from the lamp, a point behind is shifted against the body by so much of the picture.
    further = (behind - guest.far_m) / (guest.far_m - lamp_z)
    moved_x = ((x - lamp_x) * further / behind) * place.focal_px
    moved_x += (x / behind - x / guest.far_m) * place.focal_px
    body_y = 0.3 * guest.scale
    moved_y = -((body_y - lamp_y) * further / behind) * place.focal_px * 0.5
    rows, cols = np.mgrid[0:height, 0:width].astype(np.float32)
    seen_from = cv2.remap(
        shape.whole,
        (cols + width // 2 - moved_x).astype(np.float32),
        (rows - moved_y).astype(np.float32),
        cv2.INTER_LINEAR,
    )
    near = (place.far_m > guest.far_m - 0.2) & (place.far_m < guest.far_m * 2.5)
    return np.asarray(cv2.GaussianBlur(seen_from * near, (0, 0), 1.5) * 0.9, np.float32)
