"""Headers of exposures."""

from datetime import datetime

import pytest

from tests import factories_files as files
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.records.card import CardFile, FileKind

NIGHT = datetime(2026, 10, 3, 22, 14, 5)


def header_of(root, name, data):
    files.put(root, name, data)
    card = list_card(root)
    return read_header(root, next(group for group in card.groups if group[0].path == name))


def test_a_sound_jpeg_has_no_problem_and_its_size(tmp_path):
    data = files.jpeg(files.scene(40, 60), files.exif_block(NIGHT, subsec="25"))

    header = header_of(tmp_path, "DCIM/100NIGHT/NGT_0042.JPG", data)

    assert header.problem is None
    assert header.capture.taken == datetime(2026, 10, 3, 22, 14, 5, 250_000)
    assert (header.capture.width, header.capture.height, header.capture.file_number) == (60, 40, 42)
    assert len(header.key) == 32
    int(header.key, 16)


# Source: Exif Orientation 5 to 8 swap width and height.
@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_size_is_as_displayed(tmp_path, orientation):
    block = files.exif_block(NIGHT, main={0x0112: orientation})

    capture = header_of(tmp_path, "a.jpg", files.jpeg(files.scene(40, 60), block)).capture

    assert (capture.width, capture.height) == ((60, 40) if orientation < 5 else (40, 60))


def test_the_key_survives_moving_and_new_capitals(tmp_path):
    data = files.jpeg()

    first = header_of(tmp_path / "card", "DCIM/100NIGHT/NGT_0042.JPG", data)
    second = header_of(tmp_path / "copy", "elsewhere/ngt_0042.jpg", data)

    assert first.key == second.key


def test_the_key_tells_name_size_and_content(tmp_path):
    data = files.jpeg()
    other = data[:-2] + bytes([data[-3]]) + data[-1:]

    keys = {
        header_of(tmp_path / "1", "a.jpg", data).key,
        header_of(tmp_path / "2", "b.jpg", data).key,
        header_of(tmp_path / "3", "a.jpg", data + b"\0").key,
        header_of(tmp_path / "4", "a.jpg", other).key,
    }

    assert len(keys) == 4


def test_empty_files_of_one_name_have_keys_of_their_own(tmp_path):
    first = header_of(tmp_path, "1/a.jpg", b"")
    second = header_of(tmp_path, "2/a.jpg", b"")

    assert first.key != second.key


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "a.jpg is empty (0 bytes)"),
        (b"nothing like a picture at all", "a.jpg is not a picture"),
        (bytes(5000), "a.jpg is not a picture; it holds nothing but blank bytes"),
        (b"\x89PNG\r\n\x1a\n" + bytes(50), "a.jpg is not a picture"),
        (files.jpeg()[:200], "a.jpg ends before its picture begins"),
        (b"\xff\xd8\xff\xe1", "a.jpg ends before its picture begins"),
        (b"\xff\xd8\xff" + b"x" * 9000, "a.jpg ends before its picture begins"),
    ],
)
def test_a_bad_file_is_described(tmp_path, data, problem):
    assert header_of(tmp_path, "a.jpg", data).problem == problem


def test_a_vanished_file_is_described(tmp_path):
    gone = CardFile("DCIM/100NIGHT/NGT_0007.JPG", FileKind.JPEG, 1000, 10**18)

    header = read_header(tmp_path, (gone,))

    assert header.problem == "NGT_0007.JPG cannot be opened: it is not there any more"
    assert header.capture.file_number == 7


def test_an_exif_block_beyond_the_first_bytes_is_read(tmp_path):
    """Some cameras put 64 KiB of notes of their own before the Exif block."""
    data = files.jpeg(files.scene(40, 60), files.exif_block(NIGHT))
    notes = b"\xff\xed\xff\xf0" + bytes(0xFFF0 - 2)

    header = header_of(tmp_path, "a.jpg", data[:2] + notes * 2 + data[2:])

    assert (header.capture.taken, header.capture.width, header.problem) == (NIGHT, 60, None)


def test_the_raw_file_tells_what_a_damaged_jpeg_cannot(tmp_path):
    files.put(tmp_path, "NGT_0001.DNG", files.raw_dng())

    header = header_of(tmp_path, "NGT_0001.JPG", b"")

    assert header.capture.taken == NIGHT
    assert (header.capture.width, header.capture.height) == (300, 200)
    assert header.problem == "NGT_0001.JPG is empty (0 bytes)"


def test_a_dng_is_read_whatever_its_byte_order(tmp_path):
    capture = header_of(tmp_path, "NGT_0003.DNG", files.raw_dng(orientation=8)).capture

    assert (capture.taken, capture.make, capture.model) == (NIGHT, files.MAKER, files.MODEL)
    assert (capture.width, capture.height, capture.orientation) == (200, 300, 8)


@pytest.mark.parametrize("start", [b"IIRO", b"IIRS", b"IIU\0"])
def test_raw_files_with_starts_of_their_own_are_read_like_tiff(tmp_path, start):
    data = files.raw_dng()

    capture = header_of(tmp_path, "NGT_0003.ORF", start + data[4:]).capture

    assert (capture.taken, capture.width) == (NIGHT, 300)


def test_a_cr3_is_read_from_its_boxes(tmp_path):
    main = files.exif_block(None, main={0x0112: 6, 0x0100: 600, 0x0101: 400}).tobytes()[6:]
    inner = files.exif_block(
        None, main={0x010F: None, 0x0110: None, 0x9003: "2026:10:03 22:14:05", 0x9291: "5"}
    )

    capture = header_of(tmp_path, "NGT_0004.CR3", files.cr3(main, inner.tobytes()[6:])).capture

    assert capture.taken == datetime(2026, 10, 3, 22, 14, 5, 500_000)
    assert (capture.model, capture.orientation, capture.width, capture.height) == (files.MODEL, 6, 400, 600)


def test_a_raf_is_read_from_its_preview(tmp_path):
    preview = files.jpeg(files.scene(40, 60), files.exif_block(NIGHT, main={0x0112: 6}))

    capture = header_of(tmp_path, "NGT_0005.RAF", files.raf(preview)).capture

    assert (capture.taken, capture.width, capture.height) == (NIGHT, 40, 60)


def test_a_heif_is_read_as_displayed(tmp_path):
    data = files.heif(files.scene(96, 160), files.exif_block(NIGHT, main={0x0112: 6}))

    header = header_of(tmp_path, "NGT_0006.HIF", data)

    assert (header.capture.taken, header.capture.width, header.capture.height) == (NIGHT, 96, 160)
    assert header.problem is None


def test_a_cut_heif_says_how_much_is_there(tmp_path):
    header = header_of(tmp_path, "NGT_0006.HIF", files.cut(files.heif(), 0.6))

    assert header.problem is not None
    assert "% of its data" in header.problem


def test_a_picture_under_a_wrong_extension_is_read_by_its_content(tmp_path):
    header = header_of(tmp_path, "NGT_0006.JPG", files.heif(files.scene(96, 160), files.exif_block(NIGHT)))

    assert (header.capture.taken, header.problem) == (NIGHT, None)
