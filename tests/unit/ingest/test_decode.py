"""Pixels of frames: small for measuring, large for the screen."""

import io
import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageOps

from tests import factories_files as files
from triage.errors import PictureError
from triage.ingest import pixels
from triage.ingest.card import list_card
from triage.ingest.decode import MEASURING_EDGE, decode_measuring, decode_view, embedded_thumbnail
from triage.ingest.header import read_header
from triage.ingest.order import order_frames

NIGHT = datetime(2026, 10, 3, 22, 14, 5)


def decoded(tmp_path, one_frame, data, name="NGT_0001.JPG"):
    return decode_measuring(tmp_path, one_frame(name, data))


def quarters(rgb):
    """Return the mean colours of the four quarters, row by row."""
    rows, columns = rgb.shape[0] // 2, rgb.shape[1] // 2
    return [
        tuple(int(value) for value in part[8:-8, 8:-8].mean(axis=(0, 1)))
        for part in (rgb[:rows, :columns], rgb[:rows, columns:], rgb[rows:, :columns], rgb[rows:, columns:])
    ]


def close(found, wanted, within=25):
    return bool(np.all(np.abs(np.array(found) - np.array(wanted)) <= within))


DISPLAYED = [(220, 20, 20), (20, 200, 20), (20, 20, 220), (240, 240, 240)]
# How to store a picture so that the orientation shows it upright: the inverse of each transform.
STORED = {
    1: lambda a: a,
    2: np.fliplr,
    3: lambda a: np.rot90(a, 2),
    4: np.flipud,
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: np.rot90(a, 1),
    7: lambda a: np.rot90(a, 2).transpose(1, 0, 2),
    8: lambda a: np.rot90(a, -1),
}


@pytest.mark.parametrize(
    ("height", "width"), [(1200, 1800), (1801, 1201), (481, 700), (480, 480), (961, 479)]
)
def test_the_long_edge_is_exactly_the_measuring_edge(tmp_path, one_frame, height, width):
    rgb = decoded(tmp_path, one_frame, files.jpeg(files.scene(height, width)))

    assert max(rgb.shape[:2]) == MEASURING_EDGE == 480
    assert rgb.shape[0] / rgb.shape[1] == pytest.approx(height / width, rel=0.005)
    assert (rgb.dtype, rgb.ndim, rgb.shape[2], rgb.flags.c_contiguous) == (np.uint8, 3, 3, True)


@pytest.mark.parametrize(("height", "width"), [(60, 90), (480, 320), (1, 1), (3, 480)])
def test_a_small_picture_is_never_enlarged(tmp_path, one_frame, height, width):
    assert decoded(tmp_path, one_frame, files.jpeg(files.scene(height, width))).shape[:2] == (height, width)


@pytest.mark.parametrize("edge", [959, 1900])
def test_reducing_averages_and_does_not_pick(tmp_path, one_frame, edge):
    """White noise loses contrast by averaging over areas; picking pixels would leave it as it is."""
    noise = np.random.default_rng(5).integers(0, 256, (edge, edge, 1), dtype=np.uint8).repeat(3, axis=2)

    rgb = decoded(tmp_path, one_frame, files.jpeg(noise, quality=97))

    assert rgb.std() < 0.7 * noise.std() * (959 / edge)
    assert rgb.mean() == pytest.approx(noise.mean(), abs=1)


# Source: the table of Exif Orientation; compared with Pillow's own transform as well.
@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_is_shown_upright(tmp_path, one_frame, orientation):
    stored = np.ascontiguousarray(STORED[orientation](files.corners()))
    data = files.jpeg(stored, files.exif_block(NIGHT, main={0x0112: orientation}))

    frame = one_frame("NGT_0001.JPG", data)
    small, large = decode_measuring(tmp_path, frame), decode_view(tmp_path, frame)

    with Image.open(io.BytesIO(data)) as image:
        expected = np.asarray(ImageOps.exif_transpose(image))
    assert close(quarters(small), DISPLAYED)
    assert np.array_equal(large, expected)
    assert large.shape[:2] == (frame.capture.height, frame.capture.width) == (96, 160)


