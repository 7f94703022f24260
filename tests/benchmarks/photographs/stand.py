"""A photograph taken for a place where a rig could stand: what it reflects, how far things are, what each lamp gives.

Nothing here is shared with `sample_cards`: distances, lamps and light are put together in another way on purpose, so
that a rule that holds for rendered woods only is found out.
"""

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image
from skimage.segmentation import slic

Field = npt.NDArray[np.float32]

CAMERA_HEIGHT_M = 0.7
FOCAL = 1.15
"""Focal length in widths of the picture."""

FAR_M = 60.0
"""Sky and hills: no lamp reaches there."""

GREY = np.array([0.2126, 0.7152, 0.0722], np.float32)

LAMPS = {
    "flash-left": (-2.2, 1.7, 1.2),
    "flash-right": (2.4, 1.5, 1.6),
    "flash-3": (0.3, 2.6, 5.5),
}
"""Place of each lamp in metres: to the right of the camera, above the ground, ahead."""

AIMED_AT = (0.0, 0.3, 4.2)
WIDTH_OF_BEAM = 0.75
"""Angle in radians at which a lamp gives 0.6 of its middle."""


def smooth_noise(rng: np.random.Generator, shape: tuple[int, int], grain: float) -> Field:
    """Return noise of mean 0 and deviation 1, even over `grain` pixels."""
    small = (max(3, round(shape[0] / grain) + 2), max(3, round(shape[1] / grain) + 2))
    noise = rng.standard_normal(small).astype(np.float32)
    wide = cv2.resize(noise, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray((wide - wide.mean()) / wide.std(), np.float32)


@dataclass(frozen=True, slots=True)
class Stand:
    """One view.

    Attributes
    ----------
    reflects : array, shape (h, w, 3)
        Share of the light that comes back, linear.
    far_m : array, shape (h, w)
        Distance along the view.
    lamps : dict of str to array, shape (h, w)
        Light of each lamp at full output; 1.0 is what all of them give on the subject's path.
    sky : array, shape (h, w)
        How open to the sky a place is.
    sways : array, shape (h, w)
        How far a place can be moved by the wind, 0 to 1.
    horizon : float
        Row of the picture at the height of the camera.
    unit : float
        Light of all lamps on the subject's path, in those of a lamp one metre away.
    """

    reflects: Field
    far_m: Field
    lamps: dict[str, Field]
    sky: Field
    sways: Field
    horizon: float
    unit: float

    @property
    def shape(self) -> tuple[int, int]:
        return self.far_m.shape[0], self.far_m.shape[1]

    @property
    def focal_px(self) -> float:
        return FOCAL * self.shape[1]


def stand(photograph: Path, size: tuple[int, int], lamps: tuple[str, ...], rng: np.random.Generator) -> Stand:
    """Take a photograph for a view, with lamps around it."""
    width, height = size
    with Image.open(photograph) as opened:
        picture = np.asarray(opened.convert("RGB").resize(size, Image.Resampling.LANCZOS), np.float32) / 255.0
    linear = np.where(picture <= 0.04045, picture / 12.92, ((picture + 0.055) / 1.055) ** 2.4)
    lightness = np.asarray(linear @ GREY, np.float32)
    lit = cv2.GaussianBlur(lightness, (0, 0), width / 12.0)
    reflects = linear / (lit[..., None] + 0.02) ** 0.7
    reflects = np.clip(reflects * (0.2 / float(np.median(reflects @ GREY))), 0.015, 0.9).astype(np.float32)
    horizon = float(rng.uniform(0.25, 0.4)) * height
    far_m = _distances(picture, horizon, rng)
    detail = lightness / (lit + 0.02)
    bump = np.asarray(cv2.GaussianBlur(detail, (0, 0), 1.5), np.float32)
    given = {name: _given_by(name, far_m, horizon, bump, rng) for name in lamps}
    path = (far_m > 3.0) & (far_m < 6.0)
    unit = float(np.median(sum(given.values())[path]))
    given = {name: np.asarray(light / unit, np.float32) for name, light in given.items()}
    sky = np.clip(1.0 + 0.2 * smooth_noise(rng, far_m.shape, width / 6), 0.4, None) * (0.7 + 0.3 * bump)
    sways = np.clip(smooth_noise(rng, far_m.shape, width / 8) + 0.3, 0.0, 1.5) * (far_m < FAR_M * 0.7) / 1.5
    return Stand(
        reflects, far_m, given, np.asarray(sky, np.float32), np.asarray(sways, np.float32), horizon, unit
    )


def _distances(picture: Field, horizon: float, rng: np.random.Generator) -> Field:
    """Stand pieces of the photograph on the ground where they begin."""
    height, width = picture.shape[:2]
    rows = np.arange(height, dtype=np.float32)
    ground = CAMERA_HEIGHT_M * FOCAL * width / np.maximum(rows - horizon, 1e-3)
    ground = np.clip(ground, 1.2, FAR_M)
    pieces = slic(picture, n_segments=120, compactness=6.0, start_label=0)
    far_m = np.empty((height, width), np.float32)
    for piece in range(int(pieces.max()) + 1):
        where = pieces == piece
        if not where.any():
            continue
        lowest = int(np.flatnonzero(where.any(axis=1))[-1])
        stands = float(ground[lowest]) if lowest > horizon + 4 else float(rng.uniform(7.0, FAR_M))
        # A flat piece of the ground lies, anything else stands: half of them each.
        lies = lowest > horizon + 4 and rng.random() < 0.6
        far_m[where] = np.broadcast_to(ground[:, None], where.shape)[where] if lies else stands
    return np.asarray(cv2.GaussianBlur(far_m, (0, 0), width / 300), np.float32)


def in_beam(lamp: str, away: Field) -> Field:
    """Share of the light of a lamp's middle at places so many metres away from it, shape (..., 3)."""
    aim = np.subtract(AIMED_AT, LAMPS[lamp]).astype(np.float32)
    cosine = (away @ aim) / (np.linalg.norm(away, axis=-1) * float(np.linalg.norm(aim)) + 1e-6)
    off_axis = np.arccos(np.clip(cosine, -1.0, 1.0))
    return np.asarray(np.exp(-0.5 * (off_axis / WIDTH_OF_BEAM) ** 2), np.float32)


def _given_by(lamp: str, far_m: Field, horizon: float, bump: Field, rng: np.random.Generator) -> Field:
    """Light of a lamp: by distance, beam, the side a surface turns to it, and what stands between."""
    place = LAMPS[lamp]
    height, width = far_m.shape
    focal = FOCAL * width
    rows, cols = np.mgrid[0:height, 0:width].astype(np.float32)
    x = (cols - width / 2) / focal * far_m
    y = CAMERA_HEIGHT_M - (rows - horizon) / focal * far_m
    away = np.stack([x - place[0], y - place[1], far_m - place[2]], axis=-1)
    distance = np.maximum(np.linalg.norm(away, axis=-1), 0.5)
    beam = in_beam(lamp, away)
    across = cv2.Sobel(bump, cv2.CV_32F, 1, 0, ksize=3) / 4.0
    side = np.clip(1.0 - 1.6 * np.sign(place[0]) * across * np.abs(away[..., 0]) / distance, 0.15, 2.0)
    between = 0.25 + 0.75 / (1.0 + np.exp(-4.0 * (smooth_noise(rng, (height, width), width / 14) + 0.9)))
    light = beam * side * between / distance**2
    return np.asarray(cv2.GaussianBlur(light.astype(np.float32), (0, 0), 0.8), np.float32)
