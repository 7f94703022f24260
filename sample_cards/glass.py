"""The front glass and the focus: dew and frost that scatter the light, and a lens that was turned."""

import cv2
import numpy as np

from sample_cards.arrays import Field
from sample_cards.camera import Camera, View
from sample_cards.filters import average_down, blur, stretch
from sample_cards.textures import fractal

SUBJECT_M = 4.2
"""Where the animals pass."""


def veil_map(width: int, height: int, *, frost: bool, seed: int) -> Field:
    """Return how readily each part of the glass mists over, about 1; the same all night."""
    rng = np.random.default_rng((seed, 7))
    rows, cols = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j].astype(np.float32)
    edge = np.sqrt(rows**2 + cols**2)
    cloudy = fractal((height, width), width / 5.0, rng, octaves=4)
    if frost:
        needles = np.abs(fractal((height, width), width / 24.0, rng, octaves=5, fall=0.75))
        grown = 0.55 + 0.75 * edge**2 + 0.22 * cloudy - 0.30 * np.clip(1 - needles, 0, 1)
    else:
        grown = 1.0 + 0.10 * (0.7 - edge) + 0.09 * cloudy
    growth: Field = np.clip(grown, 0.05, 2.2).astype(np.float32)
    return growth


def through_glass(linear: Field, veil: float, growth: Field) -> Field:
    """Return the picture behind glass that scatters a share of the light: nothing is lost, it only goes astray.

    A part of it lands near where it belongs and blurs; the rest spreads over the frame as an even veil.
    """
    if veil <= 0:
        return linear
    height, width = linear.shape[:2]
    share = np.clip(veil * growth, 0.0, 0.97)[..., None]
    near = blur(linear, 1.0 + 4.0 * veil * width / 600)
    small = cv2.resize(linear, (max(width // 8, 8), max(height // 8, 8)), interpolation=cv2.INTER_AREA)
    wide = cv2.resize(
        blur(np.asarray(small, np.float32), width / 64), (width, height), interpolation=cv2.INTER_LINEAR
    )
    even = linear.mean(axis=(0, 1))
    scattered = 0.34 * near + 0.40 * wide + 0.26 * even
    soft = blur(linear, 0.2 + 1.1 * veil * width / 600)
    result: Field = ((1 - share) * soft + share * scattered).astype(np.float32)
    return result


PUPIL_MM, GLASS_MM = 5.0, 35.0
"""Width of the lens's opening at f/5.6, and how far before it the front glass is."""

MOST_DROPS = 26


def wetness(view: View, amount: float, seed: int) -> Field:
    """Return the share of each pixel's light that passes through drops on the front glass.

    The light of a pixel crosses the glass in a patch as wide as the lens's opening, so that a drop, however sharp, is
    seen as a soft blob: the share of that patch which it covers. Drops keep their places all night, and grow.
    """
    step = max(view.width // 220, 1)
    width, height = view.width // step, view.height // step
    per_mm = view.focal_px / GLASS_MM / step
    rng = np.random.default_rng((seed, 11))
    places = rng.random((MOST_DROPS, 2)) * (width, height)
    radii = np.clip(0.95 * np.exp(0.45 * rng.standard_normal(MOST_DROPS)), 0.4, 2.6)
    covered = np.zeros((height, width), dtype=np.float32)
    for number, (place, radius) in enumerate(zip(places, radii, strict=True)):
        size = radius * min(1.0, max(0.0, amount * MOST_DROPS - number)) ** (1 / 3) * per_mm
        if size > 0.3:
            centre = (round(16 * float(place[0])), round(16 * float(place[1])))
            cv2.circle(covered, centre, round(16 * size), 1.0, -1, cv2.LINE_AA, 4)
    opening = _disc(covered, PUPIL_MM * per_mm)
    return np.clip(stretch(opening, view.width, view.height), 0.0, 1.0)


def through_drops(linear: Field, wet: Field) -> Field:
    """Return the picture with a share of its light gone through drops: short lenses, a wide view upside down."""
    height, width = linear.shape[:2]
    small = average_down(linear, max(width // 16, 8), max(height // 16, 8))
    upside_down = stretch(blur(np.ascontiguousarray(small[::-1, ::-1]), 5.0), width, height)
    seen = 0.9 * (0.65 * upside_down + 0.35 * linear.mean(axis=(0, 1)))
    share = wet[..., None]
    result: Field = (linear * (1 - share) + seen * share).astype(np.float32)
    return result


def disc_share(camera: Camera, focus_m: float | None) -> float:
    """Return the blur disc of an animal on the path, in units of the picture's width."""
    if focus_m is None:
        return 0.0
    turned = Camera(focal_mm=camera.focal_mm, f_number=camera.f_number, focus_m=focus_m)
    return turned.blur_mm(SUBJECT_M) / camera.sensor_mm


def out_of_focus(linear: Field, share: float, depth: Field, camera: Camera, focus_m: float) -> Field:
    """Return the picture with the lens focused elsewhere: what is farther from there is softer."""
    width = linear.shape[1]
    turned = Camera(focal_mm=camera.focal_mm, f_number=camera.f_number, focus_m=focus_m)
    distances = np.array([0.8, 1.3, 2.0, 3.0, 4.5, 8.0, 30.0])
    discs = np.array([turned.blur_mm(float(far)) for far in distances]) / camera.sensor_mm * width
    wanted = np.interp(blur(np.minimum(depth, 30.0), 2.0), distances, discs)
    steps = np.linspace(0.0, max(float(discs.max()), share * width), 5)
    stack = [linear if step < 0.8 else _disc(linear, float(step)) for step in steps]
    place = np.clip(wanted / max(steps[1], 1e-6), 0, len(steps) - 1.001)
    below = place.astype(int)
    part = (place - below)[..., None]
    result = np.zeros_like(linear)
    for index in range(len(steps) - 1):
        mixed = stack[index] * (1 - part) + stack[index + 1] * part
        result = np.where((below == index)[..., None], mixed, result)
    return np.asarray(result, dtype=np.float32)


def _disc(linear: Field, diameter: float) -> Field:
    """Spread every point over a disc, as an open lens does."""
    edge = int(np.ceil(diameter)) // 2 * 2 + 3
    rows, cols = np.mgrid[0:edge, 0:edge].astype(np.float32) - edge // 2
    kernel = np.clip(diameter / 2 + 0.5 - np.hypot(rows, cols), 0, 1)
    spread = cv2.filter2D(linear, -1, kernel / kernel.sum(), borderType=cv2.BORDER_REFLECT)
    return np.asarray(spread, dtype=np.float32)


def misty(linear: Field, mist: float, depth: Field) -> Field:
    """Return the picture through mist that takes a share of the light on ten metres and shines with what it takes."""
    if mist <= 0:
        return linear
    through = (1.0 - mist) ** (np.minimum(depth, 40.0) / 10.0)
    lit = linear[depth < 8.0].mean(axis=0) if (depth < 8.0).any() else linear.mean(axis=(0, 1))
    result: Field = (linear * through[..., None] + 0.45 * lit * (1 - through[..., None])).astype(np.float32)
    return result
