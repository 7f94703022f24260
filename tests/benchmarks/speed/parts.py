"""One part of the work alone, as a process of its own: ``python -m tests.benchmarks.speed.parts floor CARD``.

``floor`` decodes every file and does nothing else; ``headers`` lists the card and reads its headers; ``pictures``
goes through the recipe up to the last picture read, before any view is learnt; ``make`` makes a card, and the
program's byte code.
"""

import compileall
import io
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import rawpy
from PIL import Image

from tests.benchmarks.speed.cards import card
from tests.benchmarks.speed.timing import ROOT
from triage.ingest.card import list_card
from triage.ingest.decode import MEASURING_EDGE
from triage.ingest.header import read_header
from triage.pipeline.run import run
from triage.pipeline.steps import PictureRead
from triage.pipeline.threads import WORKERS
from triage.records.result import Options


def floor(path: Path) -> None:
    """Decode a picture reduced, and do nothing else: what no program can do without."""
    data = path.read_bytes()
    if path.suffix == ".DNG":
        with rawpy.imread(io.BytesIO(data)) as raw:
            raw.postprocess(half_size=True, use_camera_wb=True, output_bps=8)
        return
    with Image.open(io.BytesIO(data)) as image:
        image.draft("RGB", (MEASURING_EDGE, MEASURING_EDGE * image.height // image.width))
        image.load()


def main(words: list[str]) -> int:
    """Do the part over the whole card on all threads."""
    part, root = words[0], Path(words[1])
    if part == "make":
        # As an installed program is: else each process would compile all modules anew where Python may not keep them.
        compileall.compile_dir(ROOT / "triage", quiet=1)
        card(words[2], int(words[3]), root)
    elif part == "pictures":
        _pictures(root)
    else:
        groups = list_card(root).groups
        if part == "floor":
            _on_all_threads(floor, [root / group[0].path for group in groups])
        else:
            _on_all_threads(lambda group: read_header(root, group), groups)
    return 0


def _on_all_threads(work: Callable[[Any], object], items: Sequence[object]) -> None:
    with ThreadPoolExecutor(WORKERS) as pool:
        for _ in pool.map(work, items):
            pass


def _pictures(root: Path) -> None:
    """Read all pictures as the recipe does, and keep them nowhere."""
    steps = run(root, Options())
    for step in steps:
        if isinstance(step, PictureRead) and step.done == step.total:
            break
    steps.close()  # type: ignore[attr-defined]


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
