"""Bodies made of rounded, smoothly joined parts, seen through the camera.

A body is a signed distance: the smooth union of tapered capsules. Rays march to its surface; the same blend
weights give normal, colour, direction of the hair and gloss.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sample_cards.arrays import Field, unit, vector

Colour = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Part:
    """One tapered capsule.

    Attributes
    ----------
    a, b : tuple of float
        Ends, metres; hair flows from a to b.
    ra, rb : float
        Radii at the ends.
    colour : tuple of float
        Linear reflectance at a.
    colour_b : tuple of float or None
        At b; None for the same.
    belly : tuple of float or None
        Colour of what faces down.
    blend : float
        Width of the smooth join with what was there before.
    hair : float
        Length of the hair, metres; 0 for bare skin.
    flat : float
        Thickness along `flat_axis` in units of the round part's.
    flat_axis : tuple of float
        Axis of flattening.
    gloss : float
        Mirror-like share, as of eyes and wet noses.
    """

    a: tuple[float, float, float]
    b: tuple[float, float, float]
    ra: float
    rb: float
    colour: Colour
    colour_b: Colour | None = None
    belly: Colour | None = None
    blend: float = 0.02
    hair: float = 0.012
    flat: float = 1.0
    flat_axis: tuple[float, float, float] = (0.0, 0.0, 1.0)
    gloss: float = 0.0


@dataclass(slots=True)
class Surface:
    """What was found along the rays; all arrays have one row per ray.

    Attributes
    ----------
    points, normals, albedo, flow : ndarray of float32, shape (N, 3)
        In the body's own frame until placed.
    gap, hair, gloss : ndarray of float32, shape (N,)
        Closest distance of the ray to the surface (negative inside), length of hair, gloss.
    """

    points: Field
    normals: Field
    albedo: Field
    flow: Field
    gap: Field
    hair: Field
    gloss: Field


Paint = Callable[[Surface], None]


def tint(surface: Surface, share: NDArray[np.floating], colour: Colour) -> None:
    """Mix a colour into the albedo, by a share from 0 to 1 for each point."""
    weight = np.clip(share, 0.0, 1.0)[:, None]
    surface.albedo += (weight * (vector(*colour) - surface.albedo)).astype(np.float32)


def ramp(values: NDArray[np.floating], width: float) -> Field:
    """Rise from 0 to 1 over a width about zero: a soft border where values change sign."""
    risen: Field = np.clip(0.5 + values / width, 0.0, 1.0).astype(np.float32)
    return risen


def no_paint(surface: Surface) -> None:
    """Leave the colours of the parts as they are."""


@dataclass(frozen=True, slots=True)
class Body:
    """Parts, markings painted over them, and how the coat looks.

    Attributes
    ----------
    parts : tuple of Part
        Joined in this order.
    paint : callable
        Changes the albedo of a `Surface` in place, in the body's own frame.
    coat : float
        Contrast of the hair, 0 to 1.
    weave : bool
        Cloth rather than hair.
    eyeshine : tuple of float or None
        Colour of the light its eyes send back to where it came from; None where there is no mirror behind them.
    """

    parts: tuple[Part, ...]
    paint: Paint = field(default=no_paint)
    coat: float = 0.5
    weave: bool = False
    eyeshine: Colour | None = None

    def bounds(self) -> tuple[Field, float]:
        """Middle and radius of a sphere around everything."""
        ends = np.array([end for part in self.parts for end in (part.a, part.b)], dtype=np.float32)
        radii = np.array([r + part.hair for part in self.parts for r in (part.ra, part.rb)], dtype=np.float32)
        middle = (ends.min(axis=0) + ends.max(axis=0)) / 2
        return middle, float((np.linalg.norm(ends - middle, axis=1) + radii).max()) + 0.02


def _one(part: Part, points: Field) -> tuple[Field, Field, Field]:
    """Distance to one part, the offset from its axis and the place along it."""
    a = vector(*part.a)
    axis = vector(*part.b) - a
    local = points - a
    if part.flat != 1.0:
        flat_axis = unit(vector(*part.flat_axis))
        local = local + (local @ flat_axis)[:, None] * flat_axis * np.float32(1.0 / part.flat - 1.0)
    along = np.clip(local @ axis / max(float(axis @ axis), 1e-9), 0.0, 1.0).astype(np.float32)
    offset = local - along[:, None] * axis
    length = np.sqrt(np.einsum("ij,ij->i", offset, offset))
    distance = (length - (part.ra + (part.rb - part.ra) * along)) * np.float32(min(part.flat, 1.0))
    return distance, offset, along


class _Joined:
    """Signed distance to some parts of a body, all parts at once for many points.

    For a part from `a` along `v`, flattened along `n`, distances follow from three products of a point with `v`, `a`
    and `n`; these are matrix products, and plain arrays do the rest. Points are taken about the middle of the parts, so
    that single precision suffices.
    """

    def __init__(self, parts: tuple[Part, ...]) -> None:
        self.middle, self.radius = Body(parts).bounds()
        a = np.array([part.a for part in parts]) - self.middle
        way = np.array([part.b for part in parts]) - self.middle - a
        flat = np.array([part.flat for part in parts])
        axis = np.array([part.flat_axis for part in parts])
        axis /= np.linalg.norm(axis, axis=1, keepdims=True)
        push = 1.0 / flat - 1.0
        # Flattening stretches space along its axis: the way of a part is compared with the stretched point.
        stretched = way + (push * (way * axis).sum(axis=1))[:, None] * axis
        self._squared = self._column((way * way).sum(axis=1).clip(1e-9))
        self._ways, self._way_0 = stretched.astype(np.float32), self._column((stretched * a).sum(axis=1))
        self._a, self._a_0 = (-2.0 * a).astype(np.float32), self._column((a * a).sum(axis=1))
        self._axes, self._axes_0 = axis.astype(np.float32), self._column((axis * a).sum(axis=1))
        self._push = self._column((1.0 + push) ** 2 - 1.0) if push.any() else None
        ra, rb = (np.array([getattr(part, name) for part in parts]) for name in ("ra", "rb"))
        self._ra, self._taper = self._column(ra), self._column(rb - ra)
        self._thin = self._column(np.minimum(flat, 1.0))
        self._blends = [np.float32(part.blend) for part in parts]

    @staticmethod
    def _column(values: NDArray[np.float64]) -> Field:
        return values.astype(np.float32)[:, None]

    def __call__(self, points: Field) -> Field:
        """Return the distance of points, given about `middle` with one column each."""
        dot = self._ways @ points - self._way_0
        squared = self._a @ points
        squared += np.einsum("ij,ij->j", points, points) + self._a_0
        if self._push is not None:
            squared += self._push * (self._axes @ points - self._axes_0) ** 2
        along = np.minimum(np.maximum(dot / self._squared, np.float32(0.0)), np.float32(1.0))
        # |local - along way|^2, multiplied out.
        squared += along * (along * self._squared - 2.0 * dot)
        distance = np.sqrt(np.maximum(squared, np.float32(0.0), out=squared), out=squared)
        distance -= self._ra + self._taper * along
        distance *= self._thin
        total: Field = distance[0]
        for one, blend in zip(distance[1:], self._blends[1:], strict=True):
            apart = np.minimum(np.maximum(np.abs(total - one) / blend, 0.0), 1.0)
            total = np.minimum(total, one)
            total -= (0.25 * blend) * (1.0 - apart) ** 2
        return total


def _look_of(part: Part, offset: Field, along: Field) -> Field:
    """Return normal, colour, flow, hair and gloss of one part, eleven columns."""
    look = np.empty((len(offset), 11), dtype=np.float32)
    if part.flat != 1.0:
        flat_axis = unit(vector(*part.flat_axis))
        offset = offset + (offset @ flat_axis)[:, None] * flat_axis * np.float32(1.0 / part.flat - 1.0)
    normal = unit(offset)
    first, last = vector(*part.colour), vector(*(part.colour_b or part.colour))
    colour = first + (last - first) * along[:, None]
    if part.belly is not None:
        under = np.clip(-normal[:, 1:2] * 1.6 - 0.15, 0.0, 1.0)
        colour = colour * (1 - under) + vector(*part.belly) * under
    look[:, :3], look[:, 3:6] = normal, colour
    look[:, 6:9] = unit(vector(*part.b) - vector(*part.a) + vector(1e-6, 0, 0))
    look[:, 9], look[:, 10] = part.hair, part.gloss
    return look


def _described(parts: tuple[Part, ...], points: Field) -> Field:
    """Blend normal, colour, flow, hair and gloss at points on the surface, eleven columns."""
    total = np.full(len(points), 1e3, dtype=np.float32)
    mixed = np.zeros((len(points), 11), dtype=np.float32)
    for part in parts:
        distance, offset, along = _one(part, points)
        share = np.clip(0.5 + 0.5 * (total - distance) / part.blend, 0.0, 1.0)
        total = total * (1 - share) + distance * share - part.blend * share * (1 - share)
        rows = np.flatnonzero(share > 0)
        own = _look_of(part, offset[rows], along[rows])
        mixed[rows] += share[rows, None] * (own - mixed[rows])
    return mixed


STEPS = 36

BLOCK = 12000
"""Rays followed together: few enough to stay in the processor's near memory."""


