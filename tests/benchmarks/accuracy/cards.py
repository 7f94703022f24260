"""Cards for the bench: rendered once into a cache, then run through the tool's public entry."""

import hashlib
import json
import os
import shutil
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sample_cards
from tests.benchmarks.accuracy.real import real_nights
from tests.benchmarks.accuracy.tally import Tally, score
from tests.benchmarks.accuracy.truth import read_truth
from triage.export.report import report_json
from triage.pipeline.run import run
from triage.pipeline.steps import Finished
from triage.records.result import Options

TUNED, HELD_OUT, REAL = "tuned on", "held out", "real"
GROUPS = (TUNED, HELD_OUT, REAL)

BUNDLED = "first"
"""Night of the card that comes with the package."""


@dataclass(frozen=True, slots=True)
class Job:
    """One card to score.

    Attributes
    ----------
    name, group : str
        Which night, and which column of the table.
    size : tuple of int or None
        For a night to be rendered; None for its usual size.
    cache : Path
        Where rendered nights lie.
    digest : str
        Of the renderer.
    root : Path or None
        A card that is there already.
    """

    name: str
    group: str
    size: tuple[int, int] | None
    cache: Path
    digest: str
    root: Path | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """A scored card: where it lies, what came of it, and how long it took to render (0 from the cache)."""

    job: Job
    root: Path
    tally: Tally
    report: dict[str, Any]
    rendering_s: float


def night_names() -> tuple[str, ...]:
    """Return every night that can be rendered."""
    from sample_cards import catalogue  # noqa: PLC0415 - the renderer is heavy: only once it is needed

    return tuple(catalogue.NIGHTS)


def nights_that_take_long() -> frozenset[str]:
    """Return the nights that are only scored when named."""
    from sample_cards import catalogue  # noqa: PLC0415

    return catalogue.TAKES_LONG


def is_held_out(name: str) -> bool:
    """Whether nobody may tune on a night, by the catalogue's rule."""
    from sample_cards import catalogue  # noqa: PLC0415

    return catalogue.held_out(name)


def renderer_digest() -> str:
    """Return a digest of all that decides what a night looks like."""
    root = Path(sample_cards.__file__).parent
    digest = hashlib.blake2b(digest_size=8)
    for path in sorted(root.rglob("*.py")):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


def jobs(names: tuple[str, ...], size: tuple[int, int] | None, cache: Path, *, others: bool) -> list[Job]:
    """Return the cards to score: nights by name, and the bundled and real cards where wanted and there."""
    digest = renderer_digest()
    result = [
        Job(name, HELD_OUT if is_held_out(name) else TUNED, size, cache, digest)
        for name in names
        if not (others and name == BUNDLED)
    ]
    if others:
        result.append(Job("first-bundled", TUNED, None, cache, digest, sample_cards.bundled()))
        result += [Job(night.name, REAL, None, cache, digest, root) for root, night in real_nights().items()]
    return result


def do(job: Job) -> Done:
    """Render a card where needed, run the tool on it and score the report."""
    began = time.monotonic()
    root = job.root or rendered(job)
    rendering_s = time.monotonic() - began
    began = time.monotonic()
    night = real_nights()[root] if job.group == REAL else read_truth(root.parent / "truth.json", job.name)
    report = triaged(root, flashes=3 if any("flash-3" in frame.flashes for frame in night.frames) else None)
    seconds = time.monotonic() - began
    return Done(job, root, score(report, night, seconds=seconds), report, rendering_s)


def triaged(root: Path, *, flashes: int | None = None) -> dict[str, Any]:
    """Run the tool as the command does and return the report other programs get."""
    (answer,) = (step.triage for step in run(root, Options(flashes=flashes)) if isinstance(step, Finished))
    told: dict[str, Any] = json.loads(report_json(answer))
    return told


def rendered(job: Job) -> Path:
    """Return a night's card from the cache, rendered first where it is not there.

    It is made under another name and then renamed, so that what was interrupted is never taken for a night.
    """
    size = "usual" if job.size is None else "x".join(map(str, job.size))
    folder = job.cache / f"{job.name}-{size}-{job.digest}"
    if not folder.is_dir():
        making = job.cache / f".making-{folder.name}-{os.getpid()}"
        shutil.rmtree(making, ignore_errors=True)
        try:
            sample_cards.render_night(job.name, making, size=job.size)
            _put(making, folder)
        finally:
            shutil.rmtree(making, ignore_errors=True)
    return folder / "card"


def _put(making: Path, folder: Path) -> None:
    """Give a finished night its name, unless another run was quicker."""
    try:
        making.rename(folder)
    except OSError:
        if not folder.is_dir():
            raise
