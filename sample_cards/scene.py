"""A site ready to be photographed: its light worked out once, so that a frame is only a sum.

The still parts and each depth of plants are layers. A layer keeps reflectance, openness to the sky, and how much
light of each flash arrives at full power; a frame multiplies these by its own powers.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from sample_cards.arrays import Field, vector
from sample_cards.camera import Camera, View
from sample_cards.filters import average_down, blur
from sample_cards.light import Flash, Place
from sample_cards.shadows import FlashView, nearest_map, shade
from sample_cards.shapes import Shapes, paint
from sample_cards.terrain import Buffer


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
    cover, depth, sky : ndarray of float32, shape (M, N)
        Share of the pixel covered; forward depth; openness to the sky.
    flashes : list of ndarray of float32, shape (M, N)
        Light of each flash at full power, shadows included.
    top, left : int
        Corner of the layer in the picture.
    sway : ndarray of float32, shape (M, N) or None
        Pixels the wind moves it at wind 1; None for what stands still.
    """

    albedo: Field
    cover: Field
    depth: Field
    sky: Field
    flashes: list[Field]
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
    """

    site: Site
    view: View
    still: Layer
    plants: list[Layer]
    where: list[tuple[Field, Field, Field]] = field(default_factory=list)


def _plant_buffer(plants: Plants, fine: View) -> tuple[Field, Buffer, Field]:
    """Paint plants; return what they cover, their values and their height above the ground."""
    which = paint(plants.shapes, fine)
    covers = which >= 0
    index = np.maximum(which, 0)
    middles = plants.shapes.corners.mean(axis=1)
    depth_of = fine.project(middles)[2]
    normals_of = plants.shapes.normals.copy()
    away = np.einsum("ij,ij->i", normals_of, middles - fine.origin) > 0
    normals_of[away] *= -1.0
    depth = np.where(covers, depth_of[index], np.float32(1e3)).astype(np.float32)
    height = middles[:, 1][index]
    sky = np.clip(0.40 + 0.35 * np.abs(normals_of[:, 1][index]) + 0.35 * np.clip(height, 0, 0.6), 0.1, 1.1)
    albedo = plants.shapes.colours[index]
    return covers.astype(np.float32), Buffer(albedo, normals_of[index], depth, sky.astype(np.float32)), height


def _shrink(values: Field, view: View) -> Field:
    return average_down(values, view.width, view.height)


def _light_layer(buffer: Buffer, covers: Field, fine: View, view: View, lit: list[Field]) -> Layer:
    """Average the fine grid down to the picture's pixels."""
    cover = _shrink(covers, view)
    albedo = _shrink(buffer.albedo * covers[..., None], view)
    safe = np.maximum(cover, 1e-3)
    share = covers
    depth = np.where(cover > 0.02, _shrink(np.minimum(buffer.depth, 60.0) * share, view) / safe, 1e3)
    sky = _shrink(buffer.sky * share, view) / safe
    flashes = [(_shrink(one * share, view) / safe).astype(np.float32) for one in lit]
    return Layer(albedo, cover, depth.astype(np.float32), sky.astype(np.float32), flashes)


def _crop(layer: Layer) -> Layer:
    rows, cols = np.nonzero(layer.cover > 0.004)
    if not len(rows):
        rows = cols = np.array([0, 1])
    margin = 12
    height, width = layer.cover.shape
    top, bottom = max(0, int(rows.min()) - margin), min(height, int(rows.max()) + margin)
    left, right = max(0, int(cols.min()) - margin), min(width, int(cols.max()) + margin)
    cut = (slice(top, bottom), slice(left, right))
    return Layer(
        layer.albedo[cut].copy(), layer.cover[cut].copy(), layer.depth[cut].copy(), layer.sky[cut].copy(),
        [one[cut].copy() for one in layer.flashes], top, left, None if layer.sway is None else layer.sway[cut].copy(),
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
    rays = fine.grid()
    buffers: list[tuple[Field, Buffer]] = []
    still = site.still(fine, rng)
    still.depth = np.minimum(still.depth, 60.0).astype(np.float32)
    buffers.append((np.ones_like(still.depth), still))
    heights: list[Field] = []
    growing = site.plants(rng)
    for plants in growing:
        covers, buffer, height_ = _plant_buffer(plants, fine)
        buffers.append((covers, buffer))
        heights.append(height_)
    lit = _light(site, fine, rays, buffers)
    layers = [
        _light_layer(buffer, covers, fine, view, light)
        for (covers, buffer), light in zip(buffers, lit, strict=True)
    ]
    for layer, plants, height_ in zip(layers[1:], growing, heights, strict=True):
        tall = _shrink(np.clip(height_ / 0.45, 0, 1.8) ** 1.3, view)
        layer.sway = (plants.supple * tall * view.focal_px / np.maximum(layer.depth, 0.3)).astype(np.float32)
        layer.sway = blur(layer.sway, width / 150)
    scene = Scene(site, view, layers[0], [_crop(layer) for layer in layers[1:]])
    half = scene.still.depth[::2, ::2]
    points = view.origin + view.grid()[::2, ::2] * half[..., None]
    scene.where = [FlashView(flash).coordinates(points) for flash in site.flashes]
    return scene


def _light(site: Site, fine: View, rays: Field, buffers: list[tuple[Field, Buffer]]) -> list[list[Field]]:
    """Light of each flash on each buffer, with the shadows they all cast."""
    lit: list[list[Field]] = [[] for _ in buffers]
    points = [(fine.origin + rays * buffer.depth[..., None]).astype(np.float32) for _, buffer in buffers]
    for flash in site.flashes:
        eye = FlashView(flash)
        places = [eye.coordinates(one) for one in points]
        nearest = np.full((1, 1), 0, np.float32)
        maps = []
        for (covers, _), place in zip(buffers, places, strict=True):
            solid = covers > 0.5
            maps.append(nearest_map((place[0][solid], place[1][solid], place[2][solid])))
        nearest = np.minimum.reduce(maps)
        for index, (_, buffer) in enumerate(buffers):
            wrap = 0.10 if index == 0 else 0.35
            light = flash.on(points[index], buffer.normals, wrap=wrap)
            clear = shade(nearest, places[index], bias=0.05 + 0.012 * places[index][2])
            soft = blur(clear, 1.2)
            lit[index].append((light * (0.04 + 0.96 * soft)).astype(np.float32))
    return lit


def flash_colours(site: Site) -> list[Field]:
    """Return each flash's colour."""
    return [vector(*flash.colour) for flash in site.flashes]
