"""Regions of rendered nights, with their clues and the truth."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.benchmarks.accuracy.boxes import overlap
from tests.benchmarks.accuracy.truth import TrueFrame, read_truth
from triage.errors import PictureError
from triage.ingest.card import list_card
from triage.ingest.decode import decode_measuring
from triage.ingest.header import read_header
from triage.ingest.order import order_frames
from triage.measure.closely import CloseClues, close_clues
from triage.measure.presence import Clues, chance, regions_with_clues
from triage.measure.scene import Scene, glance
from triage.pipeline.darkness import natural_darkness
from triage.pipeline.place import place_of, zone_of
from triage.records.arrays import Rgb
from triage.records.frame import Frame
from triage.records.result import Options

_AMBIGUOUS = 0.15

_LOOKED_AT = 0.03
"""Chance by the weights in force from which a place is looked at closely: somewhat less than in the tool, for other
weights will find others likelier."""


@dataclass(frozen=True, slots=True)
class Seen:
    """One region.

    Attributes
    ----------
    night, path : str
        Where it was seen.
    clues : Clues
        What speaks for it.
    there : bool
        Whether it overlaps a visible subject.
    ambiguous : bool
        It does, but hardly.
    visited : bool
        Whether the frame holds a visible subject at all.
    closely : CloseClues or None
        What a close look adds; None where it is not likely enough to be looked at.
    """

    night: str
    path: str
    clues: Clues
    there: bool
    ambiguous: bool
    visited: bool
    closely: CloseClues | None


def regions_of(root: Path, night: str) -> list[Seen]:
    """Look at all frames of a card of one size whose truth is known."""
    truth = {frame.path: frame for frame in read_truth(root.parent / "truth.json", night).frames}
    frames, pictures = _pictures(root)
    options = Options()
    dark = natural_darkness(frames, place_of(frames, options), zone_of(frames, options))
    scene = Scene(
        pictures.__getitem__,
        [glance(picture) for picture in pictures],
        seconds=np.array([(frame.time - frames[0].time).total_seconds() for frame in frames]),
        natural_dark=dark,
    )
    found: list[Seen] = []
    for index, frame in enumerate(frames):
        told = truth[frame.path]
        sight = None if told.kinds["dark"] or _only_hidden(told) else scene.sight(index)
        for region, clues in [] if sight is None else regions_with_clues(sight):
            box = (region.box.x0, region.box.y0, region.box.x1, region.box.y1)
            shared = max((overlap(box, each.box) for each in told.visible if each.box), default=0.0)
            likely, closely = chance(clues), None
            if sight is not None and likely >= _LOOKED_AT:
                seen = scene.close_up(index, region, pictures[index], scene.light(index))
                closely = close_clues(region, likely, seen, sight)
            there, ambiguous = shared > 0, 0 < shared < _AMBIGUOUS
            found.append(Seen(night, frame.path, clues, there, ambiguous, bool(told.visible), closely))
    return found


def _pictures(root: Path) -> tuple[list[Frame], list[Rgb]]:
    frames, pictures = [], []
    for frame in order_frames([read_header(root, group) for group in list_card(root).groups]):
        try:
            picture = decode_measuring(root, frame)
        except PictureError:
            continue
        if not pictures or picture.shape == pictures[0].shape:
            frames.append(frame)
            pictures.append(picture)
    return frames, pictures


def _only_hidden(told: TrueFrame) -> bool:
    """Whether somebody is there whom nobody could see: then neither answer is wrong."""
    return bool(told.subjects) and not told.visible
