"""One exposure: the lights of the frame times the layers of the scene, the wind, and whoever is there.

Where somebody is, only the part of the picture they change is worked out a second time.
"""

from dataclasses import dataclass

import numpy as np

from sample_cards.arrays import Field
from sample_cards.bodies import contact_of, distance_of, flashes_on, overlap, shadows_of, sky_on
from sample_cards.camera import vignette
from sample_cards.filters import blur, dragged, gather
from sample_cards.lighting import Cut, Lighting, light_of
from sample_cards.scene import Layer, Scene
from sample_cards.subject import Placed, Seen, look
from sample_cards.textures import smooth_noise

MOVES_PX = 0.6
"""Way during the exposure, in pixels, below which a body is as good as still."""

DARK = 1e-3
"""Light of the sky, in units of full scale, that leaves nothing in the picture."""


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
    spread : list of float
        For each subject, how far a point of it is spread in the picture, in units of its width: by moving while the
        shutter is open, or by its distance from where the lens is focused.
    """

    linear: Field
    without: Field
    shows: list[Field]
    inside: list[float]
    cut_by: list[tuple[str, ...]]
    order: list[int]
    spread: list[float]


@dataclass(frozen=True, slots=True)
class _Front:
    """A layer of plants as the wind holds it at this moment."""

    layer: Layer
    wave: tuple[Field, Field] | None
    colour: Field
    cover: Field
    depth: Field

    def part(self, cut: Cut) -> tuple[Cut, Cut] | None:
        """Return where a part of the picture meets the layer: places in that part, and places in the layer."""
        rows, cols = self.layer.cover.shape
        top, bottom = max(cut[0].start, self.layer.top), min(cut[0].stop, self.layer.top + rows)
        left, right = max(cut[1].start, self.layer.left), min(cut[1].stop, self.layer.left + cols)
        if top >= bottom or left >= right:
            return None
        return tuple(
            (slice(top - row, bottom - row), slice(left - col, right - col))
            for row, col in ((cut[0].start, cut[1].start), (self.layer.top, self.layer.left))
        )  # type: ignore[return-value]


def _wave(layer: Layer, wind: float, rng: np.random.Generator) -> tuple[Field, Field] | None:
    """Where each pixel of a swaying layer comes from."""
    if layer.sway is None or wind <= 0:
        return None
    shape = layer.cover.shape
    cell = max(min(shape) / 5.0, 6.0)
    gust = np.float32(0.5 * rng.standard_normal()) + smooth_noise(shape, cell, rng)
    dip = smooth_noise(shape, cell, rng)
    sway = layer.sway * np.float32(wind)
    gust *= sway
    gust += np.arange(shape[1], dtype=np.float32)
    dip *= np.float32(0.35) * sway
    dip += np.arange(shape[0], dtype=np.float32)[:, None]
    return gust, dip


def _front(layer: Layer, scene: Scene, lighting: Lighting, wave: tuple[Field, Field] | None) -> _Front:
    """Light a layer of plants and let the wind hold it."""
    colour = light_of(layer, scene, lighting)
    if wave is None:
        return _Front(layer, wave, colour, layer.cover, layer.depth)
    return _Front(
        layer, wave, gather(colour, *wave), gather(layer.cover, *wave), gather(layer.depth, *wave, nearest=True)
    )  # fmt: skip


def _grown_over(base: Field, fronts: list[_Front], cut: Cut) -> None:
    """Let plants cover a part of the picture."""
    for front in fronts:
        part = front.part(cut)
        if part is not None:
            here, there = part
            covered = base[here]
            covered *= 1 - front.cover[there][..., None]
            covered += front.colour[there]


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
        ((index, one) for index, one in looked if one is not None), key=lambda pair: -distance_of(pair[1])
    )
    waves = [_wave(layer, wind, rng) for layer in scene.plants]
    fronts = [_front(layer, scene, lighting, wave) for layer, wave in zip(scene.plants, waves, strict=True)]
    whole = (slice(0, scene.view.height), slice(0, scene.view.width))
    without = light_of(scene.still, scene, lighting)
    _grown_over(without, fronts, whole)
    without *= vignette(scene.view)[..., None]
    result = Exposure(without, without, [], [], [], [index for index, _ in found], [])
    if found:
        result.linear = without.copy()
        _put_in(result, [one for _, one in found], scene, lighting, fronts)
    return result


def _put_in(
    result: Exposure, seen: list[Seen], scene: Scene, lighting: Lighting, fronts: list[_Front]
) -> None:
    """Work the part of the picture that the bodies change out again, with them in it."""
    shadows, contact = shadows_of(scene, seen), contact_of(scene, seen)
    ways = [_way(one, scene, lighting) for one in seen]
    cut = _changed(shadows, contact, seen, ways)
    flash = light_of(scene.still, scene, lighting, cut=cut, shadows=shadows[cut])
    flash *= contact[cut][..., None]
    _grown_over(flash, fronts, cut)
    # What moves smears the light of the sky and not that of the flashes, so the two are kept apart.
    sky = np.zeros_like(flash)
    if any(_moves(way) for way in ways):
        dusk = lighting.without_flashes()
        sky = light_of(scene.still, scene, dusk, cut=cut) * contact[cut][..., None]
        _grown_over(sky, [_front(front.layer, scene, dusk, front.wave) for front in fronts], cut)
        flash -= sky
    for one, way in zip(seen, ways, strict=True):
        _add(result, one, (scene, lighting, fronts), (cut, sky, flash), way)
    result.linear[cut] = (sky + flash) * vignette(scene.view)[cut][..., None]


def _moves(way: tuple[float, float]) -> bool:
    return float(np.hypot(*way)) >= MOVES_PX


def _way(seen: Seen, scene: Scene, lighting: Lighting) -> tuple[float, float]:
    """Return how far a body moves in the picture while the shutter is open, across and down, pixels.

    In the dark nobody sees it move: flashes are too short for that.
    """
    solid = seen.points[seen.cover > 0.5]
    if not len(solid) or not any(seen.velocity) or lighting.ambient.max() < DARK:
        return 0.0, 0.0
    start = solid.mean(axis=0)
    speed_x, speed_z = seen.velocity
    end = start + lighting.exposure_s * np.array([speed_x, 0.0, speed_z], np.float32)
    cols, rows, _ = scene.view.project(np.stack([start, end]).astype(np.float32))
    return float(cols[1] - cols[0]), float(rows[1] - rows[0])


def _changed(shadows: Field, contact: Field, seen: list[Seen], ways: list[tuple[float, float]]) -> Cut:
    """Return the part of the picture that bodies change: where they are, go to, throw shadows and stand."""
    height, width = contact.shape
    darker = np.minimum.reduce([contact, *(shadows[..., which] for which in range(shadows.shape[2]))]) < 0.999
    rows, cols = np.flatnonzero(darker.any(axis=1)), np.flatnonzero(darker.any(axis=0))
    edges = [(rows[0], rows[-1] + 1, cols[0], cols[-1] + 1)] if len(rows) else []
    for one, way in zip(seen, ways, strict=True):
        target, _ = overlap(one, height, width)
        across, down = (int(np.ceil(abs(part))) + 2 for part in way)
        edges.append(
            (target[0].start - down, target[0].stop + down, target[1].start - across, target[1].stop + across)
        )
    tops, bottoms, lefts, rights = zip(*edges, strict=True)
    return (
        slice(max(int(min(tops)), 0), min(int(max(bottoms)), height)),
        slice(max(int(min(lefts)), 0), min(int(max(rights)), width)),
    )


def _within(values: Field, seen: Seen, cut: Cut, shape: tuple[int, int], blank: float) -> Field:
    """Return values of a body's window as values of a part of the picture."""
    target, source = overlap(seen, *shape)
    rows, cols = cut[0].stop - cut[0].start, cut[1].stop - cut[1].start
    whole = np.full((rows, cols, *values.shape[2:]), blank, dtype=np.float32)
    here = tuple(
        slice(side.start - from_.start, side.stop - from_.start)
        for side, from_ in zip(target, cut, strict=True)
    )
    whole[here] = values[source]
    return whole


