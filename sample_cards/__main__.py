"""Render a night from the command line: ``python -m sample_cards NIGHT FOLDER``."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from sample_cards.render import UnknownNightError, render_night


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.lower().partition("x")
    if not (width.isdigit() and height.isdigit() and int(width) >= 120 and int(height) >= 80):
        message = f"{text} is no size; write it like 1200x800, at least 120x80"
        raise argparse.ArgumentTypeError(message)
    return int(width), int(height)


def main(argv: Sequence[str] | None = None) -> int:
    """Render a night; 0 when done, 2 when the words make no sense, 4 when the folder cannot be written."""
    parser = argparse.ArgumentParser(
        prog="python -m sample_cards", description="Render a night with known truth."
    )
    parser.add_argument("night", help="name of the night")
    parser.add_argument("folder", type=Path, help="a new folder to make")
    parser.add_argument("--size", type=_size, help="width and height in pixels, such as 1200x800")
    parser.add_argument("--seed", type=int, help="random state; the night's own by default")
    words = parser.parse_args(argv)
    try:
        card = render_night(words.night, words.folder, size=words.size, seed=words.seed)
    except UnknownNightError as error:
        print(error, file=sys.stderr)
        return 2
    except FileExistsError:
        print(f"{words.folder} is there already; name a new folder.", file=sys.stderr)
        return 4
    except OSError as error:
        print(f"{words.folder} could not be written: {error.strerror}.", file=sys.stderr)
        return 4
    print(card)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