@pytest.mark.parametrize("mode", ["L", "CMYK", "RGB"])
def test_every_colour_mode_becomes_rgb(tmp_path, one_frame, mode):
    data = io.BytesIO()
    Image.fromarray(files.corners()).convert(mode).save(data, "JPEG", quality=92)

    rgb = decoded(tmp_path, one_frame, data.getvalue())

    assert rgb.shape == (96, 160, 3)
    assert quarters(rgb)[3][0] > 225


def test_sixteen_bits_and_transparency_become_rgb():
    deep = Image.fromarray(np.full((4, 4), 40_000, np.uint16))
    clear = Image.new("RGBA", (4, 4), (10, 20, 30, 128))

    assert pixels.to_rgb(deep)[0, 0].tolist() == [156, 156, 156]
    assert pixels.to_rgb(clear).shape == (4, 4, 3)


# Damage ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.2, 0.41, 0.6, 0.9])
@pytest.mark.parametrize("size", [(240, 360), (1600, 2400)])
def test_a_truncated_jpeg_says_how_much_of_it_is_there(tmp_path, one_frame, share, size):
    frame = one_frame("NGT_0001.JPG", files.cut(files.jpeg(files.scene(*size)), share))

    with pytest.raises(PictureError, match=r"^NGT_0001\.JPG ends after \d+\s% of its picture\.$") as caught:
        decode_measuring(tmp_path, frame)

    said = int(re.findall(r"(\d+)\u00a0%", str(caught.value))[0])
    assert said == pytest.approx(100 * share, abs=8)


@pytest.mark.parametrize("missing", [3, 8, 40, 200])
def test_a_few_missing_bytes_are_noticed_although_decoded_small(tmp_path, one_frame, missing):
    data = files.jpeg(files.scene(1600, 2400))

    with pytest.raises(PictureError, match=r"9[0-9]\u00a0% of its picture"):
        decoded(tmp_path, one_frame, data[:-missing])


@pytest.mark.parametrize("missing", [1, 2])
@pytest.mark.parametrize("progressive", [False, True])
def test_a_missing_end_marker_alone_is_no_damage(tmp_path, one_frame, missing, progressive):
    data = files.jpeg(files.scene(), progressive=progressive)

    whole = decoded(tmp_path, one_frame, data)

    assert np.array_equal(decoded(tmp_path, one_frame, data[:-missing], "NGT_0002.JPG"), whole)


def test_blank_bytes_after_a_complete_picture_are_no_damage(tmp_path, one_frame):
    data = files.jpeg()

    assert decoded(tmp_path, one_frame, data[:-2] + bytes(5000)).shape == (240, 360, 3)
    assert decoded(tmp_path, one_frame, data + bytes(5000), "NGT_0002.JPG").shape == (240, 360, 3)


@pytest.mark.parametrize("filler", [b"\0", b"\xff", files.jpeg(files.scene(seed=3))])
def test_sectors_that_were_never_written_are_noticed(tmp_path, one_frame, filler):
    """The file has its full length, but the last part holds blanks or an older picture."""
    data = files.overwritten(files.jpeg(files.scene(1200, 1800)), 0.5, filler)

    with pytest.raises(PictureError, match="% of its picture"):
        decoded(tmp_path, one_frame, data)


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.7, 0.9])
@pytest.mark.parametrize("sectors", [1, 8, 64])
@pytest.mark.parametrize("detailed", [False, True])  # data run short in the one, are left over in the other
def test_blank_sectors_in_the_middle_are_noticed(tmp_path, one_frame, share, sectors, detailed):
    picture = files.scene(600, 900)
    if detailed:
        picture = np.random.default_rng(5).integers(0, 256, picture.shape, dtype=np.uint8)
    data = bytearray(files.jpeg(picture, quality=90))
    start = int(len(data) * share)
    stop = min(start + 1023 * sectors, len(data) - 200)
    data[start:stop] = bytes(stop - start)

    with pytest.raises(PictureError, match=r"blank|% of its picture"):
        decoded(tmp_path, one_frame, bytes(data))


