"""The eight orientations, pixel by pixel, against the standard and independent decoders."""

import io

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps

from tests import factories_files as files
from triage.ingest.card import list_card
from triage.ingest.decode import decode_measuring, decode_view
from triage.ingest.header import read_header
from triage.ingest.order import order_frames

# Which row and which column of the displayed picture the stored row 0 and the stored column 0 are, and how to get
# there: CIPA DC-008 (Exif 2.32), table of Orientation 0x0112.
UPRIGHT = {
    1: lambda stored: stored,
    2: np.fliplr,
    3: lambda stored: np.rot90(stored, 2),
    4: np.flipud,
    5: lambda stored: np.swapaxes(stored, 0, 1),
    6: lambda stored: np.rot90(stored, -1),
    7: lambda stored: np.swapaxes(np.rot90(stored, 2), 0, 1),
    8: np.rot90,
}

BY_ORIENTATION = pytest.mark.parametrize("orientation", list(UPRIGHT))


def frame_of(root, orientation):
    """Put a picture without any symmetry on a card; return its frame and its bytes."""
    data = files.jpeg(files.scene(64, 104), files.exif_block(main={0x0112: orientation}))
    files.put(root, "DCIM/100NIGHT/NGT_0001.JPG", data)
    (group,) = list_card(root).groups
    (frame,) = order_frames([read_header(root, group)])
    return frame, data


@BY_ORIENTATION
@pytest.mark.source(
    "standard", "CIPA DC-008 (Exif 2.32), tag Orientation 0x0112: where row 0 and column 0 are shown"
)
def test_every_orientation_is_turned_as_the_table_says(tmp_path, orientation):
    frame, data = frame_of(tmp_path, orientation)
    stored = np.asarray(Image.open(io.BytesIO(data)))
    expected = UPRIGHT[orientation](stored)
    assert np.array_equal(decode_view(tmp_path, frame), expected)
    assert np.array_equal(decode_measuring(tmp_path, frame), expected)
    assert (frame.capture.height, frame.capture.width) == expected.shape[:2]


@BY_ORIENTATION
@pytest.mark.source("library", "Pillow 13.0, ImageOps.exif_transpose")
@pytest.mark.source("library", "OpenCV 5.0, imdecode, which applies the tag on its own")
def test_two_libraries_turn_every_orientation_alike(tmp_path, orientation):
    frame, data = frame_of(tmp_path, orientation)
    ours = decode_view(tmp_path, frame)
    assert np.array_equal(ours, np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(data)))))
    theirs = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)[..., ::-1]
    assert ours.shape == theirs.shape
    # Its decoder rounds in its own way; every wrong turn differs by 20 levels and more in the mean.
    assert float(np.mean(np.abs(ours.astype(int) - theirs))) < 2.0


@pytest.mark.source("data", "ianare/exif-samples (CC BY-SA 4.0): one scene stored in the eight ways")
@pytest.mark.source("library", "OpenCV 5.0, imread, which applies the tag on its own")
@pytest.mark.parametrize("shape", ["landscape", "portrait"])
def test_real_files_of_all_orientations_look_as_an_independent_decoder_shows_them(real, shape):
    root = real("exif")
    groups = [group for group in list_card(root).groups if f"orientation_{shape}_" in group[0].name]
    frames = order_frames(read_header(root, group) for group in groups)
    assert {frame.capture.orientation for frame in frames} == set(UPRIGHT)
    for frame in frames:
        ours = decode_view(root, frame)
        theirs = cv2.imread(str(root / frame.path), cv2.IMREAD_COLOR)[..., ::-1]
        assert ours.shape == theirs.shape, frame.name
        assert float(np.mean(np.abs(ours.astype(int) - theirs))) < 2.0, frame.name
