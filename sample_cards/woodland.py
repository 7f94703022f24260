"""The first site: a path trodden by animals through a beech wood in October. Invented."""

import numpy as np

from sample_cards.arrays import Field, unit, vector
from sample_cards.camera import Camera, View
from sample_cards.filters import blur
from sample_cards.light import Flash, Place
from sample_cards.plantings import bush, scatter, tufts
from sample_cards.scene import Plants, Site
from sample_cards.shapes import Shapes, ferns, join, leaves, paint
from sample_cards.terrain import Buffer, GroundLook, Trunk, backdrop, ground, trunk

LITTER = np.array(
    [
        (0.31, 0.175, 0.08),
        (0.25, 0.135, 0.065),
        (0.38, 0.235, 0.115),
        (0.19, 0.11, 0.06),
        (0.42, 0.30, 0.13),
        (0.29, 0.22, 0.15),
    ],
    dtype=np.float32,
)
"""Linear reflectance of fallen leaves."""

TRUNKS = (
    Trunk(-1.95, 5.7, 0.17, moss=0.5, lean=0.03),
    Trunk(1.72, 6.3, 0.13, (0.15, 0.135, 0.115), 0.25, -0.02),
    Trunk(0.42, 8.4, 0.20, (0.13, 0.115, 0.095), 0.35),
    Trunk(-0.75, 10.2, 0.13),
    Trunk(2.9, 8.9, 0.16, moss=0.4),
    Trunk(-3.5, 9.0, 0.19),
    Trunk(1.35, 12.0, 0.15),
    Trunk(-2.3, 13.5, 0.2),
    Trunk(-4.9, 14.0, 0.2),
    Trunk(4.6, 13.0, 0.22),
    Trunk(0.1, 16.0, 0.16),
    Trunk(2.6, 16.5, 0.2),
    Trunk(-1.4, 18.0, 0.18),
    Trunk(-6.0, 17.0, 0.2),
    Trunk(6.4, 18.0, 0.2),
)


def path_middle(x: Field) -> Field:
    """Return the depth of the middle of the path."""
    middle: Field = (4.25 + 0.10 * x + 0.22 * np.sin(0.8 * x + 0.6)).astype(np.float32)
    return middle


def path_share(x: Field, z: Field) -> Field:
    """Return how much a place belongs to the path, 0 to 1."""
    off = np.abs(z - path_middle(x)) / 0.40
    share: Field = np.clip(1.35 - off**1.6, 0.0, 1.0).astype(np.float32)
    return share


LOOK = GroundLook(
    soil=(0.08, 0.058, 0.04),
    path=(0.15, 0.112, 0.078),
    moss=(0.055, 0.075, 0.022),
    path_share=path_share,
    moss_share=0.28,
)


def _litter(rng: np.random.Generator) -> Shapes:
    """Fallen leaves: thick beside the path, thin on it, hardly any beyond eleven metres."""
    places = scatter(30000, 1.35, 11.0, rng)
    drift = 0.5 + 0.5 * np.sin(2.1 * places[:, 0] + 1.3 * np.sin(1.7 * places[:, 2]))
    bare = path_share(places[:, 0], places[:, 2])
    places = places[rng.random(len(places)) > np.clip(0.92 * bare, 0, 0.90) + 0.25 * (1 - drift)]
    count = len(places)
    places[:, 1] = rng.uniform(0.0, 0.032, count) ** 1.0
    tilt = rng.normal(0, 0.34, (count, 2)).astype(np.float32)
    normals = unit(np.stack([tilt[:, 0], 1 + 0 * tilt[:, 0], tilt[:, 1]], axis=1).astype(np.float32))
    colours = LITTER[rng.choice(len(LITTER), count, p=(0.3, 0.25, 0.18, 0.15, 0.04, 0.08))]
    colours = colours * rng.uniform(0.6, 1.3, (count, 1)) * (0.5 + 16 * places[:, 1:2])
    size = rng.uniform(0.035, 0.085, count).astype(np.float32)
    return leaves(places, size=size, colours=colours.astype(np.float32), normals=normals, rng=rng)