@pytest.mark.parametrize("optimize", [False, True])
def test_a_black_picture_is_whole_however_many_zeros_it_holds(tmp_path, one_frame, optimize):
    data = files.jpeg(np.zeros((4000, 6000, 3), np.uint8), optimize=optimize)

    assert (bytes(512) in data) == optimize
    assert decoded(tmp_path, one_frame, data).max() == 0


def test_an_end_marker_that_comes_too_early_is_noticed(tmp_path, one_frame):
    data = files.cut(files.jpeg(files.scene(1200, 1800)), 0.5) + b"\xff\xd9"

    with pytest.raises(PictureError, match="% of its picture"):
        decoded(tmp_path, one_frame, data)


@pytest.mark.parametrize("restarts", [0, 1])  # a decoder may find its way again behind the restarts
@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("code", [0x01, 0xC0, 0xD8, 0xE1])
def test_a_marker_amid_the_picture_data_is_noticed(tmp_path, one_frame, restarts, progressive, code):
    whole = files.jpeg(files.scene(600, 900), restart_marker_rows=restarts, progressive=progressive)
    middle = len(whole) // 2
    broken = whole[:middle] + bytes([0xFF, code]) + whole[middle + 2 :]

    with pytest.raises(PictureError, match=r"% of its picture|before its picture is complete|damaged"):
        decoded(tmp_path, one_frame, broken)


@pytest.mark.parametrize("options", [{}, {"restart_marker_rows": 1}, {"progressive": True}])
@pytest.mark.source("library", "Pillow's own reduced decoding of the file as it stands")
def test_a_whole_picture_is_decoded_as_it_stands(options):
    data = files.jpeg(files.scene(1200, 1800), **options)
    plain = Image.open(io.BytesIO(data))
    plain.draft("RGB", (480, 320))

    assert pixels.decode_jpeg_whole(data, 480).tobytes() == plain.tobytes()
    assert pixels.decode_jpeg_whole(data + data, 480).tobytes() == plain.tobytes()


def test_a_picture_that_ends_in_mid_grey_is_whole(tmp_path, one_frame):
    picture = files.scene()
    picture = picture.copy()
    picture[-32:, -32:] = 128

    assert decoded(tmp_path, one_frame, files.jpeg(picture)).shape == (240, 360, 3)


def test_a_truncated_progressive_jpeg_is_noticed(tmp_path, one_frame):
    with pytest.raises(PictureError, match="ends before its picture is complete"):
        decoded(tmp_path, one_frame, files.cut(files.jpeg(progressive=True), 0.7))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "NGT_0001.JPG is empty (0 bytes)."),
        (b"garbage, not a picture", "NGT_0001.JPG is not a picture."),
        (bytes(4096), "NGT_0001.JPG is not a picture; it holds nothing but blank bytes."),
        (files.jpeg()[:300], "NGT_0001.JPG ends before its picture begins."),
    ],
)
def test_a_file_that_is_no_picture_says_so(tmp_path, one_frame, data, words):
    frame = one_frame("NGT_0001.JPG", data)

    for decode in (decode_measuring, decode_view):
        with pytest.raises(PictureError) as caught:
            decode(tmp_path, frame)
        assert str(caught.value) == words


def test_a_vanished_file_says_so(tmp_path, one_frame):
    frame = one_frame("NGT_0001.JPG", files.jpeg())
    (tmp_path / "NGT_0001.JPG").unlink()

    with pytest.raises(PictureError, match=r"NGT_0001\.JPG cannot be read: it is not there any more"):
        decode_measuring(tmp_path, frame)
    with pytest.raises(PictureError, match="it is not there any more"):
        decode_view(tmp_path, frame)
    assert embedded_thumbnail(tmp_path, frame) is None


