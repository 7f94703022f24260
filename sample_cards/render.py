"""From a night's story to a card: files as the camera would have left them, and the truth beside them."""

import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from sample_cards.camera import add_noise, develop, lens_blur
from sample_cards.catalogue import NIGHTS
from sample_cards.compose import Lighting, expose
from sample_cards.light import heights, skylight_colour, skylight_lux
from sample_cards.metadata import Stamp, file_name, jpeg
from sample_cards.night import Night, Shot
from sample_cards.scene import Scene, Site, build
from sample_cards.truth import frame_truth, night_truth


class UnknownNightError(ValueError):
    """No night of that name; the message lists the names there are."""


@dataclass(frozen=True, slots=True)
class Rendered:
    """One frame, ready to be written.

    Attributes
    ----------
    path : str
        Under the card's root.
    data : bytes
        The file.
    truth : dict
        What is in it.
    """

    path: str
    data: bytes
    truth: dict[str, Any]


def lighting_of(site: Site, shot: Shot) -> Lighting:
    """Light of one exposure: the sky by the real height of sun and moon, the flashes by the night's story."""
    sun, moon, lit = heights(site.place, shot.taken)
    lux = skylight_lux(sun, moon, lit, shot.cloud) * site.canopy
    level = np.float32(lux / site.camera.full_scale_lux)
    return Lighting((skylight_colour(sun) * level).astype(np.float32), shot.powers)


def render_shot(scene: Scene, shot: Shot, *, path: str, quality: int, seed: tuple[int, int]) -> Rendered:
    """Expose, develop and encode one frame.

    Parameters
    ----------
    scene : Scene
        The site at the wanted size.
    shot : Shot
        What happens.
    path : str
        The file's place on the card.
    quality : int
        Of the JPEG file.
    seed : tuple of int
        The night's seed and the frame's number: the same pair gives the same pixels.
    """
    rng = np.random.default_rng(seed)
    lighting = lighting_of(scene.site, shot)
    exposure = expose(scene, lighting, [guest.placed for guest in shot.guests], wind=shot.wind, rng=rng)
    truth = frame_truth(path, shot, scene, lighting, exposure)
    camera = scene.site.camera
    picture = develop(add_noise(lens_blur(exposure.linear, scene.view.width), camera.iso, rng))
    data = jpeg(picture, Stamp(shot.taken, camera), quality)
    return Rendered(path, data[: int(len(data) * shot.keeps)], truth)


def frames_of(night: Night, size: tuple[int, int], seed: int) -> Iterator[Rendered]:
    """Render a night's frames in order, two at a time."""
    scene = build(night.site, *size, np.random.default_rng(seed))
    shots = night.shots()
    jobs = [
        (shot, file_name(night.first_exposure + number), (seed, number)) for number, shot in enumerate(shots)
    ]
    with ThreadPoolExecutor(max_workers=2) as workers:
        yield from workers.map(
            lambda job: render_shot(scene, job[0], path=job[1], quality=night.quality, seed=job[2]), jobs
        )


def find_night(name: str) -> Night:
    """Return the night of a name.

    Raises
    ------
    UnknownNightError
        There is none; the message lists the names.
    """
    if name not in NIGHTS:
        message = f"There is no night called {name}. There are: {', '.join(sorted(NIGHTS))}."
        raise UnknownNightError(message)
    return NIGHTS[name]


def render_night(
    name: str, folder: Path, *, size: tuple[int, int] | None = None, seed: int | None = None
) -> Path:
    """Render a night into a new folder: the card in ``card``, the truth in ``truth.json``.

    Parameters
    ----------
    name : str
        Name of the night.
    folder : Path
        Made by this call; an existing one is never written into.
    size : tuple of int, optional
        Width and height; the night's usual size by default.
    seed : int, optional
        The night's usual random state by default.

    Returns
    -------
    Path
        The card's root.

    Raises
    ------
    UnknownNightError
        There is no such night.
    FileExistsError
        The folder is there already.
    """
    night = find_night(name)
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=False)
    size, seed = size or night.size, night.seed if seed is None else seed
    truths = []
    for frame in frames_of(night, size, seed):
        target = folder / "card" / frame.path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(frame.data)
        truths.append(frame.truth)
    truth = night_truth(night, truths, size, seed)
    (folder / "truth.json").write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")
    return folder / "card"
