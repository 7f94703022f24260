"""A site ready to be photographed: its light worked out once, so that a frame is only a sum.

The still parts and each depth of plants are layers. A layer keeps reflectance, openness to the sky, and how much
light of each flash arrives at full power; a frame multiplies these by its own powers.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sample_cards.arrays import Field, vector
from sample_cards.camera import Camera, View
from sample_cards.filters import average_down, blur
from sample_cards.light import Flash, Place
from sample_cards.shadows import FlashView, nearest_map, soft_shade
from sample_cards.shapes import Shapes, paint
from sample_cards.terrain import Buffer

HIDES_M = 0.25
"""What stands so much nearer than a plant hides it, metres: plants are only about as far as their middles."""


@dataclass(frozen=True, slots=True)
class Plants:
    """Plants of about one depth, which the wind moves together.

    Attributes
    ----------
    shapes : Shapes
        Leaves and blades.
    supple : float
        How far the wind moves their tips, metres at wind 1.
    """

    shapes: Shapes
    supple: float


@dataclass(frozen=True, slots=True)
class Site:
    """A place where a camera and its flashes stand; all of it invented.

    Attributes
    ----------
    name : str
        Its name.
    place : Place
        Rough position, for the sun.
    camera : Camera
        Settings.
    flashes : tuple of Flash
        Left one first.
    canopy : float
        Share of the open sky's light that reaches the ground.
    still : callable
        From a view and random state to the buffer of what does not move.
    plants : callable
        From random state to plants, far to near.
    """

    name: str
    place: Place
    camera: Camera
    flashes: tuple[Flash, ...]
    canopy: float
    still: Callable[[View, np.random.Generator], Buffer]
    plants: Callable[[np.random.Generator], list[Plants]]


@dataclass(slots=True)
class Layer:
    """One depth of the scene, worked out for all lights.

    Attributes
    ----------
    albedo : ndarray of float32, shape (M, N, 3)
        Linear reflectance, times `cover`.
    cover, depth : ndarray of float32, shape (M, N)
        Share of the pixel covered; forward depth.
    lights : ndarray of float32, shape (M, N, 1 + number of flashes)
        Openness to the sky, then the light of each flash at full power, shadows included.
    top, left : int
        Corner of the layer in the picture.
    sway : ndarray of float32, shape (M, N) or None
        Pixels the wind moves it at wind 1; None for what stands still.
    """

    albedo: Field
    cover: Field
    depth: Field
    lights: Field
    top: int = 0
    left: int = 0
    sway: Field | None = None

    def window(self) -> tuple[slice, slice]:
        """Return the part of the picture this layer is for."""
        height, width = self.cover.shape
        return slice(self.top, self.top + height), slice(self.left, self.left + width)


@dataclass(slots=True)
class Scene:
    """A site at one size of picture.

    Attributes
    ----------
    site : Site
        The site.
    view : View
        Camera and size.
    still : Layer
        What does not move.
    plants : list of Layer
        Far to near.
    where : list of tuple
        For each flash, where the points of the still layer (at half size) lie in the flash's own view.
    levels : ndarray of float32, shape (1 + number of flashes,)
        Mean light that the still layer sends back of the sky and of each flash.
    """

    site: Site
    view: View
    still: Layer
    plants: list[Layer]
    where: list[tuple[Field, Field, Field]] = field(default_factory=list)
    levels: Field = field(default_factory=lambda: vector(0.0))
    _points: dict[int, Field] = field(default_factory=dict)

    def points_of(self, layer: Layer) -> Field:
        """Return where in the world each pixel of a layer is; kept, since only the sun through leaves needs it."""
        found = self._points.get(id(layer))
        if found is None:
            rays = self.view.grid()[layer.window()]
            found = (self.view.origin + rays * np.minimum(layer.depth, 60.0)[..., None]).astype(np.float32)
            self._points[id(layer)] = found
        return found


@dataclass(frozen=True, slots=True)
class _Surfaces:
    """What a layer shows at the pixels of the fine grid that it covers, one row each.

    Attributes
    ----------
    covers : ndarray of bool, shape (M, N)
        Which pixels those are.
    points, normals, albedo : ndarray of float32, shape (K, 3)
        In the world.
    depth, sky : ndarray of float32, shape (K,)
        Forward depth; openness to the sky.
    """

    covers: NDArray[np.bool_]
    points: Field
    normals: Field
    albedo: Field
    depth: Field
    sky: Field

    def spread(self, *columns: Field) -> Field:
        """Put values back into their pixels, one plane each; 0 where nothing is covered."""
        planes = np.zeros((*self.covers.shape, len(columns)), dtype=np.float32)
        for which, values in enumerate(columns):
            planes[..., which][self.covers] = values
        return planes


def _still_surfaces(site: Site, fine: View, rng: np.random.Generator) -> _Surfaces:
    """See what does not move."""
    buffer = site.still(fine, rng)
    depth = np.minimum(buffer.depth, 60.0).astype(np.float32).ravel()
    points = fine.grid().reshape(-1, 3)
    points *= depth[:, None]
    points += fine.origin
    return _Surfaces(
        np.ones(buffer.depth.shape, dtype=bool), points, buffer.normals.reshape(-1, 3), buffer.albedo.reshape(-1, 3),
        depth, buffer.sky.ravel(),
    )  # fmt: skip


def _plant_surfaces(plants: Plants, fine: View, still: Field) -> _Surfaces:
    """See plants before what stands still at a depth: each blade and leaf is as far away as its middle."""
    which = paint(plants.shapes, fine)
    middles = plants.shapes.corners.mean(axis=1)
    depths = fine.project(middles)[2]
    covers = which >= 0
    covers[covers] = depths[which[covers]] < still[covers] + HIDES_M
    index = which[covers]
    normals = plants.shapes.normals.copy()
    away = np.einsum("ij,ij->i", normals, middles - fine.origin) > 0
    normals[away] *= -1.0
    upright = 0.35 * np.abs(normals[:, 1]) + 0.35 * np.clip(middles[:, 1], 0, 0.6)
    sky = np.clip(0.40 + upright, 0.1, 1.1).astype(np.float32)
    depth = depths[index]
    rows, cols = np.nonzero(covers)
    points = fine.rays(rows.astype(np.float32), cols.astype(np.float32))
    points *= depth[:, None]
    points += fine.origin
    return _Surfaces(covers, points, normals[index], plants.shapes.colours[index], depth, sky[index])


def _shrunk(surfaces: _Surfaces, lit: list[Field], view: View) -> Layer:
    """Average the fine grid down to the picture's pixels."""
    ones = np.ones_like(surfaces.depth)
    look = average_down(surfaces.spread(*surfaces.albedo.T, ones), view.width, view.height)
    cover = np.ascontiguousarray(look[..., 3])
    per_cover = 1.0 / np.maximum(cover, 1e-3)
    depth = average_down(surfaces.spread(surfaces.depth), view.width, view.height) * per_cover
    lights = average_down(surfaces.spread(surfaces.sky, *lit), view.width, view.height) * per_cover[..., None]
    far = np.where(cover > 0.02, depth, np.float32(1e3)).astype(np.float32)
    return Layer(np.ascontiguousarray(look[..., :3]), cover, far, lights.astype(np.float32))