def test_a_picture_of_absurd_size_is_refused_before_it_fills_the_memory(tmp_path, one_frame):
    data = bytearray(files.jpeg())
    frame_header = data.index(b"\xff\xc0")
    data[frame_header + 5 : frame_header + 9] = b"\xf0\x00\xf0\x00"

    with pytest.raises(PictureError, match="61440 by 61440 pixels"):
        decoded(tmp_path, one_frame, bytes(data))


def test_damaged_notes_do_not_stop_a_sound_picture(tmp_path, one_frame):
    """The camera's notes (Exif and all other application segments) are not needed for pixels."""
    nonsense = b"\xff\xe1\x00\x40Exif\0\0II*\0" + b"\xff" * 52
    multi = b"\xff\xe2\x00\x20MPF\0" + b"\xee" * 26
    data = files.jpeg()

    assert decoded(tmp_path, one_frame, data[:2] + nonsense + multi + data[2:]).shape == (240, 360, 3)


@given(st.integers(0, 10**9))
@settings(max_examples=40, deadline=None)
def test_random_damage_gives_a_picture_or_a_reason(tmp_path_factory, seed):
    rng = np.random.default_rng(seed)
    data = bytearray(files.jpeg(files.scene(64, 96), files.exif_block(NIGHT)))
    for place in rng.integers(0, len(data), rng.integers(1, 12)):
        data[place] = rng.integers(0, 256)
    root = tmp_path_factory.mktemp("card")
    files.put(root, "a.jpg", bytes(data))
    frame = order_frames([read_header(root, list_card(root).groups[0])])[0]

    for decode in (decode_measuring, decode_view):
        try:
            rgb = decode(root, frame)
        except PictureError as error:
            assert str(error).startswith("a.jpg ")  # noqa: PT017 - both outcomes are right, each in its own way
        else:
            assert (rgb.dtype, rgb.ndim, rgb.shape[2]) == (np.uint8, 3, 3)


# The screen -----------------------------------------------------------------------------------------------


def test_a_view_is_full_size_unless_less_is_asked(tmp_path, one_frame):
    frame = one_frame("NGT_0001.JPG", files.jpeg(files.scene(1200, 1800)))

    assert decode_view(tmp_path, frame).shape == (1200, 1800, 3)
    for edge in (200, 500, 900, 1799, 4000):
        assert (
            min(edge, 1800)
            <= max(decode_view(tmp_path, frame, long_edge=edge).shape)
            < 2 * max(edge, 900) + 2
        )


def test_a_truncated_file_is_shown_as_far_as_it_goes(tmp_path, one_frame):
    data = files.jpeg(files.scene(1200, 1800))
    whole = decode_view(tmp_path, one_frame("NGT_0001.JPG", data))

    part = decode_view(tmp_path, one_frame("NGT_0002.JPG", files.cut(data, 0.5)))

    assert part.shape == whole.shape
    assert np.array_equal(part[:500], whole[:500])
    assert np.all(part[-400:] == 128)


def test_the_raw_file_is_shown_where_the_jpeg_is_damaged(tmp_path, one_frame):
    files.put(tmp_path, "NGT_0001.DNG", files.raw_dng())
    frame = one_frame("NGT_0001.JPG", b"")

    assert decode_view(tmp_path, frame).shape == (200, 300, 3)
    with pytest.raises(PictureError, match="empty"):
        decode_measuring(tmp_path, frame)


# Previews -------------------------------------------------------------------------------------------------


