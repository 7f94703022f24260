"""A body standing in the world, seen and lit: colour, coverage and depth for every pixel it may touch."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from sample_cards.arrays import Field, unit, vector
from sample_cards.camera import View
from sample_cards.filters import blur, turned
from sample_cards.solid import Body, Colour, Group, Part, follow
from sample_cards.textures import comb, fractal


@dataclass(frozen=True, slots=True)
class Placed:
    """A body at a place.

    Attributes
    ----------
    body : Body
        What.
    x, z : float
        Where on the ground, metres.
    yaw_deg : float
        Which way it faces: 0 to the right of the picture, 90 away from the camera.
    scale : float
        Size in units of the body's own.
    y : float
        Height above the ground, as of a bird on the wing.
    velocity : tuple of float
        Metres per second to the right and away from the camera.
    """

    body: Body
    x: float
    z: float
    yaw_deg: float = 0.0
    scale: float = 1.0
    y: float = 0.0
    velocity: tuple[float, float] = (0.0, 0.0)

    def turn(self) -> Field:
        """Rotation from the body frame to the world: rows are the body's axes in the world."""
        yaw = np.radians(self.yaw_deg)
        cos, sin = float(np.cos(yaw)), float(np.sin(yaw))
        return np.array([[cos, 0, sin], [0, 1, 0], [sin, 0, -cos]], dtype=np.float32)

    def place(self) -> Field:
        """Return the body's origin in the world."""
        return vector(self.x, self.y, self.z)


@dataclass(slots=True)
class Seen:
    """A body as the camera sees it inside a window of the picture, which may reach beyond the frame.

    Attributes
    ----------
    top, left : int
        The window's corner in the picture; may be negative.
    cover : ndarray of float32, shape (M, N)
        Share of each pixel covered, 0 to 1.
    depth, gloss, shade : ndarray of float32, shape (M, N)
        Forward depth, gloss, and openness to the sky (1 open).
    points, normals, albedo : ndarray of float32, shape (M, N, 3)
        In the world.
    velocity : tuple of float
        Metres per second to the right and away from the camera.
    eyeshine : tuple of float or None
        Colour its eyes shine in.
    """

    top: int
    left: int
    cover: Field
    depth: Field
    gloss: Field
    shade: Field
    points: Field
    normals: Field
    albedo: Field
    velocity: tuple[float, float] = (0.0, 0.0)
    eyeshine: Colour | None = None


Reach = tuple[int, int, int, int]


def _reach(placed: Placed, view: View) -> Reach | None:
    """Rows and columns the body may touch: top, bottom, left, right."""
    turn, place = placed.turn(), placed.place()
    tops, bottoms, lefts, rights = [], [], [], []
    for part in placed.body.parts:
        for end, radius in ((part.a, part.ra), (part.b, part.rb)):
            col, row, depth = view.project(place + placed.scale * (vector(*end)[None] @ turn))
            near = max(float(depth[0]), 0.15)
            pixels = (radius * 1.1 + part.hair) * placed.scale * view.focal_px / near + 3
            tops.append(float(row[0]) - pixels)
            bottoms.append(float(row[0]) + pixels)
            lefts.append(float(col[0]) - pixels)
            rights.append(float(col[0]) + pixels)
    margin = view.width // 2
    top, bottom = max(int(min(tops)), -margin), min(int(max(bottoms)) + 1, view.height + margin)
    left, right = max(int(min(lefts)), -margin), min(int(max(rights)) + 1, view.width + margin)
    if (
        bottom - top < 2
        or right - left < 2
        or right <= 0
        or left >= view.width
        or bottom <= 0
        or top >= view.height
    ):
        return None
    return top, bottom, left, right


