"""The camera's exposure: set by hand once, or by the camera for the light of the moment."""

from dataclasses import dataclass, replace

from sample_cards.camera import Camera

SYNC_S = 1 / 160
"""Faster than this the shutter is never wholly open, and flashes cannot light the frame."""

STEPS = (
    100,
    125,
    160,
    200,
    250,
    320,
    400,
    500,
    640,
    800,
    1000,
    1250,
    1600,
    2000,
    2500,
    3200,
    4000,
    5000,
    6400,
)
"""ISO values the camera can take, up to the one set."""

TIMES = (
    8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000,
    2500, 3200, 4000,
)  # fmt: skip
"""Exposure times the camera can take, parts of a second, from the one set on."""

DARK_GROUND = 0.62
"""Share of the light that the camera holds against full scale: woods and grass are darker than a grey card."""


@dataclass(frozen=True, slots=True)
class Metered:
    """Settings of one exposure.

    Attributes
    ----------
    camera : Camera
        With the settings taken.
    flash_gain : float
        What the flashes give under them, in units of the settings by hand.
    """

    camera: Camera
    flash_gain: float


def meter(camera: Camera, lux: float, *, auto: bool) -> Metered:
    """Choose the settings for a light on the scene.

    By hand they stay. Otherwise the camera lowers the ISO first, then shortens the time, until the
    scene is as bright as wanted; it never goes beyond what was set for the night, as the flashes were set up for that.
    """
    wanted = lux / camera.full_scale_lux
    if not auto or wanted <= 1.0:
        return Metered(camera, 1.0)
    iso = max((step for step in STEPS if step <= camera.iso / wanted), default=STEPS[0])
    left = wanted * iso / camera.iso
    exposure = camera.exposure_s
    for denominator in TIMES:
        exposure = min(camera.exposure_s, 1 / denominator)
        if left * exposure / camera.exposure_s <= 1.0:
            break
    gain = iso / camera.iso if exposure >= SYNC_S * 0.99 else 0.0
    return Metered(replace(camera, iso=float(iso), exposure_s=exposure), gain)
