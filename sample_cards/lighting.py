"""The lights of one exposure, and what they make of the layers of a scene."""

from dataclasses import dataclass, replace

import numpy as np

from sample_cards.arrays import Field, vector
from sample_cards.daylight import Patches
from sample_cards.light import Flash
from sample_cards.scene import Layer, Scene

Cut = tuple[slice, slice]

WHOLE: Cut = (slice(None), slice(None))
"""All of a layer."""


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
    exposure_s : float
        How long the shutter is open, for what moves.
    """

    ambient: Field
    powers: tuple[float, ...]
    patches: Patches | None = None
    exposure_s: float = 0.0

    def without_flashes(self) -> "Lighting":
        """Return the light of the sky alone."""
        return replace(self, powers=tuple(0.0 for _ in self.powers))

    def colours(self, flashes: tuple[Flash, ...]) -> Field:
        """Return the colour of sky and flashes times their strength, one row each, the sky first."""
        rows = [self.ambient]
        rows += [
            vector(*flash.colour) * np.float32(power)
            for flash, power in zip(flashes, self.powers, strict=True)
        ]
        return np.stack(rows).astype(np.float32)


def light_of(
    layer: Layer, scene: Scene, lighting: Lighting, *, cut: Cut = WHOLE, shadows: Field | None = None
) -> Field:
    """Return what a layer sends back, for each pixel of a part of it.

    Parameters
    ----------
    layer : Layer
        Which.
    scene : Scene
        The site.
    lighting : Lighting
        Of the exposure.
    cut : tuple of slice
        The part wanted.
    shadows : ndarray of float32, optional
        Share of each flash's light that gets past the subjects, for the part wanted.
    """
    lights = layer.lights[cut]
    colours = lighting.colours(scene.site.flashes)
    if shadows is not None:
        lights = lights.copy()
        lights[..., 1:] *= shadows
    if lighting.patches is None:
        light = lights @ colours
    else:
        light = lights[..., :1] * colours[0] * lighting.patches.on(scene.points_of(layer)[cut])
        light += lights[..., 1:] @ colours[1:]
    light *= layer.albedo[cut]
    lit: Field = light
    return lit
