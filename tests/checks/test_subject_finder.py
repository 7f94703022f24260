"""The subject finder, against general-purpose background subtractors on the same pictures.

A subtractor says which pixels are not background; what it says of a frame is the size of the largest patch of them. It
gets what the program does not: the size from which a patch counts as a subject is set with the truth at hand, as large
as it may be without passing over any visible subject of the two cards. In the rows "as it comes" it is used as its
library makes it, frame by frame in order; elsewhere it sees the whole card first, and small specks are taken out.
"""

import json
import re
from dataclasses import dataclass

import cv2
import numpy as np
import pytest

import sample_cards
from tests.scenes import overlap
from triage.errors import PictureError
from triage.ingest.card import list_card
from triage.ingest.decode import decode_measuring
from triage.ingest.header import read_header
from triage.ingest.order import order_frames
from triage.pipeline.run import run
from triage.pipeline.steps import Finished
from triage.records.finding import FindingKind
from triage.records.measurement import Box
from triage.records.result import Options

pytestmark = [
    pytest.mark.slow,
    pytest.mark.source("library", "OpenCV 5.0, BackgroundSubtractorMOG2 and BackgroundSubtractorKNN"),
    pytest.mark.source("paper", "Zivkovic & van der Heijden 2006, Pattern Recognit. Lett. 27:773, "
                       "doi 10.1016/j.patrec.2005.11.005"),
]  # fmt: skip

FIRST_HAND = 54
"""By eye, as the pictures' own README says: a hand reaches in from this number on; until then there is only wind."""


SUBTRACTORS = {"MOG2": cv2.createBackgroundSubtractorMOG2, "KNN": cv2.createBackgroundSubtractorKNN}
AS_IT_COMES = "as it comes"
WAYS = {False: {0: AS_IT_COMES}, True: {size: f"whole card first, opened by {size}" for size in (0, 3, 5)}}
"""Whether the whole card is seen first, the size of the specks taken out, and its name."""

Patch = tuple[float, Box | None]


def largest(said, opening) -> Patch:
    """Give size and box of the largest patch."""
    mask = (said == 255).astype(np.uint8)  # 127 is its word for shadow
    if opening:
        mask = cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((opening, opening), np.uint8))
    count, _, stats, _ = cv2.connectedComponentsWithStats(mask)
    if count < 2:
        return 0.0, None
    col, row, width, height, area = stats[1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA]))]
    rows, cols = mask.shape
    return float(area / mask.size), Box(col / cols, row / rows, (col + width) / cols, (row + height) / rows)


def rivals(shown) -> dict[tuple[str, str], dict[int, Patch]]:
    """Give, by subtractor and way of using it, the largest patch of each frame by its place in the card."""
    found = {}
    cv2.setRNGSeed(1)  # one of them draws which pixels it keeps
    for name, make in SUBTRACTORS.items():
        for whole_card_first, openings in WAYS.items():
            subtractor = make()
            if whole_card_first:
                for one in shown:
                    subtractor.apply(one.picture)
            rate = 0.0 if whole_card_first else -1.0
            said = {one.index: subtractor.apply(one.picture, learningRate=rate) for one in shown}
            for opening, way in openings.items():
                found[name, way] = {index: largest(mask, opening) for index, mask in said.items()}
    return found


@dataclass(frozen=True)
class Shown:
    """A frame that can be decoded: its place in the card, its picture and what is true of it."""

    index: int
    picture: np.ndarray
    subject: bool
    box: Box | None = None


def frames_of(root):
    """Give frames and measuring pictures in order, without the files that are damaged."""
    headers = [read_header(root, group) for group in list_card(root).groups]
    for frame in order_frames(headers):
        try:
            yield frame, decode_measuring(root, frame)
        except PictureError:
            continue


def windy_card(root):
    return [
        Shown(frame.index, picture, int(re.findall(r"(\d{4})\.", frame.path)[-1]) >= FIRST_HAND)
        for frame, picture in frames_of(root)
    ]


def bundled_night():
    """Give the frames, and apart those to be judged: neither set-up nor dark, nobody there or one who can be seen."""
    told = json.loads(sample_cards.bundled_truth().read_text("utf-8"))
    truth = {frame["path"]: frame for frame in told["frames"]}
    shown, judged = [], []
    for frame, picture in frames_of(sample_cards.bundled()):
        true = truth[frame.path]
        clear = [
            one for one in true["subjects"] if one["visible_area"] >= 0.0003 and one["tonal_difference"] >= 10
        ]
        box = Box(*clear[0]["box"]) if len(true["subjects"]) == 1 and clear else None
        shown.append(Shown(frame.index, picture, bool(clear), box))
        if not true["setup"] and not true["dark"] and (clear or true["empty"]):
            judged.append(shown[-1])
    return shown, judged


def triaged(root):
    """Run the tool as the command does."""
    (answer,) = (step.triage for step in run(root, Options()) if isinstance(step, Finished))
    return answer.judgements


def test_under_wind_more_empty_frames_are_found_than_by_a_subtractor_as_it_comes(real, record_property):
    root = real("windy-tree")
    windy = windy_card(root)
    night, judged = bundled_night()
    judgements = triaged(root)
    ours = {shown.index for shown in windy if judgements[shown.index].has(FindingKind.EMPTY)}
    hidden = [shown.index for shown in windy if shown.subject and shown.index in ours]
    empties = sum(not shown.subject for shown in windy)
    lines = [
        f"Empty frames found under wind (real, {empties} of {len(windy)} frames) without passing over any subject",
        f"{'ours, at its own limits':<42}{len(ours):>4}",
    ]
    found = {}
    there = rivals(night)
    for rival, here in rivals(windy).items():
        sizes = [there[rival][one.index][0] for one in judged if one.subject]
        least = min([*sizes, *(here[one.index][0] for one in windy if one.subject)])
        found[rival] = sum(here[one.index][0] < least for one in windy)
        lines.append(f"{', '.join(rival):<42}{found[rival]:>4}")
    record_property("table", "\n".join(lines))
    assert hidden == []
    assert len(ours) > max(count for (_, way), count in found.items() if way == AS_IT_COMES)
    assert len(ours) >= 45


def test_boxes_are_closer_than_those_of_a_subtractor(record_property):
    night, judged = bundled_night()
    judgements = triaged(sample_cards.bundled())
    boxed = [one for one in judged if one.box is not None]

    def mean_overlap(boxes):
        pairs = zip(boxes, boxed, strict=True)
        return float(np.mean([0.0 if box is None else overlap(box, one.box) for box, one in pairs]))

    subjects = [judgements[one.index].measurement.subject for one in boxed]
    ours = mean_overlap([subject and subject.box for subject in subjects])
    lines = [
        f"Overlap of boxes with the true ones, mean of {len(boxed)} frames of the bundled night",
        f"{'ours':<42}{ours:>6.2f}",
    ]
    theirs = {}
    for rival, patches in rivals(night).items():
        theirs[rival] = mean_overlap([patches[one.index][1] for one in boxed])
        lines.append(f"{', '.join(rival):<42}{theirs[rival]:>6.2f}")
    record_property("table", "\n".join(lines))
    assert ours > max(theirs.values())
