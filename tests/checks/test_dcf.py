"""Folders, names, numbers and objects of a card, against the Design rule for Camera File system."""

import pytest

from tests import factories_files as files
from triage.ingest.card import list_card
from triage.ingest.dcf import dcf_folder_number, dcf_name
from triage.ingest.header import read_header
from triage.ingest.order import order_frames

DCF = "CIPA DC-009 / JEITA CP-3461 (DCF)"


@pytest.mark.source(
    "standard", f"{DCF}: directory names, 3 digits 100 to 999 and 5 of the 37 free characters"
)
@pytest.mark.parametrize(
    ("name", "number"),
    [
        ("100ABCDE", 100),
        ("101NIGHT", 101),
        ("123ABCDE", 123),
        ("999_____", 999),
        ("100abcde", 100),
        # Published examples call this one invalid; by the rule they quote it is not: 100, and "0ABCD" of free
        # characters, among which digits are. The rule is right.
        ("1000ABCD", 100),
        ("099ABCDE", None),
        ("000ABCDE", None),
        ("100ABCD", None),
        ("100ABCDEF", None),
        ("100AB-DE", None),
        ("100AB DE", None),
        ("100ÄBCDE", None),
    ],
)
def test_directory_names(name, number):
    assert dcf_folder_number(name) == number


@pytest.mark.source("standard", f"{DCF}: file names, 4 free characters, 0001 to 9999, extension")
@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("IMG_0001.JPG", ("IMG_", 1)),
        ("_DSC9999.NEF", ("_DSC", 9999)),
        ("ABCD0005.WAV", ("ABCD", 5)),
        ("abcd0005.wav", ("ABCD", 5)),
        ("12345678.JPG", ("1234", 5678)),
        ("IMG_0000.JPG", None),
        ("IMG_00001.JPG", None),
        ("IMG0001.JPG", None),
        ("IMG 0001.JPG", None),
        ("IMG-0001.JPG", None),
        ("IMG_0001", None),
    ],
)
def test_file_names(name, parts):
    assert dcf_name(name) == parts


def card(root, *paths):
    """Put small pictures with an equal clock on a card: only the names tell them apart."""
    for seed, path in enumerate(paths):
        picture = files.scene(16, 24, seed=seed)
        block = files.exif_block("2026:10:03 22:00:00")
        files.put(root, path, b"" if not path.endswith((".JPG", ".NEF")) else files.jpeg(picture, block))
    return list_card(root)


def objects(listed):
    return [[file.path.removeprefix("DCIM/") for file in group] for group in listed.groups]


def order(root, listed):
    frames = order_frames(read_header(root, group) for group in reversed(listed.groups))
    return [frame.path.removeprefix("DCIM/") for frame in frames]


@pytest.mark.source("standard", f"{DCF}: files of one directory that share the number form one object")
def test_a_raw_file_and_a_jpeg_of_one_number_are_one_object(tmp_path):
    listed = card(tmp_path, "DCIM/100NIGHT/IMG_0007.NEF", "DCIM/100NIGHT/IMG_0007.JPG")
    assert objects(listed) == [["100NIGHT/IMG_0007.JPG", "100NIGHT/IMG_0007.NEF"]]


@pytest.mark.source("standard", f"{DCF}: one object even where the 4 leading characters differ")
@pytest.mark.source("standard", f"{DCF}: files of another colour space begin with an underscore")
def test_a_pair_whose_names_begin_otherwise_is_one_object(tmp_path):
    listed = card(tmp_path, "DCIM/100NIGHT/_MG_0007.JPG", "DCIM/100NIGHT/IMG_0007.NEF")
    assert objects(listed) == [["100NIGHT/_MG_0007.JPG", "100NIGHT/IMG_0007.NEF"]]


@pytest.mark.source("standard", f"{DCF}: a thumbnail (THM) and a sound belong to the object of their number")
def test_a_thumbnail_and_a_sound_ride_along(tmp_path):
    names = ("IMG_0007.NEF", "IMG_0007.THM", "SND_0007.WAV")
    listed = card(tmp_path, *(f"DCIM/100NIGHT/{name}" for name in names))
    (found,) = objects(listed)
    assert found[0] == "100NIGHT/IMG_0007.NEF"
    told = {*found, *(left.path.removeprefix("DCIM/") for left in listed.left_out)}
    assert told == {f"100NIGHT/{name}" for name in names}


@pytest.mark.source("standard", f"{DCF}: the same number in two directories is two objects")
def test_one_number_in_two_directories_is_two_frames(tmp_path):
    listed = card(tmp_path, "DCIM/100NIGHT/IMG_0007.JPG", "DCIM/101NIGHT/IMG_0007.NEF")
    assert objects(listed) == [["100NIGHT/IMG_0007.JPG"], ["101NIGHT/IMG_0007.NEF"]]


@pytest.mark.source(
    "table", "makers' manuals on continuous numbering: after 9999 comes 0001 in the next directory"
)
def test_numbers_go_on_in_the_next_directory_after_9999(tmp_path):
    names = [
        "100NIGHT/IMG_9998.JPG",
        "100NIGHT/IMG_9999.JPG",
        "101NIGHT/IMG_0001.JPG",
        "101NIGHT/IMG_0002.JPG",
    ]
    listed = card(tmp_path, *(f"DCIM/{name}" for name in names))
    assert order(tmp_path, listed) == names


@pytest.mark.source(
    "table", "makers' manuals: some open a new directory early, for instance after 2000 pictures"
)
def test_numbers_go_on_in_a_directory_that_was_opened_early(tmp_path):
    names = [
        "100NIGHT/IMG_1999.JPG",
        "100NIGHT/IMG_2000.JPG",
        "101NIGHT/IMG_2001.JPG",
        "102NIGHT/IMG_4001.JPG",
    ]
    listed = card(tmp_path, *(f"DCIM/{name}" for name in names))
    assert order(tmp_path, listed) == names


@pytest.mark.source("standard", f"{DCF}: directories are 100 to 999, whatever their free characters")
def test_directories_are_ordered_by_their_number_not_by_their_characters(tmp_path):
    names = ["100ZZZZZ/IMG_0001.JPG", "101AAAAA/IMG_0002.JPG", "999_____/IMG_0003.JPG"]
    listed = card(tmp_path, *(f"DCIM/{name}" for name in names))
    assert order(tmp_path, listed) == names


@pytest.mark.source("standard", f"{DCF}: letters are not told from capitals; the extension may be any")
def test_names_in_small_letters_are_the_same_names(tmp_path):
    listed = card(tmp_path, "DCIM/100night/img_0007.NEF", "DCIM/100night/IMG_0007.JPG")
    assert len(listed.groups) == 1