def _swaying(layer: Layer, plants: Plants, surfaces: _Surfaces, view: View) -> Field:
    """Return how many pixels a wind of 1 moves each pixel of a layer: the higher above the ground, the more."""
    tall = np.clip(surfaces.points[:, 1] / 0.45, 0, 1.8) ** 1.3
    moved = average_down(surfaces.spread(tall), view.width, view.height)
    sway = plants.supple * moved * view.focal_px / np.maximum(layer.depth, 0.3)
    return blur(sway.astype(np.float32), view.width / 150)


def _crop(layer: Layer) -> Layer:
    rows, cols = np.nonzero(layer.cover > 0.004)
    if not len(rows):
        rows = cols = np.array([0, 1])
    margin = 12
    height, width = layer.cover.shape
    top, bottom = max(0, int(rows.min()) - margin), min(height, int(rows.max()) + margin)
    left, right = max(0, int(cols.min()) - margin), min(width, int(cols.max()) + margin)
    cut = (slice(top, bottom), slice(left, right))
    sway = None if layer.sway is None else layer.sway[cut].copy()
    return Layer(
        layer.albedo[cut].copy(), layer.cover[cut].copy(), layer.depth[cut].copy(), layer.lights[cut].copy(), top, left,
        sway,
    )  # fmt: skip


def build(site: Site, width: int, height: int, rng: np.random.Generator) -> Scene:
    """Work a site out at a size of picture.

    Parameters
    ----------
    site : Site
        The site.
    width, height : int
        Pixels.
    rng : numpy.random.Generator
        Random state of the site: the same state grows the same leaves.
    """
    view = View(site.camera, width, height)
    finer = 2.0 if width <= 1300 else 1.5
    fine = View(site.camera, int(width * finer), int(height * finer))
    still = _still_surfaces(site, fine, rng)
    growing = site.plants(rng)
    before = still.depth.reshape(fine.height, fine.width)
    grown = [_plant_surfaces(plants, fine, before) for plants in growing]
    lit = _light(site, [still, *grown])
    plant_layers = []
    for plants, surfaces, light in zip(growing, grown, lit[1:], strict=True):
        layer = _shrunk(surfaces, light, view)
        layer.sway = _swaying(layer, plants, surfaces, view)
        plant_layers.append(_crop(layer))
    scene = Scene(site, view, _shrunk(still, lit[0], view), plant_layers)
    half = scene.still.depth[::2, ::2]
    points = view.origin + view.grid()[::2, ::2] * half[..., None]
    scene.where = [FlashView(flash).coordinates(points) for flash in site.flashes]
    grey = scene.still.albedo @ vector(0.2126, 0.7152, 0.0722)
    scene.levels = np.asarray((scene.still.lights * grey[..., None]).mean(axis=(0, 1)), dtype=np.float32)
    return scene


def _light(site: Site, layers: list[_Surfaces]) -> list[list[Field]]:
    """Light of each flash on each layer, with the shadows they all cast."""
    lit: list[list[Field]] = [[] for _ in layers]
    for flash in site.flashes:
        eye = FlashView(flash)
        places = [eye.coordinates(layer.points) for layer in layers]
        nearest = np.minimum.reduce([nearest_map(place) for place in places])
        for index, (layer, place) in enumerate(zip(layers, places, strict=True)):
            light = flash.on(layer.points, layer.normals, wrap=0.10 if index == 0 else 0.35)
            clear = soft_shade(nearest, place, bias=np.float32(0.05) + np.float32(0.012) * place[2])
            soft = blur(layer.spread(clear), 1.2)[layer.covers]
            lit[index].append((light * (0.04 + 0.96 * soft)).astype(np.float32))
    return lit
