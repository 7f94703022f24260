"""Sun that breaks through leaves: bright patches on the ground that wander with the hour."""

from dataclasses import dataclass

import numpy as np

from sample_cards.arrays import Field, vector
from sample_cards.textures import fractal, mirrored, tile_sample

FAR_SHARE = 0.16
"""Share of what stands far off that the sun reaches, where patches can no longer be told apart."""

OPEN_SKY_M = 40.0
"""Beyond this there is only the sky."""

WARM = vector(1.12, 1.0, 0.84)
"""Colour of the sun through leaves, in units of the light of the sky."""


@dataclass(frozen=True, slots=True)
class Patches:
    """Sun patches at one moment.

    Attributes
    ----------
    tile : ndarray of float32, shape (M, N)
        Pattern of the leaves above, about 0.
    strength : float
        Sun in the middle of a patch, in units of the light of the sky.
    wandered : tuple of float
        How far the pattern has moved, metres.
    """

    tile: Field
    strength: float
    wandered: tuple[float, float]

    def on(self, points: Field) -> Field:
        """Return the light at points, in units of the light of the sky, for each colour."""
        x = points[..., 0] - 0.4 * points[..., 1] + self.wandered[0]
        z = points[..., 2] + self.wandered[1]
        found = tile_sample(self.tile, (z * 60.0).astype(np.float32), (x * 60.0).astype(np.float32))
        bright = np.clip((found - 0.55) * 2.2, 0.0, 1.0)
        # Far away many patches lie behind each other in every direction, and nothing falls on the sky itself.
        even = np.clip((points[..., 2] - 9.0) / 8.0, 0.0, 1.0)
        bright += even * (FAR_SHARE * (points[..., 2] < OPEN_SKY_M) - bright)
        light: Field = (1.0 + self.strength * bright[..., None] * WARM).astype(np.float32)
        return light


def leaf_pattern(seed: int) -> Field:
    """Return the pattern of the gaps between leaves over a site."""
    return mirrored(fractal((512, 512), 70.0, np.random.default_rng((seed, 3)), octaves=4, fall=0.6))


def patches_at(tile: Field, amount: float, sun_deg: float, hour: float) -> Patches | None:
    """Return the patches at an hour; None without sun."""
    if amount <= 0 or sun_deg < 3.0:
        return None
    strength = 5.0 * amount * min(1.0, (sun_deg - 3.0) / 12.0)
    return Patches(tile, strength, (0.45 * hour, 0.11 * hour))