def with_thumbnail(thumbnail, **block):
    """Return a JPEG whose Exif block carries a thumbnail in its second directory."""
    first = files.exif_block(NIGHT, **block)
    first.get_ifd(0x1)[0x0201] = 0
    tiff = bytearray(first.tobytes()[6:])
    order = "little" if tiff[:2] == b"II" else "big"
    count = int.from_bytes(tiff[8:10], order)
    link = 10 + 12 * count
    start = len(tiff)
    tiff[link : link + 4] = start.to_bytes(4, order)
    table = (2).to_bytes(2, order)
    for tag, value in ((0x0201, start + 30), (0x0202, len(thumbnail))):
        table += (
            tag.to_bytes(2, order)
            + (4).to_bytes(2, order)
            + (1).to_bytes(4, order)
            + value.to_bytes(4, order)
        )
    segment = b"Exif\0\0" + bytes(tiff) + table + bytes(4) + thumbnail
    data = files.jpeg(files.corners(400, 600))
    return data[:2] + b"\xff\xe1" + (2 + len(segment)).to_bytes(2, "big") + segment + data[2:]


def test_the_thumbnail_is_found_and_loses_its_black_bars(tmp_path, one_frame):
    barred = np.zeros((120, 160, 3), np.uint8)
    barred[7:113] = files.corners(106, 160)

    frame = one_frame("NGT_0001.JPG", with_thumbnail(files.jpeg(barred, quality=95)))
    thumbnail = embedded_thumbnail(tmp_path, frame)

    assert thumbnail is not None
    assert thumbnail.shape == (107, 160, 3)
    assert close(quarters(thumbnail), DISPLAYED)


def test_the_thumbnail_is_shown_where_nothing_else_is_left(tmp_path, one_frame):
    data = with_thumbnail(files.jpeg(files.corners(100, 150)))
    cut_before_picture = data[: data.rindex(b"\xff\xdb")]

    assert decode_view(tmp_path, one_frame("NGT_0001.JPG", cut_before_picture)).shape == (100, 150, 3)


@pytest.mark.parametrize("data", [files.jpeg(), b"garbage", b"", with_thumbnail(b"\xff\xd8\xff garbage")])
def test_no_thumbnail_is_none(tmp_path, one_frame, data):
    assert embedded_thumbnail(tmp_path, one_frame("NGT_0001.JPG", data)) is None


# Other formats --------------------------------------------------------------------------------------------


def test_a_heif_is_decoded_upright(tmp_path, one_frame):
    stored = np.ascontiguousarray(STORED[6](files.corners(800, 1200)))
    frame = one_frame("NGT_0001.HIF", files.heif(stored, files.exif_block(NIGHT, main={0x0112: 6})))

    rgb = decode_measuring(tmp_path, frame)

    assert rgb.shape == (320, 480, 3)
    assert close(quarters(rgb), DISPLAYED)


@pytest.mark.parametrize("share", [0.3, 0.6, 0.97])
def test_a_truncated_heif_says_how_much_is_there(tmp_path, one_frame, share):
    with pytest.raises(PictureError, match=r"NGT_0001\.HIF ends after \d+\u00a0% of its data\."):
        decoded(tmp_path, one_frame, files.cut(files.heif(), share), "NGT_0001.HIF")


def test_a_raw_file_without_preview_is_developed(tmp_path, one_frame):
    rgb = decoded(tmp_path, one_frame, files.raw_dng(), "NGT_0001.DNG")

    assert rgb.shape == (200, 300, 3)
    assert rgb[:, :140].mean() > rgb[:, 160:].mean() + 60


def test_a_raw_file_is_turned_upright_once(tmp_path, one_frame):
    """Bright on the left as stored is bright at the top after a quarter turn clockwise."""
    rgb = decoded(tmp_path, one_frame, files.raw_dng(400, 600, orientation=6), "NGT_0001.DNG")

    assert rgb.shape == (480, 320, 3)
    assert rgb[:200].mean() > rgb[280:].mean() + 60


