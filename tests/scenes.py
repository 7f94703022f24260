"""Small synthetic scenes with known truth: one fixed view, its lights, its visitors, what disturbs it.

Everything is added up in linear light and coded as sRGB at the very end, by a formula of its own, so that a test
knows what each frame holds before any measuring. The site and the animals are invented: a bank of random texture,
lit by a flash at each side, and ellipses of another texture.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import cv2
import numpy as np

from triage.measure.alignment import ShiftFinder, fixed_detail
from triage.records.measurement import Box

ROWS, COLS = 160, 240


@dataclass(frozen=True)
class Visitor:
    """A textured ellipse, in fractions of the picture; it may reach beyond the border.

    Attributes
    ----------
    row, col : float
        Its middle.
    high, wide : float
        Half its height and width.
    shade : float
        Its reflectance, 0 (black) to 1, the ground has about 0.25; above 1 it is so near the flash that it burns out.
    seed : int
        Of its coat.
    """

    row: float
    col: float
    high: float = 0.13
    wide: float = 0.11
    shade: float = 0.7
    seed: int = 1


@dataclass(frozen=True)
class Exposure:
    """What happens in one frame.

    Attributes
    ----------
    left, right : float
        Power of each flash, 1 is healthy.
    ambient : float
        Light of the sky, in units of a healthily lit frame's mean.
    visitors : tuple of Visitor
        Who is there.
    sway_px : float
        Typical displacement of the leaves.
    flakes : int
        Number of bright spots in the air.
    veil : float
        Share of contrast lost to fog on the glass, the mean kept.
    blur_px : float
        Gaussian blur of the whole picture.
    shift_px : (float, float)
        The scene moved down and to the right by so much.
    gain : float
        On all light.
    seed : int
        Of everything random in this frame.
    """

    left: float = 1.0
    right: float = 1.0
    ambient: float = 0.0
    visitors: tuple[Visitor, ...] = ()
    sway_px: float = 0.0
    flakes: int = 0
    veil: float = 0.0
    blur_px: float = 0.0
    shift_px: tuple[float, float] = (0.0, 0.0)
    gain: float = 1.0
    seed: int = 0


def texture(rows: int, cols: int, *, seed: int, finest: float = 1.0) -> np.ndarray:
    """Return random texture of many sizes, shape (M, N), mean 0, standard deviation 1."""
    rng = np.random.default_rng(seed)
    total = np.zeros((rows, cols), np.float32)
    for sigma in (finest, 2 * finest, 5 * finest, 12 * finest, 30 * finest):
        layer = cv2.GaussianBlur(rng.standard_normal((rows, cols)).astype(np.float32), (0, 0), sigma)
        total += layer / layer.std()
    return (total - total.mean()) / total.std()


def code(light: np.ndarray) -> np.ndarray:
    """Code linear light, 0 to 1, as sRGB in eight bits (IEC 61966-2-1; inverse of its decoding)."""
    light = np.clip(light, 0.0, 1.0)
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(255.0 * coded), np.uint8)


def ellipse(visitor: Visitor, rows: int = ROWS, cols: int = COLS) -> np.ndarray:
    """Return a visitor's pixels, shape (M, N)."""
    row, col = np.mgrid[0:rows, 0:cols]
    down = ((row + 0.5) / rows - visitor.row) / visitor.high
    across = ((col + 0.5) / cols - visitor.col) / visitor.wide
    return np.asarray(down**2 + across**2 <= 1.0)


def box_of(mask: np.ndarray) -> Box:
    """Return the box around a mask, in fractions of the picture."""
    rows, cols = mask.shape
    in_row, in_col = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    return Box(in_col[0] / cols, in_row[0] / rows, (in_col[-1] + 1) / cols, (in_row[-1] + 1) / rows)


def overlap(one: Box, other: Box) -> float:
    """Return the area two boxes share over the area they cover together."""
    shared = Box(
        max(one.x0, other.x0), max(one.y0, other.y0), min(one.x1, other.x1), min(one.y1, other.y1)
    ).area
    return shared / (one.area + other.area - shared)


def moved(plane: np.ndarray, down: np.ndarray | float, right: np.ndarray | float) -> np.ndarray:
    """Move a plane's content, by sub-pixels where wanted; its border is repeated."""
    rows, cols = plane.shape[:2]
    row, col = np.mgrid[0:rows, 0:cols].astype(np.float32)
    where = [np.asarray(each, np.float32) for each in (col - right, row - down)]
    return cv2.remap(plane, *where, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)


def view_shift(reference: np.ndarray, lightness: np.ndarray) -> tuple[float, float] | None:
    """Return how far a frame's view is shifted against a reference, as the scene finds it; by square-root lightness."""
    return ShiftFinder(fixed_detail(reference)).shift_of(fixed_detail(lightness))


def smooth_field(rows: int, cols: int, *, seed: int, sigma: float = 9.0) -> np.ndarray:
    """Return a smooth random field, shape (M, N), standard deviation 1."""
    rng = np.random.default_rng(seed)
    drawn = cv2.GaussianBlur(rng.standard_normal((rows, cols)).astype(np.float32), (0, 0), sigma)
    return drawn / drawn.std()


