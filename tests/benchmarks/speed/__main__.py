"""Measure how fast a card is read beside what decoding alone takes: ``python -m tests.benchmarks.speed``.

See README.md beside this file.
"""

import argparse
import os
import shutil
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import platformdirs

from tests.benchmarks.speed.cards import KINDS, place_of
from tests.benchmarks.speed.same import sameness
from tests.benchmarks.speed.table import Row, table
from tests.benchmarks.speed.timing import FailedError, timed


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.speed", description=__doc__)
    parser.add_argument(
        "--frames", nargs="+", type=int, default=[200], metavar="N", help="sizes of the cards"
    )
    parser.add_argument("--kinds", nargs="+", choices=list(KINDS), default=list(KINDS), help="kinds of files")
    parser.add_argument("--cache", type=Path, help="folder for the cards; in the user's cache by default")
    parser.add_argument("--same", action="store_true", help="also compare findings with and without previews")
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run the bench: 0 when done, 1 when a command failed."""
    words = _parser().parse_args(argv)
    cache = words.cache or platformdirs.user_cache_path("card-triage") / "speed"
    cache.mkdir(parents=True, exist_ok=True)
    rows = []
    failed = False
    for frames in words.frames:
        for kind in words.kinds:
            try:
                rows.append(measured(kind, frames, cache))
            except FailedError as error:
                sys.stderr.write(f"{error}\n")
                failed = True
    if rows:
        sys.stdout.write(f"{table(rows, os.cpu_count() or 1)}\n")
    if words.same:
        told = sameness(cache)
        sys.stdout.write(
            f"Measured from previews, of {told.frames} frames {told.other_words} are said to be something else; "
            f"{told.boxes} outlines agree by {told.overlap:.2f}; the diagnosis is "
            f"{'the same' if told.same_diagnosis else 'another one'}.\n"
        )
    return 1 if failed else 0


def measured(kind: str, frames: int, cache: Path) -> Row:
    """Measure one card; each part in a process of its own, the files read once before so that none waits for them."""
    alone = ["-m", "tests.benchmarks.speed.parts"]
    # In a process of its own, too: what a parent holds in memory counts for its children.
    timed([*alone, "make", str(cache), kind, str(frames)])
    root = place_of(kind, frames, cache)
    place = Path(tempfile.mkdtemp(prefix="report-", dir=cache))
    try:
        extra = {"TRIAGE_CACHE": str(place / "cache"), "TRIAGE_LIBRARY": str(place / "library.sqlite")}
        report = ["-m", "triage", "report", str(root), "--json", str(place / "report.json")]
        for path in sorted(root.rglob("*.*")):
            path.read_bytes()
        floor = timed([*alone, "floor", str(root)])
        headers = timed([*alone, "headers", str(root)])
        pictures = timed([*alone, "pictures", str(root)])
        first = timed(report, extra)
        told = (place / "report.json").read_bytes()
        again = timed(report, extra)
        if (place / "report.json").read_bytes() != told:
            message = f"{kind}, {frames} frames: the second report is another one"
            raise FailedError(message)
        sys.stderr.write(f"{kind}, {frames} frames: done\n")
        return Row(kind, frames, floor, headers, pictures, first, again)
    finally:
        shutil.rmtree(place, ignore_errors=True)
        shutil.rmtree(root, ignore_errors=True)


if __name__ == "__main__":
    raise SystemExit(main())
