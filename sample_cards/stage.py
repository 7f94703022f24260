"""A night's site at one size, and what weather and wear do to its exposures."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from sample_cards import glass
from sample_cards.aim import cut_out, places, widened
from sample_cards.arrays import Field
from sample_cards.camera import Camera, View
from sample_cards.compose import Exposure
from sample_cards.daylight import leaf_pattern, patches_at
from sample_cards.filters import gather
from sample_cards.light import heights, skylight_colour, skylight_lux
from sample_cards.lighting import Lighting
from sample_cards.metering import DARK_GROUND, meter
from sample_cards.night import Night, Shot
from sample_cards.particles import INSECTS, RAIN, SNOW, add_swarm, swarm
from sample_cards.scene import Scene, Site, build


@dataclass(frozen=True, slots=True)
class Light:
    """What lights a frame, and how the camera takes it.

    Attributes
    ----------
    lighting : Lighting
        Under the settings taken.
    camera : Camera
        The settings.
    flash_gain : float
        What healthy flashes give under them, in units of the settings by hand.
    """

    lighting: Lighting
    camera: Camera
    flash_gain: float


@dataclass(slots=True)
class Stage:
    """All that is the same for the frames of a night.

    Attributes
    ----------
    site : Site
        The site, as it was framed.
    scene : Scene
        The site worked out, wider than the picture where the camera gets knocked.
    width, height : int
        Of the picture.
    auto_exposure : bool
        The camera chooses ISO and time.
    reflects : float
        Share of the sky's light that most of the scene sends back.
    serial : str
        Of the camera.
    dew, frost, leaves : ndarray of float32
        Patterns on the glass and of the leaves above.
    seed : int
        Random state of the night.
    orientation : int
        How the camera is mounted; see `Night`.
    """

    site: Site
    scene: Scene
    width: int
    height: int
    auto_exposure: bool
    reflects: float
    serial: str
    dew: Field
    frost: Field
    leaves: Field
    seed: int
    orientation: int = 1

    def light_of(self, shot: Shot) -> Light:
        """Light of one exposure: the sky by the real height of sun and moon, the flashes by the night's story."""
        sun, moon, lit = heights(self.site.place, shot.taken)
        lux = skylight_lux(sun, moon, lit, shot.cloud) * self.site.canopy
        hour = shot.taken.hour + shot.taken.minute / 60.0
        patches = patches_at(self.leaves, shot.conditions.sun_patches, sun, hour)
        # The camera sees bright ground and sun patches, and holds itself back for them.
        seen = (
            lux * max(DARK_GROUND, 1.9 * self.reflects) * (1.0 + 0.15 * patches.strength if patches else 1.0)
        )
        metered = meter(self.site.camera, seen, auto=self.auto_exposure)
        level = np.float32(lux / metered.camera.full_scale_lux)
        powers = shot.powers
        if metered.flash_gain != 1.0:
            powers = tuple(power * metered.flash_gain for power in powers)
        ambient = (skylight_colour(sun) * level).astype(np.float32)
        lighting = Lighting(ambient, powers, patches, metered.camera.exposure_s)
        return Light(lighting, metered.camera, metered.flash_gain)

    def wear(self, exposure: Exposure, shot: Shot, lighting: Lighting, rng: np.random.Generator) -> Exposure:
        """Return the exposure through the weather, the lens as it is focused and aimed, and the glass."""
        now = shot.conditions
        depth = self.scene.still.depth
        if self.scene.view.width != self.width:
            where = places(self.scene.view, self.width, self.height, now)
            exposure, depth = cut_out(exposure, where), gather(depth, *where, nearest=True)
        for one in exposure.shows:
            depth = np.where(one > 0.5, np.minimum(depth, glass.SUBJECT_M), depth)
        view = View(self.site.camera, self.width, self.height)
        for kind, amount in ((RAIN, now.rain), (SNOW, now.snow), (INSECTS, now.insects)):
            if amount > 0:
                seen = swarm(kind, amount, view, (lighting, self.site.flashes), rng)
                exposure = _both(exposure, partial(add_swarm, seen=seen, depth=depth))
        exposure = _both(exposure, lambda linear: glass.misty(linear, now.mist, depth))
        if now.focus_m is not None:
            focus, camera = now.focus_m, self.site.camera
            share = glass.disc_share(camera, focus)
            exposure = _both(exposure, lambda linear: glass.out_of_focus(linear, share, depth, camera, focus))
        growth = self.frost if now.frost else self.dew
        exposure = _both(exposure, lambda linear: glass.through_glass(linear, now.veil, growth))
        if now.drops <= 0:
            return exposure
        wet = self.wetness(shot)
        return _both(exposure, lambda linear: glass.through_drops(linear, wet))

    def wetness(self, shot: Shot) -> Field:
        """Return the share of each pixel's light that passes through drops on the glass."""
        view = View(self.site.camera, self.width, self.height)
        return glass.wetness(view, shot.conditions.drops, self.seed)


def _both(exposure: Exposure, change: Callable[[Field], Field]) -> Exposure:
    """Change the picture, and the picture without its subjects."""
    linear, without = change(exposure.linear), exposure.without
    without = change(without) if exposure.order else linear
    return replace(exposure, linear=linear, without=without)


def set_stage(night: Night, shots: Sequence[Shot], size: tuple[int, int], seed: int) -> Stage:
    """Work out what is the same for all frames of a night.

    Parameters
    ----------
    night : Night
        The night.
    shots : sequence of Shot
        Its exposures.
    size : tuple of int
        Width and height of the picture as it is stored.
    seed : int
        Random state.
    """
    width, height = size if night.orientation == 1 else size[::-1]
    site, wide, tall = night.site, width, height
    if any(shot.conditions.knocked for shot in shots):
        site, wide, tall = widened(night.site, width, height)
    scene = build(site, wide, tall, np.random.default_rng(seed))
    dew, frost = (glass.veil_map(width, height, frost=frost, seed=seed) for frost in (False, True))
    reflects = float(np.median(scene.still.albedo.mean(axis=2) * scene.still.lights[..., 0]))
    return Stage(
        night.site,
        scene,
        width,
        height,
        night.auto_exposure,
        reflects,
        night.serial,
        dew,
        frost,
        leaf_pattern(seed),
        seed,
        night.orientation,
    )