def test_a_raw_files_preview_is_used_and_turned(tmp_path, one_frame):
    stored = np.ascontiguousarray(STORED[8](files.corners(600, 400)))
    data = files.raw_dng(400, 600, orientation=8, preview=files.jpeg(stored))

    frame = one_frame("NGT_0001.DNG", data)

    assert close(quarters(decode_measuring(tmp_path, frame)), DISPLAYED)
    assert close(quarters(decode_view(tmp_path, frame)), DISPLAYED)


def test_a_small_preview_gives_way_to_the_sensor_data(tmp_path, one_frame):
    data = files.raw_dng(400, 600, preview=files.jpeg(files.corners(100, 150)))

    assert decoded(tmp_path, one_frame, data, "NGT_0001.DNG").shape == (320, 480, 3)


def test_a_preview_cut_to_another_shape_gives_way_to_the_sensor_data(tmp_path, one_frame):
    data = files.raw_dng(400, 600, preview=files.jpeg(np.full((360, 640, 3), 200, np.uint8)))

    rgb = decoded(tmp_path, one_frame, data, "NGT_0001.DNG")

    assert rgb.shape == (320, 480, 3)
    assert rgb[:, :230].mean() > rgb[:, 250:].mean() + 60


@pytest.mark.parametrize("share", [0.3, 0.8])
def test_a_truncated_raw_file_says_how_much_is_there(tmp_path, one_frame, share):
    with pytest.raises(PictureError, match=r"NGT_0001\.DNG ends after \d+\u00a0% of its data\."):
        decoded(tmp_path, one_frame, files.cut(files.raw_dng(400, 600), share), "NGT_0001.DNG")


def test_a_raw_file_the_library_does_not_know_shows_its_preview(tmp_path, one_frame):
    stored = np.ascontiguousarray(STORED[6](files.corners()))
    preview = files.jpeg(stored, files.exif_block(NIGHT, main={0x0112: 6}))

    rgb = decoded(tmp_path, one_frame, files.raf(preview), "NGT_0001.RAF")

    assert close(quarters(rgb), DISPLAYED)


def test_a_raw_file_with_nothing_in_it_says_so(tmp_path, one_frame):
    with pytest.raises(PictureError, match="neither its preview nor its sensor data can be decoded"):
        decoded(tmp_path, one_frame, files.cr3(b"", b""), "NGT_0001.CR3")


# Threads --------------------------------------------------------------------------------------------------


def test_many_threads_get_the_same_as_one(tmp_path, one_frame):
    sound = one_frame("NGT_0001.JPG", files.jpeg(files.scene(900, 1200)))
    cut = one_frame("NGT_0002.JPG", files.cut(files.jpeg(files.scene(900, 1200)), 0.5))
    raw = one_frame("NGT_0003.DNG", files.raw_dng(400, 600))
    heif = one_frame("NGT_0004.HIF", files.heif(files.scene(400, 600)))

    def outcome(frame):
        try:
            return decode_measuring(tmp_path, frame).tobytes()
        except PictureError as error:
            return str(error)

    work = [sound, cut, raw, heif] * 8
    expected = [outcome(frame) for frame in work[:4]] * 8
    with ThreadPoolExecutor(8) as threads:
        assert list(threads.map(outcome, work)) == expected


def test_the_orientation_is_the_frames_own(tmp_path, one_frame):
    frame = one_frame("NGT_0001.JPG", files.jpeg(files.corners()))

    upside_down = decode_measuring(tmp_path, replace(frame, capture=replace(frame.capture, orientation=3)))

    assert close(quarters(upside_down), DISPLAYED[::-1])


def test_a_heif_whose_content_is_damaged_says_so(tmp_path, one_frame):
    data = files.heif(files.scene(400, 600))
    content = data.index(b"mdat") + 4

    with pytest.raises(PictureError, match=r"NGT_0001\.HIF is damaged: its picture data cannot be decoded\."):
        decoded(tmp_path, one_frame, data[:content] + b"\xff" * (len(data) - content), "NGT_0001.HIF")
