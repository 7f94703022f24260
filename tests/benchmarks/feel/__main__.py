"""Measure how quick the window feels: ``python -m tests.benchmarks.feel``.

See README.md beside this file.
"""

import argparse
import dataclasses
import json
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

os.environ["QT_QPA_PLATFORM"] = "offscreen"
# Without a screen the toolkit remarks on each window that it cannot hint its size: true, and of no use here.
os.environ.setdefault("QT_LOGGING_RULES", "default.warning=false")

import platformdirs

from sample_cards import bundled
from tests.benchmarks.feel import cards
from tests.benchmarks.feel.keys import keys
from tests.benchmarks.feel.memory import peak_mb
from tests.benchmarks.feel.opening import answering, opening
from tests.benchmarks.feel.table import answering_lines, keys_lines, memory_lines, opening_lines

PARTS = ("opening", "keys", "answering", "memory")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.feel", description=__doc__)
    parser.add_argument("--only", nargs="+", choices=PARTS, default=PARTS, help="only these parts")
    parser.add_argument("--frames", type=int, default=2000, help="of the card that is opened")
    parser.add_argument(
        "--most-frames", type=int, default=20_000, help="of the card whose memory is measured"
    )
    parser.add_argument("--large-frames", type=int, default=30, help="of 24 megapixels each")
    parser.add_argument(
        "--cache", type=Path, help="folder for the cards; in the user's cache by default (2 GB)"
    )
    parser.add_argument("--json", type=Path, metavar="FILE", help="write every single figure")
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run the bench: 0 when done, 2 when the words make no sense. Figures are told, never judged."""
    words = _parser().parse_args(argv)
    cache = words.cache or platformdirs.user_cache_path("card-triage") / "feel"
    found: dict[str, object] = {}
    _say(f"load before: {_load()}")
    for part in (part for part in PARTS if part in words.only):
        lines, figures = _do(part, words, cache)
        found[part] = figures
        _say("\n".join(["", part.upper(), *lines]))
    _say(f"\nload after: {_load()}")
    if words.json:
        words.json.write_text(json.dumps(found, indent=1), "utf-8")
    return 0


def _do(part: str, words: argparse.Namespace, cache: Path) -> tuple[list[str], object]:
    parts: dict[str, Callable[[], tuple[list[str], object]]] = {
        "opening": lambda: _opening(words, cache),
        "keys": lambda: _keys(words, cache),
        "answering": lambda: _answering(words, cache),
        "memory": lambda: _memory(words, cache),
    }
    return parts[part]()


def _opening(words: argparse.Namespace, cache: Path) -> tuple[list[str], object]:
    took = [opening(cards.weeks(cache, words.frames)) for _turn in range(3)]
    return opening_lines(took), [dataclasses.asdict(each) for each in took]


def _keys(words: argparse.Namespace, cache: Path) -> tuple[list[str], object]:
    lines, figures = [], {}
    for name, root in (("24 megapixels", cards.large(cache, words.large_frames)), ("sample card", bundled())):
        series = keys(root)
        lines += [f"{name}:", *keys_lines(series)]
        figures[name] = [dataclasses.asdict(each) for each in series]
    return lines, figures


def _answering(words: argparse.Namespace, cache: Path) -> tuple[list[str], object]:
    heard = answering(bundled(), cards.weeks(cache, words.frames))
    return answering_lines(heard), {each.what: [each.beats.gaps_ms, each.beats.busy_ms] for each in heard}


def _memory(words: argparse.Namespace, cache: Path) -> tuple[list[str], object]:
    root = cards.links(cache, cards.weeks(cache, words.frames), words.most_frames)
    peak = peak_mb(root)
    return memory_lines(*peak), peak


def _load() -> str:
    one, five, _ = os.getloadavg()
    return f"{one:.1f} over one minute, {five:.1f} over five, on {os.cpu_count()} processors"


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    raise SystemExit(main())
