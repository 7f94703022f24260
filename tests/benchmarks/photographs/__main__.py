"""Measure how good the tool is on nights before photographs: ``python -m tests.benchmarks.photographs FOLDER``.

See README.md beside this file.
"""

import argparse
import os
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

import platformdirs

from tests.benchmarks.accuracy.cards import HELD_OUT, TUNED, Job
from tests.benchmarks.accuracy.scoring import add_outputs, score_all, size_of
from tests.benchmarks.photographs.card import digest_of, made
from tests.benchmarks.photographs.plan import Plan, plans

PICTURES = frozenset({".jpg", ".jpeg", ".png", ".webp"})


def main(argv: Sequence[str] | None = None) -> int:
    """Run the bench: 0 when done, 1 when a card ended in an error, 2 when the words make no sense."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.photographs", description=__doc__)
    parser.add_argument("folder", type=Path, help="of photographs of places outdoors")
    parser.add_argument("--nights", nargs="+", metavar="NAME", help="only these nights")
    parser.add_argument("--size", type=size_of, default=(900, 600), metavar="WxH", help="of the pictures")
    parser.add_argument("--cache", type=Path, help="folder for the cards; in the user's cache by default")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1, help="cards at a time")
    add_outputs(parser)
    words = parser.parse_args(argv)
    photographs = photographs_in(words.folder)
    if not photographs:
        parser.error(f"There are no photographs in {words.folder}.")
    nights = [plan for plan in plans(len(photographs)) if words.nights is None or plan.name in words.nights]
    cache = words.cache or platformdirs.user_cache_path("card-triage") / "photographs"
    cache.mkdir(parents=True, exist_ok=True)
    digest = digest_of(photographs)
    make = partial(_job, photographs=photographs, size=words.size, cache=cache, digest=digest)
    with ProcessPoolExecutor(words.workers) as pool:
        work = list(pool.map(make, nights))
    return score_all(work, words)


def photographs_in(folder: Path) -> list[Path]:
    """Find the photographs of a folder, in the order in which they are dealt out."""
    return sorted(path for path in folder.glob("*") if path.suffix.lower() in PICTURES)


def _job(plan: Plan, photographs: list[Path], size: tuple[int, int], cache: Path, digest: str) -> Job:
    """Make a card; every second photograph is held out, with all that happens before it."""
    folder = cache / f"{plan.name}-{size[0]}x{size[1]}-{digest}"
    root = made(plan, photographs[plan.photograph], size, folder)
    return Job(plan.name, HELD_OUT if plan.photograph % 2 else TUNED, size, cache, digest, root)


if __name__ == "__main__":
    raise SystemExit(main())
