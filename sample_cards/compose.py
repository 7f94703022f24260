"""One exposure: the lights of the frame times the layers of the scene, the wind, and whoever is there."""

from dataclasses import dataclass

import numpy as np

from sample_cards.arrays import Field, unit, vector
from sample_cards.camera import vignette
from sample_cards.daylight import Patches
from sample_cards.filters import blur, gather, stretch
from sample_cards.scene import Layer, Scene
from sample_cards.shadows import FlashView, nearest_map, shade
from sample_cards.subject import Placed, Seen, look
from sample_cards.textures import smooth_noise


@dataclass(frozen=True, slots=True)
class Lighting:
    """The light of one exposure.

    Attributes
    ----------
    ambient : ndarray of float32, shape (3,)
        Light of the sky at the site, in units of full scale.
    powers : tuple of float
        Each flash in units of its healthy output.
    patches : Patches or None
        Sun through leaves, on top of the sky's light.
    """

    ambient: Field
    powers: tuple[float, ...]
    patches: Patches | None = None


@dataclass(slots=True)
class Exposure:
    """Linear light of a frame, and the share of each pixel that a subject shows.

    Attributes
    ----------
    linear : ndarray of float32, shape (M, N, 3)
        With the subjects.
    without : ndarray of float32, shape (M, N, 3)
        The same moment without them.
    shows : list of ndarray of float32, shape (M, N)
        For each subject, what is seen of it, 0 to 1.
    inside : list of float
        For each subject, the share of it that lies within the frame.
    cut_by : list of tuple of str
        For each subject, the borders that cut it.
    order : list of int
        Which of the subjects asked for each of these is; far to near, those out of the picture left out.
    """

    linear: Field
    without: Field
    shows: list[Field]
    inside: list[float]
    cut_by: list[tuple[str, ...]]
    order: list[int]


def _light_of(layer: Layer, scene: Scene, lighting: Lighting, shadows: list[Field] | None) -> Field:
    flashes = scene.site.flashes
    light = layer.sky[..., None] * lighting.ambient
    if lighting.patches is not None:
        rays = scene.view.grid()[layer.window()]
        points = scene.view.origin + rays * np.minimum(layer.depth, 60.0)[..., None]
        light = light * lighting.patches.on(points.astype(np.float32))
    for index, (flash, power) in enumerate(zip(flashes, lighting.powers, strict=True)):
        if power > 1e-4:
            own = layer.flashes[index] * np.float32(power)
            if shadows is not None:
                own = own * shadows[index]
            light = light + own[..., None] * vector(*flash.colour)
    lit: Field = (light * layer.albedo).astype(np.float32)
    return lit


def _wave(layer: Layer, wind: float, rng: np.random.Generator) -> tuple[Field, Field] | None:
    """Where each pixel of a swaying layer comes from."""
    if layer.sway is None or wind <= 0:
        return None
    shape = layer.cover.shape
    cell = max(min(shape) / 5.0, 6.0)
    gust = 0.5 * rng.standard_normal() + smooth_noise(shape, cell, rng)
    dip = 0.35 * smooth_noise(shape, cell, rng)
    rows, cols = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    return (cols + wind * layer.sway * gust).astype(np.float32), (rows + wind * layer.sway * dip).astype(
        np.float32
    )


def _subject_shadows(scene: Scene, seen: list[Seen]) -> list[Field] | None:
    """Return what each flash still reaches of the still layer past the subjects, full size."""
    if not seen:
        return None
    found = []
    for flash, where in zip(scene.site.flashes, scene.where, strict=True):
        clear = np.ones(where[0].shape, dtype=np.float32)
        for one in seen:
            points = one.points[one.cover > 0.5]
            if len(points):
                nearest = nearest_map(FlashView(flash).coordinates(points), grow=9)
                clear = np.minimum(clear, shade(nearest, where, bias=0.03))
        size = (scene.view.width, scene.view.height)
        found.append(stretch(blur(clear, 0.9), *size))
    return found


def _light_seen(seen: Seen, scene: Scene, lighting: Lighting) -> Field:
    """Light a body: sky from above, each flash from its side, glints on what is wet."""
    light = seen.shade[..., None] * lighting.ambient
    if lighting.patches is not None:
        light = light * lighting.patches.on(seen.points)
    glints = np.zeros_like(seen.cover)
    towards_lens = unit(scene.view.origin - seen.points)
    covered = seen.cover > 0
    for flash, power in zip(scene.site.flashes, lighting.powers, strict=True):
        if power <= 1e-4:
            continue
        own = flash.on(seen.points, seen.normals, wrap=0.16) * np.float32(power)
        coordinates = FlashView(flash).coordinates(seen.points)
        solid = covered & (seen.cover > 0.5)
        nearest = nearest_map((coordinates[0][solid], coordinates[1][solid], coordinates[2][solid]))
        own = own * (0.06 + 0.94 * blur(shade(nearest, coordinates, bias=0.045), 1.0))
        light = light + own[..., None] * vector(*flash.colour)
        arriving, towards = flash.at(seen.points)
        halfway = unit(towards + towards_lens)
        facing = np.clip(np.einsum("ijk,ijk->ij", halfway, seen.normals), 0, 1)
        glints += np.float32(power) * arriving * (seen.gloss * facing**60 * 2.2 + 0.05 * facing**14)
    lit: Field = (seen.albedo * light + 0.22 * glints[..., None] * (0.1 + seen.gloss[..., None])).astype(
        np.float32
    )
    return lit