def _march(parts: tuple[Part, ...], origin: Field, directions: Field) -> tuple[Field, Field]:
    """Follow rays to parts; return how far along each is closest to them, and the gap there (negative inside)."""
    joined = _Joined(parts)
    from_ = (origin - joined.middle).astype(np.float32)[:, None]
    start = max(float(np.linalg.norm(from_)) - joined.radius, 0.01)
    end = start + 2 * joined.radius
    travelled = np.full(len(directions), start, dtype=np.float32)
    best, gap = travelled.copy(), np.full(len(directions), 1e3, dtype=np.float32)
    active = np.arange(len(directions))
    ways, gone = np.ascontiguousarray(directions.T), travelled.copy()
    touching = np.float32(min(0.0006, joined.radius * 0.004))
    for _ in range(STEPS):
        distance = joined(from_ + ways * gone)
        closer = distance < gap[active]
        best[active[closer]], gap[active[closer]] = gone[closer], distance[closer]
        gone += np.maximum(distance * np.float32(0.9), touching)
        on = (distance > touching) & (gone < end)
        if not on.any():
            break
        active, ways, gone = active[on], ways[:, on], gone[on]
    return best, gap


Group = tuple[NDArray[np.intp], tuple[int, ...]]
"""Rays, and the parts of the body that they can come near, by their numbers."""


