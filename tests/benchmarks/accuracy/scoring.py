"""Score cards one after another and tell what came of it: shared by the benches of accuracy."""

import argparse
import dataclasses
import json
import multiprocessing
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

from tests.benchmarks.accuracy.cards import GROUPS, HELD_OUT, Done, Job, do
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


def add_outputs(parser: argparse.ArgumentParser) -> None:
    """Add the words that say what is written besides the table."""
    parser.add_argument("--each", action="store_true", help="a table for each card as well")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write each card's figures")
    parser.add_argument("--failures", type=Path, metavar="FILE", help="write a line for each failure")
    parser.add_argument(
        "--held-out-failures", action="store_true", help="list those of the held-out nights, too"
    )
    parser.add_argument("--sheet", type=Path, metavar="FILE", help="write a picture of failures, with boxes")
    parser.add_argument("--sheet-kind", metavar="WORDS", help="only failures of this kind on the sheet")


def score_all(work: Sequence[Job], words: argparse.Namespace) -> int:
    """Score all cards and tell: 0 when done, 1 when a card ended in an error."""
    done, errors = _do_all(work, words.workers)
    _print_tables(done, each=words.each)
    for job, error in errors:
        _say(f"{job.name} ended in an error: {error!r}")
    _write_outputs(done, words)
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


def _print_tables(done: Sequence[Done], *, each: bool) -> None:
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


def _write_outputs(done: Sequence[Done], words: argparse.Namespace) -> None:
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