def expose(
    scene: Scene, lighting: Lighting, subjects: list[Placed], *, wind: float, rng: np.random.Generator
) -> Exposure:
    """Expose one frame in linear light, before lens and sensor.

    Parameters
    ----------
    scene : Scene
        The site.
    lighting : Lighting
        Sky and flashes at this moment.
    subjects : list of Placed
        Who is there, in any order.
    wind : float
        0 for still air, 1 for a fresh breeze in the leaves.
    rng : numpy.random.Generator
        Random state of this frame.
    """
    looked = [(index, look(subject, scene.view, rng)) for index, subject in enumerate(subjects)]
    found = sorted(
        ((index, one) for index, one in looked if one is not None), key=lambda pair: -_distance(pair[1])
    )
    seen = [one for _, one in found]
    waves = [_wave(layer, wind, rng) for layer in scene.plants]
    shadows = _subject_shadows(scene, seen)
    without = _light_of(scene.still, scene, lighting, None)
    behind = without if shadows is None else _light_of(scene.still, scene, lighting, shadows)
    behind = _ground_contact(behind, scene, seen)
    fronts: list[tuple[Layer, Field, Field]] = []
    for layer, wave in zip(scene.plants, waves, strict=True):
        colour, cover, depth = _light_of(layer, scene, lighting, None), layer.cover, layer.depth
        if wave is not None:
            colour = gather(colour, *wave)
            cover = gather(cover, *wave)
            depth = gather(depth, *wave, nearest=True)
        window = layer.window()
        for base in (without,) if behind is without else (without, behind):
            base[window] = base[window] * (1 - cover[..., None]) + colour
        fronts.append((layer, cover, depth))
    shade_ = vignette(scene.view)[..., None]
    result = Exposure(behind.copy(), without * shade_, [], [], [], [index for index, _ in found])
    for one in seen:
        _add(result, one, scene, lighting, fronts)
    result.linear *= shade_
    return result


def _distance(seen: Seen) -> float:
    """Return the usual depth of a body."""
    solid = seen.depth[seen.cover > 0.5]
    return float(np.median(solid)) if solid.size else 4.0


def _ground_contact(behind: Field, scene: Scene, seen: list[Seen]) -> Field:
    """Darken the ground where a body keeps the sky off it."""
    if not seen:
        return behind
    height, width = behind.shape[:2]
    blocked = np.zeros((height, width), dtype=np.float32)
    for one in seen:
        low = one.cover * np.exp(-np.maximum(one.points[..., 1], 0.0) / 0.10)
        target, source = _overlap(one, height, width)
        blocked[target] = np.maximum(blocked[target], low[source])
    spread = blur(blocked, width / 130)
    darker: Field = (behind * (1 - 0.55 * np.clip(spread * 1.6, 0, 1))[..., None]).astype(np.float32)
    return darker


def _overlap(seen: Seen, height: int, width: int) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
    """Return the part of the picture, and of the body's window, that both share."""
    rows, cols = seen.cover.shape
    top, left = max(seen.top, 0), max(seen.left, 0)
    bottom, right = min(seen.top + rows, height), min(seen.left + cols, width)
    return (slice(top, bottom), slice(left, right)), (
        slice(top - seen.top, bottom - seen.top),
        slice(left - seen.left, right - seen.left),
    )


def _add(
    result: Exposure, seen: Seen, scene: Scene, lighting: Lighting, fronts: list[tuple[Layer, Field, Field]]
) -> None:
    """Put one body into the picture, behind what is nearer."""
    height, width = result.linear.shape[:2]
    target, source = _overlap(seen, height, width)
    colour = _light_seen(seen, scene, lighting)
    cover = seen.cover
    disc_mm = scene.site.camera.blur_mm(_distance(seen))
    sigma = disc_mm / scene.site.camera.sensor_mm * width * 0.42
    if sigma > 0.8:
        premultiplied = blur(colour * cover[..., None], sigma)
        cover = blur(cover, sigma)
        colour = np.asarray(premultiplied / np.maximum(cover, 1e-4)[..., None], dtype=np.float32)
    visible = np.zeros((height, width), dtype=np.float32)
    visible[target] = cover[source]
    depth = np.full((height, width), 1e3, dtype=np.float32)
    depth[target] = seen.depth[source]
    visible *= depth < scene.still.depth + 0.06
    for layer, front_cover, front_depth in fronts:
        window = layer.window()
        visible[window] *= 1 - front_cover * (front_depth < depth[window] - 0.02)
    share = visible[target][..., None]
    result.linear[target] = result.linear[target] * (1 - share) + colour[source] * share
    result.shows = [earlier * (1 - visible) for earlier in result.shows]
    result.shows.append(visible)
    total, within = float(seen.cover.sum()), float(seen.cover[source].sum())
    result.inside.append(within / max(total, 1e-6))
    result.cut_by.append(_cut_by(seen, visible, height, width))


def _cut_by(seen: Seen, visible: Field, height: int, width: int) -> tuple[str, ...]:
    """Return the borders a body reaches across, where something of it shows inside."""
    rows, cols = np.nonzero(seen.cover > 0.5)
    if not len(rows) or not (visible > 0.4).any():
        return ()
    rows, cols = rows + seen.top, cols + seen.left
    reaches = (
        ("left", cols.min() < 0),
        ("top", rows.min() < 0),
        ("right", cols.max() >= width),
        ("bottom", rows.max() >= height),
    )
    return tuple(name for name, cuts in reaches if cuts)
