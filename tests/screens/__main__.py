"""Make a picture of every state of the window: ``python -m tests.screens FOLDER``.

See README.md beside this file.
"""

import argparse
import os
import pickle
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

SHAPES = ("1280x800", "1920x1080", "1280x800@2")
"""Size of the window, and the screen's scale where it is not 1."""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.screens", description=__doc__)
    parser.add_argument(
        "folder", type=Path, metavar="FOLDER", help="where the pictures go; a folder per size"
    )
    parser.add_argument("--only", nargs="+", metavar="STATE", help="only these states")
    parser.add_argument(
        "--shapes", nargs="+", metavar="WxH[@SCALE]", default=SHAPES, help="sizes of the window"
    )
    parser.add_argument("--recorded", type=Path, help=argparse.SUPPRESS)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Make the pictures: 0 when all are there, 1 where one failed, 2 when the words make no sense."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    # Without a screen the toolkit remarks on each window that it cannot hint its size: true, and of no use here.
    os.environ.setdefault("QT_LOGGING_RULES", "default.warning=false")
    words = _parser().parse_args(argv)
    if words.recorded is not None:
        return _shoot(words)
    # The screen's scale is fixed when Qt starts, so each shape has a process of its own; the card is read once.
    from tests.screens.nights import record  # noqa: PLC0415 - slow to import; not needed for --help

    with tempfile.TemporaryDirectory(prefix="card-triage-screens-") as place:
        recorded = Path(place) / "steps"
        recorded.write_bytes(pickle.dumps(record()))
        return max(_in_a_process(words, shape, recorded) for shape in words.shapes)


def _in_a_process(words: argparse.Namespace, shape: str, recorded: Path) -> int:
    _, _, scale = shape.partition("@")
    call = [sys.executable, "-m", "tests.screens", str(words.folder), "--recorded", str(recorded)]
    call += ["--shapes", shape, *(["--only", *words.only] if words.only else [])]
    return subprocess.run(call, check=False, env={**os.environ, "QT_SCALE_FACTOR": scale or "1"}).returncode


def _shoot(words: argparse.Namespace) -> int:
    """Make the pictures of one shape."""
    from tests.screens.shooting import shoot  # noqa: PLC0415 - after the scale is known

    shape = words.shapes[0]
    width, _, height = shape.partition("@")[0].partition("x")
    steps = pickle.loads(words.recorded.read_bytes())  # noqa: S301 - written by this program a moment ago
    return shoot(steps, words.folder / shape, (int(width), int(height)), words.only)


if __name__ == "__main__":
    raise SystemExit(main())
