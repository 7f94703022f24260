"""A contact sheet of failures, to be looked at."""

from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageDraw

from tests.benchmarks.accuracy.tally import Failure

TILE = (300, 200)
CAPTION = 28
ACROSS = 5
MOST = 60
"""More than so many are thinned out evenly."""

TRUE_COLOUR, SAID_COLOUR = "#56B4E9", "#E69F00"
"""Two of the colours of Okabe & Ito 2008; the true box is drawn thin, the said one thick."""


def contact_sheet(failures: Sequence[tuple[Path, Failure]], path: Path) -> None:
    """Write a picture of the failures that have a frame: each with its true boxes and the said one."""
    shown = [(root, failure) for root, failure in failures if failure.path]
    shown = shown[:: max(1, -(-len(shown) // MOST))]
    rows = max(1, -(-len(shown) // ACROSS))
    sheet = Image.new("RGB", (ACROSS * TILE[0], rows * (TILE[1] + CAPTION)), "black")
    for count, (root, failure) in enumerate(shown):
        down, across = divmod(count, ACROSS)
        sheet.paste(_tile(root, failure), (across * TILE[0], down * (TILE[1] + CAPTION)))
    sheet.save(path)


def _tile(root: Path, failure: Failure) -> Image.Image:
    tile = Image.new("RGB", (TILE[0], TILE[1] + CAPTION), "black")
    draw = ImageDraw.Draw(tile)
    try:
        with Image.open(root / failure.path) as picture:
            small = picture.convert("RGB")
    except OSError:
        draw.text((4, 4), "cannot be read", fill="white")
    else:
        small.thumbnail(TILE)
        tile.paste(small, (0, 0))
        for box in failure.true_boxes:
            draw.rectangle(_pixels(box, small.size), outline=TRUE_COLOUR, width=1)
        if failure.said_box is not None:
            draw.rectangle(_pixels(failure.said_box, small.size), outline=SAID_COLOUR, width=3)
    draw.text((2, TILE[1]), f"{failure.night} {Path(failure.path).name} {failure.kind}"[:48], fill="white")
    draw.text((2, TILE[1] + 13), f"{failure.said} | {failure.true}"[:48], fill="white")
    return tile


def _pixels(box: Sequence[float], size: tuple[int, int]) -> list[float]:
    return [box[0] * size[0], box[1] * size[1], box[2] * size[0], box[3] * size[1]]
