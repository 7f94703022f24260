"""Measure how good the tool is on nights whose truth is known: ``python -m tests.benchmarks.accuracy``.

See README.md beside this file.
"""

import argparse
import dataclasses
import json
import multiprocessing
import os
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

import platformdirs

from tests.benchmarks.accuracy.cards import (
    GROUPS,
    HELD_OUT,
    Done,
    Job,
    do,
    jobs,
    night_names,
    nights_that_take_long,
)
from tests.benchmarks.accuracy.sheet import contact_sheet
from tests.benchmarks.accuracy.table import table
from tests.benchmarks.accuracy.tally import total


def size_of(text: str) -> tuple[int, int]:
    """Read a size such as 600x400."""
    width, _, height = text.lower().partition("x")
    if not (width.isdigit() and height.isdigit()):
        message = f"{text} is no size; write it like 600x400"
        raise argparse.ArgumentTypeError(message)
    return int(width), int(height)


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
    parser.add_argument("--each", action="store_true", help="a table for each card as well")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write each card's figures")
    parser.add_argument("--failures", type=Path, metavar="FILE", help="write a line for each failure")
    parser.add_argument(
        "--held-out-failures", action="store_true", help="list those of the held-out nights, too"
    )
    parser.add_argument("--sheet", type=Path, metavar="FILE", help="write a picture of failures, with boxes")
    parser.add_argument("--sheet-kind", metavar="WORDS", help="only failures of this kind on the sheet")
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
    done, errors = _do_all(jobs(names, words.size, cache, others=not words.only_rendered), words.workers)
    _print(done, each=words.each)
    for job, error in errors:
        _say(f"{job.name} ended in an error: {error!r}")
    _write(done, words)
    return 1 if errors else 0


def _do_all(work: Sequence[Job], workers: int) -> tuple[list[Done], list[tuple[Job, BaseException]]]:
    """Score all cards, each in a fresh process; a card that ends in an error does not end the others."""
    done: list[Done] = []
    errors: list[tuple[Job, BaseException]] = []
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(max(1, workers), mp_context=context) as pool:
        futures = {pool.submit(do, job): job for job in work}
        for count, future in enumerate(as_completed(futures), start=1):
            error = future.exception()
            if error is not None:
                errors.append((futures[future], error))
            else:
                done.append(future.result())
            sys.stderr.write(f"{count}/{len(work)} {futures[future].name}\n")
    done.sort(key=lambda one: (GROUPS.index(one.job.group), one.job.name))
    return done, errors


def _print(done: Sequence[Done], *, each: bool) -> None:
    groups = [
        (group, total(one.tally for one in done if one.job.group == group))
        for group in GROUPS
        if any(one.job.group == group for one in done)
    ]
    if groups:
        _say(table(groups))
    for group, _ in groups:
        _say(f"{group}: {', '.join(one.job.name for one in done if one.job.group == group)}")
    for one in done if each else ():
        _say(f"\n{table([(one.job.name, one.tally)])}")


def _write(done: Sequence[Done], words: argparse.Namespace) -> None:
    failures = [
        (one, failure)
        for one in done
        if words.held_out_failures or one.job.group != HELD_OUT
        for failure in one.tally.failures
    ]
    if words.json:
        told = {
            one.job.name: {
                "group": one.job.group,
                "rendering_s": round(one.rendering_s, 1),
                "card": str(one.root),
                "figures": dataclasses.asdict(one.tally),
                "report": one.report,
            }
            for one in done
        }
        words.json.write_text(json.dumps(told, indent=1), "utf-8")
    if words.failures:
        lines = [
            "\t".join((one.job.group, bad.night, bad.kind, bad.path, bad.said, bad.true, bad.figures))
            for one, bad in failures
        ]
        words.failures.write_text(
            "\n".join(["group\tnight\tkind\tframe\tsaid\ttrue\tfigures", *lines, ""]), "utf-8"
        )
    if words.sheet:
        wanted = [(one.root, bad) for one, bad in failures if words.sheet_kind in {None, bad.kind}]
        contact_sheet(wanted, words.sheet)


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


if __name__ == "__main__":
    raise SystemExit(main())
