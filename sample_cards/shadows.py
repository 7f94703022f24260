"""Shadows: what a flash cannot see stays dark."""

from dataclasses import dataclass

import numpy as np

from sample_cards.arrays import Field, unit, vector
from sample_cards.filters import gather, lowest_near
from sample_cards.light import Flash

MAP_EDGE = 900
"""Pixels along the edge of a flash's own view."""

MAP_SCALE = 0.36
"""Units of the view's edge for a tangent of 1."""

FAR = np.float32(1e3)


@dataclass(frozen=True, slots=True)
class FlashView:
    """The scene as a flash sees it.

    Attributes
    ----------
    flash : Flash
        The flash.
    """

    flash: Flash

    def coordinates(self, points: Field) -> tuple[Field, Field, Field]:
        """Column, row and distance of points in the flash's view."""
        place = vector(*self.flash.place)
        forward = unit(vector(*self.flash.aim) - place)
        right = unit(np.cross(vector(0, 1, 0), forward).astype(np.float32))
        up = np.cross(forward, right).astype(np.float32)
        local = points - place
        ahead = np.maximum(local @ forward, 0.05)
        scale = np.float32(MAP_SCALE * MAP_EDGE)
        cols = (local @ right) / ahead * scale + MAP_EDGE / 2
        rows = -(local @ up) / ahead * scale + MAP_EDGE / 2
        distance = np.sqrt(np.einsum("...i,...i->...", local, local))
        return cols.astype(np.float32), rows.astype(np.float32), distance.astype(np.float32)


def nearest_map(coordinates: tuple[Field, Field, Field], *, grow: int = 3) -> Field:
    """Map of the nearest distance in each direction of a flash's view; holes up to `grow` pixels are closed."""
    cols, rows, distance = coordinates
    inside = (cols >= 0) & (cols < MAP_EDGE - 1) & (rows >= 0) & (rows < MAP_EDGE - 1)
    nearest = np.full((MAP_EDGE, MAP_EDGE), FAR, dtype=np.float32)
    np.minimum.at(nearest, (rows[inside].astype(np.int32), cols[inside].astype(np.int32)), distance[inside])
    return lowest_near(nearest, grow)


def shade(nearest: Field, coordinates: tuple[Field, Field, Field], *, bias: float | Field) -> Field:
    """Return 1 where the flash's light arrives and 0 where something nearer is in the way."""
    cols, rows, distance = coordinates
    if distance.ndim == 1:
        seen = _looked_up(nearest, rows, cols)
    else:
        seen = gather(nearest, cols, rows, nearest=True, outside=float(FAR))
    open_: Field = (seen > distance - bias).astype(np.float32)
    return open_


def soft_shade(nearest: Field, coordinates: tuple[Field, Field, Field], *, bias: float | Field) -> Field:
    """Return `shade` averaged over the neighbourhood in the flash's view: its map is coarse, and a flash no point."""
    cols, rows, distance = coordinates
    total = np.zeros_like(distance)
    for across, down in ((-0.6, -0.2), (0.2, -0.6), (0.6, 0.2), (-0.2, 0.6)):
        moved = (cols + np.float32(across), rows + np.float32(down), distance)
        total += shade(nearest, moved, bias=bias)
    return total / np.float32(4.0)


def _looked_up(nearest: Field, rows: Field, cols: Field) -> Field:
    """Look single places up, too many in a row for a picture operation."""
    row, col = np.rint(rows), np.rint(cols)
    inside = (row >= 0) & (row < MAP_EDGE) & (col >= 0) & (col < MAP_EDGE)
    seen = np.full(rows.shape, FAR, dtype=np.float32)
    seen[inside] = nearest[row[inside].astype(np.int32), col[inside].astype(np.int32)]
    return seen