def _near_parts(placed: Placed, view: View, reach: Reach) -> Field:
    """Mark the pixels of the window worth following a ray for."""
    turn, place = placed.turn(), placed.place()
    mask = np.zeros((reach[1] - reach[0], reach[3] - reach[2]), dtype=np.uint8)
    for part in placed.body.parts:
        ends = place + placed.scale * (np.array([part.a, part.b], dtype=np.float32) @ turn)
        cols, rows, depths = view.project(ends)
        near = max(float(depths.min()), 0.12)
        wide = (
            (max(part.ra, part.rb) * 1.1 + part.hair + part.blend * 0.35)
            * placed.scale
            * view.focal_px
            / near
        )
        first = (int(cols[0]) - reach[2], int(rows[0]) - reach[0])
        last = (int(cols[1]) - reach[2], int(rows[1]) - reach[0])
        cv2.line(mask, first, last, 1, thickness=max(3, min(int(2 * wide) + 5, 30000)))
    return mask.astype(np.float32)


TILES = 14
"""Across the longer side of a body's window: rays of one tile are followed together, past the parts near it."""


def _wide(part: Part, placed: Placed, view: View, nearest: float) -> float:
    """Return how far from its axis a part can matter in the picture, pixels."""
    radius = max(part.ra, part.rb) * 1.1
    near = max(nearest - radius * placed.scale, 0.12)
    return (radius + part.hair + part.blend) * placed.scale * view.focal_px / near


