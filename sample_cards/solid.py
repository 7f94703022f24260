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
    part : ndarray of int32, shape (N,)
        Index of the nearest part.
    """

    points: Field
    normals: Field
    albedo: Field
    flow: Field
    gap: Field
    hair: Field
    gloss: Field
    part: np.ndarray[tuple[int, ...], np.dtype[np.int32]]


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
    """

    parts: tuple[Part, ...]
    paint: Paint = field(default=no_paint)
    coat: float = 0.5
    weave: bool = False

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


def _distance(parts: tuple[Part, ...], points: Field) -> Field:
    """Distance to the joined parts.

    Works on whole columns of x, y and z: rays spend most of their time here, and long plain arrays are
    several times faster than rows of three.
    """
    x, y, z = (np.ascontiguousarray(points[:, axis]) for axis in range(3))
    total = np.full(len(points), 1e3, dtype=np.float32)
    for part in parts:
        across, up, aside = x - part.a[0], y - part.a[1], z - part.a[2]
        if part.flat != 1.0:
            fx, fy, fz = (float(value) for value in unit(vector(*part.flat_axis)))
            push = (across * fx + up * fy + aside * fz) * (1.0 / part.flat - 1.0)
            across, up, aside = across + push * fx, up + push * fy, aside + push * fz
        dx, dy, dz = (part.b[axis] - part.a[axis] for axis in range(3))
        squared = max(dx * dx + dy * dy + dz * dz, 1e-9)
        along = np.clip((across * dx + up * dy + aside * dz) / squared, 0.0, 1.0)
        across -= along * dx
        up -= along * dy
        aside -= along * dz
        distance = np.sqrt(across * across + up * up + aside * aside)
        distance -= part.ra + (part.rb - part.ra) * along
        distance *= min(part.flat, 1.0)
        share = np.clip(0.5 + (total - distance) * (0.5 / part.blend), 0.0, 1.0)
        total += share * (distance - total - part.blend * (1.0 - share))
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


def _describe(body: Body, points: Field, gap: Field) -> Surface:
    """Blend normal, colour, flow, hair and gloss at points on the surface."""
    count = len(points)
    total = np.full(count, 1e3, dtype=np.float32)
    mixed = np.zeros((count, 11), dtype=np.float32)
    nearest = np.full(count, 1e3, dtype=np.float32)
    which = np.zeros(count, dtype=np.int32)
    for index, part in enumerate(body.parts):
        distance, offset, along = _one(part, points)
        share = np.clip(0.5 + 0.5 * (total - distance) / part.blend, 0.0, 1.0)
        total = total * (1 - share) + distance * share - part.blend * share * (1 - share)
        rows = np.flatnonzero(share > 0)
        own = _look_of(part, offset[rows], along[rows])
        mixed[rows] += share[rows, None] * (own - mixed[rows])
        closer = distance < nearest
        nearest[closer], which[closer] = distance[closer], index
    surface = Surface(
        points, unit(mixed[:, :3]), mixed[:, 3:6].copy(), mixed[:, 6:9].copy(), gap,
        mixed[:, 9].copy(), mixed[:, 10].copy(), which,
    )  # fmt: skip
    body.paint(surface)
    return surface


STEPS = 36


def march(body: Body, origin: Field, directions: Field) -> Surface:
    """Follow rays (unit directions) to the body and describe what they meet or pass closest to.

    Parameters
    ----------
    body : Body
        What is looked at.
    origin : ndarray of float32, shape (3,)
        Where the rays start, in the body's frame.
    directions : ndarray of float32, shape (N, 3)
        Unit vectors.

    Returns
    -------
    Surface
        Rows whose `gap` is above their `hair` missed the body.
    """
    middle, radius = body.bounds()
    start = max(float(np.linalg.norm(middle - origin)) - radius, 0.01)
    end = start + 2 * radius
    travelled = np.full(len(directions), start, dtype=np.float32)
    best, gap = travelled.copy(), np.full(len(directions), 1e3, dtype=np.float32)
    active = np.arange(len(directions))
    touching = min(0.0006, radius * 0.004)
    for _ in range(STEPS):
        distance = _distance(body.parts, origin + directions[active] * travelled[active, None])
        closer = distance < gap[active]
        best[active[closer]], gap[active[closer]] = travelled[active[closer]], distance[closer]
        travelled[active] += np.maximum(distance * 0.9, touching)
        active = active[(distance > touching) & (travelled[active] < end)]
        if not len(active):
            break
    return _describe(body, origin + directions * best[:, None], gap)