@dataclass(frozen=True)
class Site:
    """One fixed view.

    Attributes
    ----------
    ground : ndarray of float32, shape (M, N, 3)
        Reflectance, 0 to 1.
    left, right, sky : ndarray of float32, shape (M, N)
        Light each source throws on the scene at healthy power; falls with the square of the distance for flashes.
    noise : float
        Photon noise: standard deviation at full white.
    """

    ground: np.ndarray
    left: np.ndarray
    right: np.ndarray
    sky: np.ndarray
    noise: float = 0.012

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.left.shape[0], self.left.shape[1]

    def light(self, exposure: Exposure) -> np.ndarray:
        """Return the linear light of a frame before noise, shape (M, N, 3)."""
        rows, cols = self.shape
        surface = self.ground
        if exposure.sway_px:
            down = exposure.sway_px * smooth_field(rows, cols, seed=exposure.seed * 2 + 11)
            right = exposure.sway_px * smooth_field(rows, cols, seed=exposure.seed * 2 + 12)
            surface = moved(surface, down, right)
        for visitor in exposure.visitors:
            coat = visitor.shade * (1 + 0.35 * texture(rows, cols, seed=visitor.seed + 900))
            mask = ellipse(visitor, rows, cols)[..., None]
            surface = np.where(
                mask,
                np.clip(coat, 0.01, max(1.0, visitor.shade))[..., None] * np.array([1.0, 0.9, 0.75]),
                surface,
            )
        lamps = exposure.left * self.left + exposure.right * self.right + exposure.ambient * self.sky
        lit = np.asarray(surface * lamps[..., None], np.float32)
        if any(exposure.shift_px):
            lit = moved(lit, *exposure.shift_px)
        if exposure.blur_px:
            lit = cv2.GaussianBlur(lit, (0, 0), exposure.blur_px)
        if exposure.veil:
            lit = (1 - exposure.veil) * lit + exposure.veil * cv2.GaussianBlur(lit, (0, 0), 20)
        return exposure.gain * lit

    def shoot(self, exposure: Exposure | None = None) -> np.ndarray:
        """Return the picture of a frame, uint8, shape (M, N, 3)."""
        exposure = exposure or Exposure()
        light = self.light(exposure)
        rng = np.random.default_rng(exposure.seed + 5)
        for _ in range(exposure.flakes):
            spot = (int(rng.integers(0, self.shape[1])), int(rng.integers(0, self.shape[0])))
            bright = 0.3 + 0.5 * float(rng.random())
            cv2.circle(light, spot, int(rng.integers(1, 4)), (bright, bright, bright), -1)
        grain = rng.standard_normal(light.shape)
        return code(light + self.noise * np.sqrt(np.maximum(light, 1e-4)) * grain)


@lru_cache(maxsize=8)
def make_site(rows: int = ROWS, cols: int = COLS, *, seed: int = 3) -> Site:
    """Return a site: a bank rising away from the camera, a flash at each side of it."""
    shades = [
        np.exp(0.55 * texture(rows, cols, seed=seed) + 0.15 * texture(rows, cols, seed=seed + 1 + channel))
        for channel in range(3)
    ]
    ground = np.clip(np.stack(shades, axis=2) * np.array([0.20, 0.22, 0.14]), 0.02, 0.9)
    row, col = np.mgrid[0:rows, 0:cols]
    across = 4.0 * ((col + 0.5) / cols - 0.5)
    away = 3.0 + 3.0 * (1 - (row + 0.5) / rows)
    left, right = (1.0 / ((across - place) ** 2 + (away - 1.0) ** 2 + 1.0) for place in (-2.5, 2.5))
    scale = 0.16 / float(((left + right) * ground.mean(axis=2)).mean())
    sky = 0.6 + 0.8 * (1 - (row + 0.5) / rows)
    sky *= 0.16 / float((sky * ground.mean(axis=2)).mean())
    lamps = [np.asarray(each, np.float32) for each in (scale * left, scale * right, sky)]
    return Site(np.asarray(ground, np.float32), *lamps)


@dataclass(frozen=True)
class Shot:
    """A frame of a night with its truth.

    Attributes
    ----------
    picture : ndarray of uint8, shape (M, N, 3)
        As decoded.
    exposure : Exposure
        What was put into it.
    second : float
        When.
    box : Box or None
        Around its one visitor.
    """

    picture: np.ndarray
    exposure: Exposure
    second: float
    box: Box | None


@dataclass(frozen=True)
class Night:
    """Frames of one view, in order."""

    site: Site
    shots: tuple[Shot, ...] = field(default=())

    @property
    def seconds(self) -> np.ndarray:
        """When each frame was taken."""
        return np.array([shot.second for shot in self.shots])

    @property
    def dark(self) -> np.ndarray:
        """Chance of natural darkness: all of it was at night."""
        return np.ones(len(self.shots), np.float32)


def make_night(site: Site, exposures: Sequence[Exposure], *, apart_s: float = 300.0) -> Night:
    """Return a night of such exposures, so far apart in time."""
    shots = []
    for number, exposure in enumerate(exposures):
        box = box_of(ellipse(exposure.visitors[0], *site.shape)) if exposure.visitors else None
        shots.append(Shot(site.shoot(exposure), exposure, number * apart_s, box))
    return Night(site, tuple(shots))
