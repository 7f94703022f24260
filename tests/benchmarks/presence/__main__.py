"""Fit the chance of a subject and say how far it holds: ``python -m tests.benchmarks.presence``.

See README.md beside this file.
"""

import argparse
import os
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from unittest import mock

import platformdirs

from tests.benchmarks.accuracy.calibration import reliability
from tests.benchmarks.accuracy.cards import TUNED, Job, jobs, night_names, nights_that_take_long, rendered
from tests.benchmarks.accuracy.scoring import size_of
from tests.benchmarks.photographs.__main__ import photographs_in
from tests.benchmarks.presence.fit import both_models, closer_model, likeliest_of_frames, parted
from tests.benchmarks.presence.gather import Seen, regions_of
from tests.benchmarks.presence.weather import cards
from triage.measure import closely, presence

_LIMITS = (0.05, 0.1, 0.15, 0.2, 0.25)


def main(argv: Sequence[str] | None = None) -> int:
    """Run the fit."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.presence", description=__doc__)
    parser.add_argument("--nights", nargs="+", metavar="NAME", help="only these nights, of those tuned on")
    parser.add_argument("--size", type=size_of, metavar="WxH", default=(600, 400), help="600x400 by default")
    parser.add_argument("--cache", type=Path, help="folder for rendered nights")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1, help="nights at a time")
    parser.add_argument(
        "--photographs", type=Path, metavar="FOLDER", help="fit to nights before these photographs as well"
    )
    words = parser.parse_args(argv)
    cache = words.cache or platformdirs.user_cache_path("card-triage") / "accuracy"
    cache.mkdir(parents=True, exist_ok=True)
    names = words.nights or [name for name in night_names() if name not in nights_that_take_long()]
    work = [job for job in jobs(tuple(names), words.size, cache, others=False) if job.group == TUNED]
    before = photographs_in(words.photographs) if words.photographs else []
    if words.photographs and not before:
        parser.error(f"There are no photographs in {words.photographs}.")
    workers = max(1, words.workers)
    with ProcessPoolExecutor(workers) as pool:
        seen = [each for found in pool.map(_look, work) for each in found]
        if before:
            places = cards(before, cache, workers)
            seen += [each for found in pool.map(regions_of, *zip(*places, strict=True)) for each in found]
    alone, in_burst = both_models(seen)
    with mock.patch.multiple(presence, ALONE=alone, IN_BURST=in_burst):
        closer = closer_model(seen)
    _say(f"{len({each.night for each in seen})} nights, {len(seen)} regions")
    _say(f"ALONE = {alone}\nIN_BURST = {in_burst}\nCLOSELY = {closer}")
    _say_how_far(seen)
    return 0


def _look(job: Job) -> list[Seen]:
    return regions_of(rendered(job), job.name)


def _say_how_far(seen: Sequence[Seen]) -> None:
    """Judge each part of the nights by the weights fitted to the others."""
    best: list[tuple[float, Seen]] = []
    for own, (alone, in_burst) in parted(seen):
        others = [each for each, is_own in zip(seen, own, strict=True) if not is_own]
        with mock.patch.multiple(presence, ALONE=alone, IN_BURST=in_burst):
            closer = closer_model(others)
            likeliest = likeliest_of_frames([each for each, is_own in zip(seen, own, strict=True) if is_own])
        with mock.patch.object(closely, "CLOSELY", closer):
            best += [(_in_the_end(chance, each), each) for chance, each in likeliest]
    visited = [pair for pair in best if pair[1].visited]
    empty = [pair for pair in best if not pair[1].visited]
    _say(f"frames with a visible subject {len(visited)}, without {len(empty)}")
    for limit in _LIMITS:
        hidden = sum(chance < limit for chance, _ in visited)
        nobody = sum(chance >= limit and not each.there for chance, each in visited)
        found = sum(chance < limit for chance, _ in empty)
        _say(f"empty below {limit:.2f}: hidden {hidden}, box on nobody {nobody}, empties found {found}")
    for step in reliability([(chance, each.visited) for chance, each in best]):
        _say(
            f"{step.low:.1f} to {step.high:.1f}: {step.count:5d}  stated {step.stated:.2f}  true {step.observed:.2f}"
        )


def _in_the_end(chance: float, seen: Seen) -> float:
    """Take the close look into account, as the tool does."""
    if seen.closely is None or chance < presence.WORTH_A_CLOSER_LOOK:
        return chance
    return closely.chance_closely(replace(seen.closely, log_odds=presence.log_odds_of(chance)))


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


if __name__ == "__main__":
    raise SystemExit(main())
