"""A camera knocked off its aim: the same place seen in another direction.

A camera that only turns about its lens sees every point along the same ray, so the picture follows from a wider one
by turning the rays; nothing needs to be drawn anew.
"""

from dataclasses import replace

import cv2
import numpy as np

from sample_cards.arrays import Field
from sample_cards.camera import View
from sample_cards.compose import Exposure
from sample_cards.conditions import Conditions
from sample_cards.filters import gather
from sample_cards.scene import Site

MARGIN = 0.17
"""How much wider the scene of such a night is seen on each side, in units of the picture."""


def widened(site: Site, width: int, height: int) -> tuple[Site, int, int]:
    """Return the site with a wider view in the same scale, and its size."""
    more_across, more_down = round(width * MARGIN), round(height * MARGIN)
    wide = width + 2 * more_across
    camera = replace(site.camera, sensor_mm=site.camera.sensor_mm * wide / width)
    return replace(site, camera=camera), wide, height + 2 * more_down


def _turn(conditions: Conditions) -> Field:
    """Rotation from the knocked camera's axes (right, down, forward) to the steady one's."""
    turns = np.radians([conditions.pitch_deg, conditions.yaw_deg, -conditions.roll_deg])
    matrix = np.eye(3)
    for axis in range(3):
        vector = np.zeros(3)
        vector[axis] = turns[axis]
        matrix = matrix @ cv2.Rodrigues(vector)[0]
    return np.asarray(matrix, dtype=np.float32)


def places(wide: View, width: int, height: int, conditions: Conditions) -> tuple[Field, Field]:
    """Return the column and row in the wide view that each pixel of the knocked one comes from."""
    rows, cols = np.mgrid[0:height, 0:width].astype(np.float32)
    rays = np.stack(
        [
            (cols - (width - 1) / 2) / wide.focal_px,
            (rows - (height - 1) / 2) / wide.focal_px,
            np.ones_like(rows),
        ],
        axis=-1,
    )
    turned = rays @ _turn(conditions).T
    ahead = np.maximum(turned[..., 2], 0.05)
    across = turned[..., 0] / ahead * wide.focal_px + (wide.width - 1) / 2
    down = turned[..., 1] / ahead * wide.focal_px + (wide.height - 1) / 2
    return across.astype(np.float32), down.astype(np.float32)


def cut_out(exposure: Exposure, where: tuple[Field, Field]) -> Exposure:
    """Return the part of a wide exposure that the camera sees."""
    shows = [gather(one, *where) for one in exposure.shows]
    result = Exposure(
        gather(exposure.linear, *where),
        gather(exposure.without, *where),
        shows,
        [],
        [],
        exposure.order,
        [],
    )
    scale = exposure.linear.shape[1] / where[0].shape[1]
    result.spread = [way * scale for way in exposure.spread]
    inside = np.zeros(exposure.linear.shape[:2], np.uint8)
    corners = [(0, 0), (0, -1), (-1, -1), (-1, 0)]
    outline = np.array([[where[0][at], where[1][at]] for at in corners])
    cv2.fillPoly(inside, [np.rint(outline).astype(np.int32)], 1)
    for wide, earlier, cut in zip(exposure.shows, exposure.inside, exposure.cut_by, strict=True):
        solid = wide > 0.5
        within = float(solid[inside > 0].sum()) / max(float(solid.sum()), 1.0)
        result.inside.append(earlier * within)
        result.cut_by.append(_borders(solid & (inside == 0), outline) if within else cut)
    return result


def _borders(outside: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], outline: Field) -> tuple[str, ...]:
    """Name the borders beyond which something lies; corners: top left, top right, bottom right, bottom left."""
    rows, cols = np.nonzero(outside)
    names = []
    for name, first, last in (("left", 3, 0), ("top", 0, 1), ("right", 1, 2), ("bottom", 2, 3)):
        edge = outline[last] - outline[first]
        beyond = (cols - outline[first][0]) * edge[1] - (rows - outline[first][1]) * edge[0]
        if (beyond > np.hypot(*edge)).any():
            names.append(name)
    return tuple(names)
