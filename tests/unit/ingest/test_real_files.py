"""Real camera files: a collection of 69 JPEGs of many makers, with odd and broken metadata (CC BY-SA 4.0)."""

import json
import math
import shutil
import subprocess

import numpy as np
import pytest

from triage.ingest.card import list_card
from triage.ingest.decode import MEASURING_EDGE, decode_measuring, decode_view, embedded_thumbnail
from triage.ingest.header import read_header
from triage.ingest.order import order_frames


@pytest.fixture(scope="module")
def frames(real_exif):
    card = list_card(real_exif)
    return {
        frame.name: frame for frame in order_frames(read_header(real_exif, group) for group in card.groups)
    }


def test_every_file_is_read_decoded_and_in_the_order(real_exif, frames):
    assert len(frames) == sum(1 for path in real_exif.iterdir() if path.suffix == ".jpg")
    for frame in frames.values():
        rgb = decode_measuring(real_exif, frame)
        view = decode_view(real_exif, frame)
        embedded_thumbnail(real_exif, frame)
        assert frame.problem is None, frame.name
        assert max(rgb.shape[:2]) == min(MEASURING_EDGE, max(view.shape[:2])), frame.name
        assert view.shape[:2] == (frame.capture.height, frame.capture.width), frame.name


@pytest.mark.parametrize("shape", ["landscape", "portrait"])
def test_all_orientations_of_one_picture_look_alike(real_exif, frames, shape):
    """The eight files show one scene, stored in the eight ways of the table; their tints differ a little."""
    upright = decode_view(real_exif, frames[f"orientation_{shape}_1.jpg"])

    for orientation in range(1, 9):
        frame = frames[f"orientation_{shape}_{orientation}.jpg"]
        rgb = decode_view(real_exif, frame)
        assert frame.capture.orientation == orientation
        assert rgb.shape == upright.shape
        alike = np.corrcoef(rgb.ravel(), upright.ravel())[0, 1]
        wrong = [np.corrcoef(other.ravel(), upright.ravel())[0, 1] for other in (rgb[::-1], rgb[:, ::-1])]
        assert alike > 0.95
        assert alike > max(wrong) + 0.3


def test_files_with_broken_metadata_still_give_their_time(frames):
    assert str(frames["tests_33-type_error.jpg"].capture.taken) == "2008-05-25 19:31:26"
    assert str(frames["tests_67-0_length_string.jpg"].capture.taken) == "2016-09-12 10:05:31"


def pairs_of(told, frames):
    """Return file, the other reader's value and ours, of every tag that the other reader understands."""
    name = told["SourceFile"].rpartition("/")[2]
    capture = frames[name].capture
    numbers = {
        "ExposureTime": capture.exposure_s,
        "FNumber": capture.f_number,
        "Flash": capture.flash,
        "FocalLength": capture.focal_mm,
        "Orientation": capture.orientation,
    }
    for tag, ours in numbers.items():
        usable = 0 <= told.get(tag, -1) <= 0xFF if tag == "Flash" else told.get(tag) not in {None, 0, "undef"}
        if usable:  # the standard gives Flash seven bits; one file says 9969
            yield name, told[tag], ours
    words = {
        "DateTimeOriginal": capture.taken and f"{capture.taken:%Y:%m:%d %H:%M:%S}",
        "Make": capture.make,
        "Model": capture.model,
    }
    for tag, said in words.items():
        if isinstance(told.get(tag), str) and told[tag].strip():
            yield name, told[tag].strip(), said


def same(theirs, ours):
    """Whether two values agree; numbers to the digits the other reader prints."""
    if isinstance(theirs, str) or ours is None:
        return theirs == ours
    return math.isclose(theirs, ours, rel_tol=1e-6)


# Source of every expected value: ExifTool, a metadata reader independent of the libraries used here.
def test_what_is_read_agrees_with_an_independent_reader(real_exif, frames):
    tool = shutil.which("exiftool")
    if tool is None:
        pytest.skip("exiftool is not installed")
    tags = [
        "DateTimeOriginal",
        "ExposureTime",
        "FNumber",
        "Flash",
        "FocalLength",
        "Orientation",
        "Make",
        "Model",
    ]
    asked = [f"-EXIF:{tag}" for tag in tags]
    done = subprocess.run(
        [tool, "-j", "-n", *asked, str(real_exif)], capture_output=True, check=False, text=True, timeout=120
    )
    pairs = [pair for told in json.loads(done.stdout) for pair in pairs_of(told, frames)]

    assert [pair for pair in pairs if not same(*pair[1:])] == []
    assert len(pairs) > 250