def follow(body: Body, origin: Field, directions: Field, groups: list[Group], pixel: float) -> Surface:
    """Follow rays (unit directions) to the body and describe what they meet or pass closest to.

    Parameters
    ----------
    body : Body
        What is looked at.
    origin : ndarray of float32, shape (3,)
        Where the rays start, in the body's frame.
    directions : ndarray of float32, shape (N, 3)
        Unit vectors.
    groups : list of tuple
        Every ray once, with the parts it can come near.
    pixel : float
        Angle between neighbouring rays, radians.

    Returns
    -------
    Surface
        Rows whose `gap` is above their `hair` missed the body; those that missed it by far are left blank.
    """
    best, gap = np.zeros(len(directions), np.float32), np.full(len(directions), 1e3, np.float32)
    looks = np.zeros((len(directions), 11), dtype=np.float32)
    for all_rays, numbers in groups:
        parts = tuple(body.parts[number] for number in numbers)
        longest = max(part.hair for part in parts)
        for first in range(0, len(all_rays), BLOCK):
            rays = all_rays[first : first + BLOCK]
            best[rays], gap[rays] = _march(parts, origin, directions[rays])
            near = rays[gap[rays] < 0.75 * longest + 1.5 * pixel * best[rays]]
            if len(near):
                looks[near] = _described(parts, origin + directions[near] * best[near, None])
    surface = Surface(
        origin + directions * best[:, None], unit(looks[:, :3]), looks[:, 3:6].copy(), looks[:, 6:9].copy(), gap,
        looks[:, 9].copy(), looks[:, 10].copy(),
    )  # fmt: skip
    body.paint(surface)
    return surface
