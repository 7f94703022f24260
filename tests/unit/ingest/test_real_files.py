"""Real camera files: a collection of 69 JPEGs of many makers, with odd and broken metadata (CC BY-SA 4.0)."""

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
