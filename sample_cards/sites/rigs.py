"""Other rigs at the same sites: one flash or three, a camera on its side, other settings."""

from dataclasses import replace

from sample_cards.light import Flash
from sample_cards.plan import Rig
from sample_cards.scene import Site

FILL = Flash((0.14, 0.88, 0.06), (0.0, 0.35, 4.2), 12.0, (1.0, 0.98, 0.95), 32.0)
"""A weak flash on the camera's housing: so near the lens that eyes shine in it."""

BEHIND = Flash((1.7, 2.7, 7.4), (-0.1, 0.35, 4.2), 15.0, (1.0, 0.97, 0.93))
"""A flash beyond the path that gives animals a bright rim."""

THIRD = {"Grindle Scar": BEHIND, "Thistle Yard": BEHIND}
"""Third flash by the site's name; on the housing everywhere else."""


def rigged(site: Site, rig: Rig) -> Site:
    """Return a site with another rig.

    A single flash is the left one. A camera on its side has the short side of its sensor across.
    """
    flashes = (*site.flashes, THIRD.get(site.name, FILL))[: rig.flashes]
    camera = site.camera
    if rig.orientation != 1:
        camera = replace(camera, sensor_mm=camera.sensor_mm * 2 / 3, upright=True)
    camera = replace(camera, exposure_s=rig.exposure_s or camera.exposure_s, iso=rig.iso or camera.iso)
    return replace(site, camera=camera, flashes=flashes)
