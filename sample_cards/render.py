"""From a night's story to a card: files as the camera would have left them, and the truth beside them."""

import json
import multiprocessing
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass
from itertools import accumulate, chain
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from sample_cards.camera import add_noise, develop, lens_blur
from sample_cards.catalogue import NIGHTS
from sample_cards.compose import expose
from sample_cards.filters import one_thread_each
from sample_cards.metadata import Stamp, as_stored, file_name, jpeg
from sample_cards.night import Night, Shot
from sample_cards.stage import Stage, set_stage
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


def _job(number: int, shot: Shot, night: Night, skipped: int) -> tuple[Shot, str, int]:
    return shot, file_name(night.first_exposure + number + skipped), number


def render_shot(stage: Stage, shot: Shot, *, path: str, quality: int, seed: tuple[int, int]) -> Rendered:
    """Expose, develop and encode one frame.

    Parameters
    ----------
    stage : Stage
        The night's site at the wanted size.
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
    light = stage.light_of(shot)
    guests = [guest.placed for guest in shot.guests]
    exposure = expose(stage.scene, light.lighting, guests, wind=shot.wind, rng=rng)
    # Weather and wear draw from a random state of their own: a dry night on a sound rig keeps its pixels.
    exposure = stage.wear(exposure, shot, light.lighting, np.random.default_rng((*seed, 1)))
    truth = frame_truth(path, shot, stage, light, exposure)
    camera = light.camera
    picture = develop(add_noise(lens_blur(exposure.linear, stage.width), camera.iso, rng))
    stamp = Stamp(shot.clock, camera, stage.serial, stage.orientation)
    data = jpeg(as_stored(picture, stage.orientation), stamp, quality)
    return Rendered(path, data[: int(len(data) * shot.keeps)], truth)


@dataclass(frozen=True, slots=True)
class _Session:
    """A night ready to be rendered frame by frame."""

    night: Night
    stages: dict[float, Stage]
    jobs: list[tuple[Shot, str, int]]
    seed: int

    @classmethod
    def of(cls, night: Night, size: tuple[int, int], seed: int) -> "_Session":
        """Set the stage."""
        shots = night.shots()
        stages = {
            scale: set_stage(night, shots, (round(size[0] * scale), round(size[1] * scale)), seed)
            for scale in sorted({shot.smaller for shot in shots})
        }
        skipped = accumulate(shot.skips for shot in shots)
        jobs = [
            _job(number, shot, night, gone)
            for number, (shot, gone) in enumerate(zip(shots, skipped, strict=True))
        ]
        return cls(night, stages, jobs, seed)

    def render(self, number: int) -> Rendered:
        """Render one frame."""
        shot, path, own = self.jobs[number]
        stage = self.stages[shot.smaller]
        return render_shot(stage, shot, path=path, quality=self.night.quality, seed=(self.seed, own))


def frames_of(night: Night, size: tuple[int, int], seed: int) -> Iterator[Rendered]:
    """Render a night's frames in order, two at a time."""
    session = _Session.of(night, size, seed)
    with one_thread_each(), ThreadPoolExecutor(max_workers=2) as workers:
        yield from workers.map(session.render, range(len(session.jobs)))


_LARGE = 1_000_000
"""Pixels from which two processes, each setting the stage for itself, are faster than two threads."""

_sessions: list[_Session] = []
"""In a process of its own: the night it renders."""


def _join_in(name: str, size: tuple[int, int], seed: int) -> None:
    cv2.setNumThreads(1)
    _sessions[:] = [_Session.of(NIGHTS[name], size, seed)]


def _render_numbered(number: int) -> Rendered:
    return _sessions[0].render(number)


def _large_frames_of(night: Night, size: tuple[int, int], seed: int) -> Iterator[Rendered]:
    """Render a night of the catalogue in two processes; the same bytes as `frames_of`."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(2, context, _join_in, (night.name, size, seed)) as workers:
        yield from workers.map(_render_numbered, range(len(night.shots())))


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
    return write_night(night, Path(folder), size or night.size, night.seed if seed is None else seed) / "card"


def _way(night: Night, size: tuple[int, int]) -> Callable[..., Iterator[Rendered]]:
    """Choose how a night is rendered: in processes only where another process can find it by its name."""
    large = size[0] * size[1] >= _LARGE and not multiprocessing.current_process().daemon
    return _large_frames_of if large and night is NIGHTS.get(night.name) else frames_of


def write_night(night: Night, folder: Path, size: tuple[int, int], seed: int) -> Path:
    """Render a night, whether it has a place in the catalogue or not, into a new folder, and return the folder."""
    folder.mkdir(parents=True, exist_ok=False)
    truths = []
    nights = [night] if night.second is None else [night, night.second]
    for frame in chain.from_iterable(_way(one, size)(one, size, seed) for one in nights):
        target = folder / "card" / frame.path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(frame.data)
        truths.append(frame.truth)
    if night.second is not None:
        truths.sort(key=lambda frame: str(frame["taken"]))
    truth = night_truth(night, truths, size, seed)
    (folder / "truth.json").write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")
    return folder
