"""The sample card's files, as an independent reader sees them: they must be what a camera would have written."""

import json
from datetime import datetime

import pytest

import sample_cards
from triage.ingest.card import list_card


@pytest.fixture(scope="module")
def told(exiftool):
    """Give truth and ExifTool's answer for each frame, in order."""
    root = sample_cards.bundled()
    truth = json.loads(sample_cards.bundled_truth().read_text("utf-8"))["frames"]
    paths = [root / frame["path"] for frame in truth]
    words = ["-n", "-warning", "-validate", "-SubSecDateTimeOriginal", "-EXIF:all", "-File:ImageWidth"]
    return list(zip(truth, exiftool(words, paths), strict=True))


@pytest.mark.source("tool", "ExifTool 12.57, -validate, on every file of the bundled card")
@pytest.mark.source(
    "standard", "CIPA DC-008 (Exif 2.32): the tags that a camera must write, with their types"
)
def test_an_independent_reader_misses_nothing_in_a_sound_file_but_one_tag(told):
    # It is right: the standard asks for ComponentsConfiguration in every compressed picture, and these files lack it.
    # No reader needs it, since the JPEG stream says the same.
    missed = {one["Warning"] for frame, one in told if not frame["damaged"] and "Warning" in one}
    assert missed <= {"Missing required JPEG ExifIFD tag 0x9101 ComponentsConfiguration"}


@pytest.mark.source("tool", "ExifTool 12.57, Composite:SubSecDateTimeOriginal")
def test_every_time_is_the_true_one_with_its_fraction(told):
    for frame, one in told:
        if "SubSecDateTimeOriginal" in one:
            theirs = datetime.fromisoformat(
                one["SubSecDateTimeOriginal"].replace(":", "-", 2).replace(" ", "T")
            )
            # Two digits are written, as cameras do.
            assert abs((theirs - datetime.fromisoformat(frame["taken"])).total_seconds()) < 0.01, frame[
                "path"
            ]
    assert sum("SubSecDateTimeOriginal" in one for _, one in told) >= 75


@pytest.mark.source("common practice", "a radio trigger leaves the camera with 'did not fire' on every frame")
@pytest.mark.source("tool", "ExifTool 12.57, EXIF:Flash")
def test_the_flash_tag_says_did_not_fire_on_lit_and_dark_frames_alike(told):
    lit = [frame for frame, _ in told if max(frame["flashes"].values(), default=0) > 0.5]
    assert len(lit) > 40
    assert {one["Flash"] for _, one in told if "Flash" in one} == {0x10}


@pytest.mark.source(
    "standard",
    "CIPA DC-009 (DCF): one object for each number, in one directory of number and five characters",
)
def test_every_name_is_one_of_the_standard(told):
    card = list_card(sample_cards.bundled())
    assert [group[0].path for group in card.groups] == [frame["path"] for frame, _ in told]
    assert [int(group[0].path[-8:-4]) for group in card.groups] == list(range(1, len(told) + 1))