def _unhidden(depth: Field, scene: Scene, fronts: list[_Front], cut: Cut) -> Field:
    """Return the share of what stands at a depth that nothing nearer hides, for each pixel of a part."""
    clear = (depth < scene.still.depth[cut] + 0.06).astype(np.float32)
    for front in fronts:
        part = front.part(cut)
        if part is not None:
            here, there = part
            clear[here] *= 1 - front.cover[there] * (front.depth[there] < depth[here] - 0.02)
    return clear


def _add(
    result: Exposure, seen: Seen, of: tuple[Scene, Lighting, list[_Front]], place: tuple[Cut, Field, Field],
    way: tuple[float, float],
) -> None:  # fmt: skip
    """Put one body into the part of the picture, behind what is nearer; only the sky's light smears it."""
    (scene, lighting, fronts), (cut, sky, flash) = of, place
    shape = (scene.view.height, scene.view.width)
    cover, by_sky, by_flash = (
        _within(values, seen, cut, shape, 0.0)
        for values in _sharp_as_can_be(seen, sky_on(seen, lighting), flashes_on(seen, scene, lighting), scene)
    )
    usual = distance_of(seen)
    depth = np.where(cover > 0.02, _within(seen.depth, seen, cut, shape, 1e3), np.float32(usual))
    clear = _unhidden(np.minimum(depth, 90.0).astype(np.float32), scene, fronts, cut)
    smeared = cover
    if _moves(way):
        smeared, by_sky = dragged(cover, *way), dragged(by_sky, *way)
    sky *= 1 - (smeared * clear)[..., None]
    sky += by_sky * clear[..., None]
    flash *= 1 - (cover * clear)[..., None]
    flash += by_flash * clear[..., None]
    part = float(by_sky.sum()) / max(float(by_sky.sum() + by_flash.sum()), 1e-9)
    visible = np.zeros(shape, dtype=np.float32)
    visible[cut] = (np.float32(part) * smeared + np.float32(1 - part) * cover) * clear
    for earlier in result.shows:
        earlier[cut] *= 1 - visible[cut]
    result.shows.append(visible)
    _, source = overlap(seen, *shape)
    result.inside.append(float(seen.cover[source].sum()) / max(float(seen.cover.sum()), 1e-6))
    result.cut_by.append(_cut_by(seen, visible, *shape))
    camera = scene.site.camera
    disc = camera.blur_mm(usual) / camera.sensor_mm
    result.spread.append(max(part * float(np.hypot(*way)) / shape[1], disc))


def _sharp_as_can_be(seen: Seen, by_sky: Field, by_flash: Field, scene: Scene) -> tuple[Field, Field, Field]:
    """Return a body's cover and its two lights times the cover, as sharp as the focus allows."""
    camera = scene.site.camera
    sigma = camera.blur_mm(distance_of(seen)) / camera.sensor_mm * scene.view.width * 0.42
    values = (seen.cover, by_sky * seen.cover[..., None], by_flash * seen.cover[..., None])
    if sigma <= 0.8:
        return values
    return blur(values[0], sigma), blur(values[1], sigma), blur(values[2], sigma)


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