def _groups(
    placed: Placed, view: View, reach: Reach, rows: NDArray[np.intp], cols: NDArray[np.intp]
) -> list[Group]:
    """Sort the rays of a window into tiles, and name the parts each tile can see."""
    edge = max(24, -(-max(reach[1] - reach[0], reach[3] - reach[2]) // TILES))
    tiles_across = (reach[3] - reach[2]) // edge + 1
    tile = (rows // edge) * tiles_across + cols // edge
    order = np.argsort(tile, kind="stable")
    numbers, starts = np.unique(tile[order], return_index=True)
    middles = np.stack([numbers % tiles_across, numbers // tiles_across], axis=1) * edge + edge / 2
    turn, place = placed.turn(), placed.place()
    near = np.zeros((len(numbers), len(placed.body.parts)), dtype=bool)
    for index, part in enumerate(placed.body.parts):
        ends = place + placed.scale * (np.array([part.a, part.b], dtype=np.float32) @ turn)
        across, down, depths = view.project(ends)
        first = np.array([across[0] - reach[2], down[0] - reach[0]])
        way = np.array([across[1] - across[0], down[1] - down[0]])
        along = np.clip((middles - first) @ way / max(float(way @ way), 1e-6), 0.0, 1.0)
        away = np.hypot(*(middles - first - along[:, None] * way).T)
        near[:, index] = away < _wide(part, placed, view, float(depths.min())) + 0.75 * edge
    rays = np.split(order, starts[1:])
    return [
        (one, tuple(np.flatnonzero(parts).tolist()))
        for one, parts in zip(rays, near, strict=True)
        if parts.any()
    ]


def look(placed: Placed, view: View, rng: np.random.Generator) -> Seen | None:
    """See a body: None when it does not reach the picture."""
    reach = _reach(placed, view)
    if reach is None:
        return None
    top, bottom, left, right = reach
    shape = (bottom - top, right - left)
    chosen = _near_parts(placed, view, reach) > 0
    rows, cols = np.nonzero(chosen)
    rays = view.rays((rows + top).astype(np.float32), (cols + left).astype(np.float32))
    turn = placed.turn()
    origin = ((view.origin - placed.place()) @ turn.T / placed.scale).astype(np.float32)
    groups = _groups(placed, view, reach, rows, cols)
    surface = follow(placed.body, origin, unit(turned(rays, turn.T)), groups, 1.0 / view.focal_px)
    points = placed.place() + placed.scale * turned(surface.points, turn)
    depth = view.project(points)[2]
    fields = _Spread(shape, chosen)
    normals = turned(surface.normals, turn)
    flow = _screen_flow(turned(surface.flow, turn), normals)
    pixel = fields.grow(depth / view.focal_px, 1.0)
    seen = Seen(
        top, left, np.zeros(shape, np.float32), fields.grow(depth, 99.0), fields.grow(surface.gloss, 0.0),
        np.ones(shape, np.float32), fields.grow(points, 0.0), fields.grow(normals, 0.0),
        fields.grow(surface.albedo, 0.0), placed.velocity, placed.body.eyeshine,
    )  # fmt: skip
    hair = fields.grow(surface.hair * placed.scale, 0.0)
    gap = fields.grow(surface.gap * placed.scale, 9.0)
    _dress(seen, placed.body, (gap, hair, pixel), fields.grow(flow, 0.0), rng)
    seen.shade = np.clip(0.55 + 0.45 * seen.normals[..., 1], 0.15, 1.0).astype(np.float32)
    return seen


class _Spread:
    """Puts values of chosen pixels back into a window."""

    def __init__(
        self, shape: tuple[int, int], chosen: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
    ) -> None:
        self._shape, self._chosen = shape, chosen

    def grow(self, values: Field, blank: float) -> Field:
        whole = np.full(self._shape + values.shape[1:], blank, dtype=np.float32)
        whole[self._chosen] = values
        return whole


def _screen_flow(flow: Field, normals: Field) -> Field:
    """Direction of the hair in the picture: along the part, on the surface, a little downwards."""
    lying = flow + vector(0.0, -0.35, 0.0)
    lying = lying - np.einsum("ij,ij->i", lying, normals)[:, None] * normals
    across = np.stack([lying[:, 0], -lying[:, 1], 0 * lying[:, 0]], axis=1).astype(np.float32)
    return unit(across)[:, :2]


def _hair_noise(flow: Field, hair_px: Field, weave: bool, rng: np.random.Generator) -> Field:
    shape = hair_px.shape
    covered = hair_px[hair_px > 0]
    length = float(np.clip(np.median(covered) * 1.6, 2.0, 16.0)) if len(covered) else 2.0
    if weave:
        return fractal(shape, 3.0, rng, octaves=2)
    fine = rng.standard_normal(shape, dtype=np.float32)
    tufts = blur(rng.standard_normal(shape, dtype=np.float32), 1.6) * 3.2
    across, down = np.ascontiguousarray(flow[..., 0]), np.ascontiguousarray(flow[..., 1])
    return 0.85 * comb(fine, across, down, length=length * 0.8) + 0.35 * comb(
        tufts, across, down, length=length * 1.3
    )


def _dress(
    seen: Seen, body: Body, sizes: tuple[Field, Field, Field], flow: Field, rng: np.random.Generator
) -> None:
    """Give the body its coat: frayed outline, hair in the colour and in the normal."""
    gap, hair, pixel = sizes
    hair_px = hair / pixel
    noise = _hair_noise(flow, hair_px, body.weave, rng)
    fringe = np.float32(0.30 if body.weave else 0.42) * hair * np.clip(0.35 + 0.6 * noise, 0.0, 1.6)
    seen.cover = np.clip(0.5 - (gap - fringe) / (1.1 * pixel), 0.0, 1.0).astype(np.float32)
    seen.cover[gap < 0.0013] = 1.0
    weight = np.clip(hair_px / 2.0, 0.15, 1.0) * body.coat * (seen.gloss < 0.2)
    seen.albedo *= np.clip(1 + 0.36 * weight * noise, 0.25, 2.0)[..., None]
    mottle = fractal(noise.shape, max(noise.shape[1] / 6.0, 4.0), rng, octaves=3)
    seen.albedo *= np.clip(1 + 0.10 * body.coat * mottle, 0.5, 1.5)[..., None]
    slope_rows, slope_cols = np.gradient(blur(noise, 0.8))
    bump = (0.45 * weight)[..., None] * np.stack([-slope_cols, slope_rows, np.zeros_like(noise)], axis=-1)
    seen.normals = unit((seen.normals + bump).astype(np.float32))