def _lay(buffer: Buffer, view: View, shapes: Shapes) -> None:
    """Lay fallen leaves on the ground, with midribs, curled edges and the dark between them."""
    which = paint(shapes, view)
    covers = which >= 0
    index = np.maximum(which, 0)
    height = np.where(covers, shapes.corners[:, 0, 1][index] + 0.012, 0.0).astype(np.float32)
    points = view.origin + view.grid() * buffer.depth[..., None]
    middle = shapes.corners.mean(axis=1)
    along = unit(shapes.corners[:, 5] - shapes.corners[:, 0])
    across = np.cross(shapes.normals, along).astype(np.float32)
    off = np.einsum("ijk,ijk->ij", points - middle[index], across[index])
    length = np.linalg.norm(shapes.corners[:, 5] - shapes.corners[:, 0], axis=1)[index]
    rib = np.exp(-((off / (0.022 * length)) ** 2))
    albedo = (
        shapes.colours[index]
        * (1 + 0.30 * rib - 0.25 * np.clip(np.abs(off) / (0.25 * length), 0, 1))[..., None]
    )
    bent = shapes.normals[index] + (np.clip(off / (0.25 * length), -1, 1) * 0.35)[..., None] * across[index]
    buffer.albedo = np.where(covers[..., None], albedo, buffer.albedo).astype(np.float32)
    buffer.normals = np.where(covers[..., None], unit(bent.astype(np.float32)), buffer.normals).astype(
        np.float32
    )
    scale = view.width / 1200
    crowded = blur(height, 5 * scale) - height
    dark = np.clip(1.0 - 22.0 * np.maximum(crowded, 0.0), 0.35, 1.0)
    buffer.sky = (np.where(covers, 0.85, buffer.sky) * dark).astype(np.float32)
    buffer.albedo *= (0.35 + 0.65 * dark)[..., None]


def still(view: View, rng: np.random.Generator) -> Buffer:
    """Build what does not move."""
    far = backdrop(view, rng, distance=28.0, foliage=(0.045, 0.050, 0.020), gaps=0.55)
    floor = ground(view, LOOK, rng)
    _lay(floor, view, _litter(rng))
    far.put(np.ones_like(floor.depth), floor)
    for tree in TRUNKS:
        covers, values, window = trunk(view, tree, rng)
        if covers.size:
            part = Buffer(far.albedo[window], far.normals[window], far.depth[window], far.sky[window])
            part.put(covers, values)
    return far


def _fern_bed(middles: list[tuple[float, float]], length: float, rng: np.random.Generator) -> Shapes:
    """Ferns, seven fronds each, some turning brown."""
    roots = np.repeat(np.array([(x, 0.0, z) for x, z in middles], dtype=np.float32), 7, axis=0)
    brown = rng.random((len(roots), 1)) < 0.35
    colours = np.where(brown, vector(0.25, 0.14, 0.05), vector(0.075, 0.125, 0.032)).astype(np.float32)
    size = (length * rng.uniform(0.7, 1.15, len(roots))).astype(np.float32)
    return ferns(roots, length=size, colours=colours, rng=rng)


def plants(rng: np.random.Generator) -> list[Plants]:
    """Grow the plants, far to near."""
    far = [
        bush((x, y, z), r, n, rng)
        for x, y, z, r, n in (
            (-3.0, 0.5, 8.3, 0.8, 900),
            (3.2, 0.4, 8.0, 0.7, 800),
            (-0.6, 0.35, 11.5, 0.9, 700),
            (1.9, 0.5, 12.5, 1.1, 700),
            (-5.2, 0.7, 11.0, 1.2, 900),
            (5.0, 0.7, 11.5, 1.2, 900),
            (0.6, 0.6, 14.0, 1.2, 600),
            (-3.0, 0.8, 15.0, 1.4, 600),
        )
    ]
    behind = _fern_bed(
        [(-1.35, 5.35), (0.95, 5.6), (2.1, 5.5), (-2.6, 6.6), (0.2, 6.6), (-0.5, 7.4), (1.9, 7.3)], 0.62, rng
    )
    edge = scatter(260, 4.75, 8.5, rng, wide=0.46)
    edge = edge[path_share(edge[:, 0], edge[:, 2]) < 0.15]
    front = scatter(120, 2.1, 3.65, rng, wide=0.46)
    front = front[
        (np.sin(3.1 * front[:, 0] + front[:, 2]) > 0.1) & (path_share(front[:, 0], front[:, 2]) < 0.1)
    ]
    close = np.array(
        [(-0.86, 0, 1.75), (-0.80, 0, 1.9), (-0.74, 0, 1.72), (0.82, 0, 1.85), (0.90, 0, 1.95)],
        dtype=np.float32,
    )
    return [
        Plants(join(far), 0.030),
        Plants(behind, 0.022),
        Plants(tufts(edge, 16, rng, tall=(0.06, 0.22)), 0.030),
        Plants(tufts(front, 15, rng, tall=(0.04, 0.15)), 0.030),
        Plants(_fern_bed([(-1.25, 2.75), (1.55, 3.3)], 0.5, rng), 0.022),
        Plants(tufts(close, 18, rng, tall=(0.08, 0.19)), 0.045),
    ]


SITE = Site(
    name="Alder Hollow",
    place=Place(52.4, 9.1, 2.0),
    camera=Camera(),
    flashes=(
        Flash((-2.3, 2.1, 1.5), (-0.1, 0.25, 4.2), 24.0, (1.0, 0.985, 0.955)),
        Flash((2.3, 2.0, 1.4), (0.1, 0.25, 4.2), 24.0, (1.0, 0.97, 0.93)),
    ),
    canopy=0.11,
    still=still,
    plants=plants,
)
"""A woodland path under beeches, one flash high on either side."""
