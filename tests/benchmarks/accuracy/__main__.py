"""Measure how good the tool is on nights whose truth is known: ``python -m tests.benchmarks.accuracy``.

See README.md beside this file.
"""

import argparse
import os
from collections.abc import Sequence
from pathlib import Path

import platformdirs

from tests.benchmarks.accuracy.cards import jobs, night_names, nights_that_take_long
from tests.benchmarks.accuracy.scoring import add_outputs, score_all, size_of


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.accuracy", description=__doc__)
    parser.add_argument("--nights", nargs="+", metavar="NAME", help="only these nights")
    parser.add_argument(
        "--size", type=size_of, metavar="WxH", help="of rendered pictures; each night's own by default"
    )
    parser.add_argument(
        "--cache", type=Path, help="folder for rendered nights; in the user's cache by default"
    )
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1, help="cards at a time")
    parser.add_argument("--long", action="store_true", help="also the nights that take long to render")
    parser.add_argument(
        "--only-rendered", action="store_true", help="leave out the bundled and the real cards"
    )
    add_outputs(parser)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run the bench: 0 when done, 1 when a card ended in an error, 2 when the words make no sense."""
    parser = _parser()
    words = parser.parse_args(argv)
    known = night_names()
    unknown = [name for name in words.nights or () if name not in known]
    if unknown:
        parser.error(f"There is no night called {unknown[0]}. There are: {', '.join(sorted(known))}.")
    cache = words.cache or platformdirs.user_cache_path("card-triage") / "accuracy"
    cache.mkdir(parents=True, exist_ok=True)
    names = tuple(
        words.nights or (name for name in known if words.long or name not in nights_that_take_long())
    )
    return score_all(jobs(names, words.size, cache, others=not words.only_rendered), words)


if __name__ == "__main__":
    raise SystemExit(main())
