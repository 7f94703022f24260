"""Leaves, blades and fronds: many small flat shapes in the world, painted far to near."""

from dataclasses import dataclass

import cv2
import numpy as np

from sample_cards.arrays import Field, Whole, unit, vector
from sample_cards.camera import View


@dataclass(slots=True)
class Shapes:
    """Flat shapes.

    Attributes
    ----------
    corners : ndarray of float32, shape (N, K, 3)
        Outlines in the world.
    colours, normals : ndarray of float32, shape (N, 3)
        Linear reflectance; unit normals.
    """

    corners: Field
    colours: Field
    normals: Field

    def __len__(self) -> int:
        """Count them."""
        return len(self.corners)


def join(many: list[Shapes]) -> Shapes:
    """Put shapes with equal numbers of corners together."""
    return Shapes(
        np.concatenate([one.corners for one in many]),
        np.concatenate([one.colours for one in many]),
        np.concatenate([one.normals for one in many]),
    )


LEAF = np.array(
    [(-0.5, 0.0), (-0.36, 0.15), (-0.15, 0.24), (0.1, 0.22), (0.34, 0.11), (0.5, 0.0), (0.34, -0.11), (0.1, -0.22),
     (-0.15, -0.24), (-0.36, -0.15)], dtype=np.float32,
)  # fmt: skip
"""Outline of a leaf of length 1 along x."""


def leaves(places: Field, *, size: Field, colours: Field, normals: Field, rng: np.random.Generator) -> Shapes:
    """Lay leaves of given lengths at places, each turned at random in its own plane and a little uneven."""
    count = len(places)
    turn = rng.uniform(0, 2 * np.pi, count).astype(np.float32)
    helper = np.stack([np.cos(turn), 0 * turn, np.sin(turn)], axis=1)
    along = unit(helper - np.einsum("ij,ij->i", helper, normals)[:, None] * normals)
    across = np.cross(normals, along).astype(np.float32)
    wide = rng.uniform(0.65, 1.35, (count, 1, 1)).astype(np.float32)
    ragged = rng.uniform(0.90, 1.10, (count, len(LEAF), 1)).astype(np.float32)
    outline = LEAF[None] * ragged * size[:, None, None]
    corners = places[:, None] + outline[..., :1] * along[:, None] + outline[..., 1:] * across[:, None] * wide
    curl = (outline[..., 1:] ** 2 / size[:, None, None] * 1.6 - 0.0) * normals[:, None]
    return Shapes((corners + curl).astype(np.float32), colours, normals)


def blades(feet: Field, *, height: Field, width: Field, lean: Field, colours: Field) -> Shapes:
    """Grow blades of grass: narrow, bent over by `lean` (N, 2; across and away)."""
    steps = np.array([0.0, 0.35, 0.7, 1.0], dtype=np.float32)
    spine = feet[:, None].repeat(4, axis=1).copy()
    spine[..., 0] += steps[None] ** 2 * lean[:, None, 0] * height[:, None]
    spine[..., 2] += steps[None] ** 2 * lean[:, None, 1] * height[:, None]
    spine[..., 1] += height[:, None] * (steps - 0.30 * steps**3 * np.linalg.norm(lean, axis=1)[:, None])
    half = (width[:, None] / 2 * np.array([1.0, 0.9, 0.6, 0.08], dtype=np.float32))[..., None] * vector(
        1, 0, 0
    )
    corners = np.concatenate([spine - half, (spine + half)[:, ::-1]], axis=1).astype(np.float32)
    normals = unit(
        np.stack([lean[:, 0] * 0.8, 0.45 + 0 * lean[:, 0], -0.75 + 0 * lean[:, 0]], axis=1).astype(np.float32)
    )
    return Shapes(corners, colours, normals)


def ferns(roots: Field, *, length: Field, colours: Field, rng: np.random.Generator) -> Shapes:
    """Spread fronds from roots: arching ribs with pairs of leaflets that shorten to the tip."""
    count, pairs = len(roots), 17
    heading = rng.uniform(0, 2 * np.pi, count).astype(np.float32)
    out = np.stack([np.cos(heading), 0 * heading, np.sin(heading)], axis=1)
    along = np.linspace(0.14, 1.0, pairs, dtype=np.float32)[None, :, None]
    spread = length[:, None, None]
    rib = roots[:, None] + out[:, None] * along * spread * 0.85
    rib[..., 1:2] += spread * (0.85 * along - 0.62 * along**2)
    side = np.stack([-np.sin(heading), 0 * heading, np.cos(heading)], axis=1)[:, None]
    reach = 0.27 * spread * (1.04 - along) ** 0.8 * np.clip(along * 5, 0.3, 1)
    thick = 0.0095 * spread * (1.25 - along)
    found = []
    for sign in (-1.0, 1.0):
        tip = rib + sign * side * reach + out[:, None] * reach * 0.45 - vector(0, 1, 0) * reach * 0.22
        middle = (rib + tip) / 2
        before, after = middle + out[:, None] * thick, middle - out[:, None] * thick
        corners = np.stack([rib, before, tip, after], axis=2).reshape(count * pairs, 4, 3)
        tone = colours[:, None] * rng.uniform(0.75, 1.25, (count, pairs, 1))
        normal = np.broadcast_to(
            vector(0, 0.9, -0.2) + out[:, None] * 0.5 + side * 0.2 * sign, (count, pairs, 3)
        )
        found.append(
            Shapes(corners.astype(np.float32), tone.reshape(-1, 3).astype(np.float32),
                   unit(normal.reshape(-1, 3).astype(np.float32)))
        )  # fmt: skip
    return join(found)


@dataclass(slots=True)
class Painted:
    """Shapes as the camera sees them, at a finer grid than the picture.

    Attributes
    ----------
    which : ndarray of int32, shape (M, N)
        Index of the shape that covers a pixel, -1 for none.
    order : ndarray of int32
        Shapes far to near.
    """

    which: Whole
    order: Whole


def paint(shapes: Shapes, view: View) -> Whole:
    """Return for each pixel the index of the nearest shape over it, or -1."""
    which = np.full((view.height, view.width), -1, dtype=np.int32)
    if not len(shapes):
        return which
    cols, rows, depths = view.project(shapes.corners)
    middle = depths.mean(axis=1)
    inside = (depths.min(axis=1) > 0.25) & (cols.max(axis=1) > 0) & (cols.min(axis=1) < view.width)
    inside &= (rows.max(axis=1) > 0) & (rows.min(axis=1) < view.height)
    outlines = np.rint(np.stack([cols, rows], axis=-1) * 16).astype(np.int32)
    order = np.argsort(-middle)
    for index in order[inside[order]].tolist():
        cv2.fillPoly(which, [outlines[index]], index, cv2.LINE_8, 4)
    return which
