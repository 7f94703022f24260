"""Listing a card."""

import os
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests import factories_files as files
from triage.ingest.card import list_card
from triage.records.card import PICTURE_KINDS, Card, FileKind


def groups_of(card: Card) -> list[list[str]]:
    return [[file.path for file in group] for group in card.groups]


def reasons_of(card: Card) -> dict[str, str]:
    return {left.path: left.reason for left in card.left_out}


def card_of(root: Path, *paths: str) -> Card:
    for path in paths:
        files.put(root, path, b"x")
    return list_card(root)


def test_a_standard_card_is_listed_by_folder_and_number(tmp_path):
    card = card_of(
        tmp_path, "DCIM/101NIGHT/NGT_0001.JPG", "DCIM/100NIGHT/NGT_9999.JPG", "DCIM/100NIGHT/NGT_9998.JPG"
    )

    assert groups_of(card) == [
        ["DCIM/100NIGHT/NGT_9998.JPG"], ["DCIM/100NIGHT/NGT_9999.JPG"], ["DCIM/101NIGHT/NGT_0001.JPG"],
    ]  # fmt: skip
    assert (card.files, card.size, card.left_out) == (3, 3, ())
    assert card.root == str(tmp_path)


def test_any_folder_will_do(tmp_path):
    card = card_of(tmp_path, "first night/fox 10.jpeg", "first night/fox 9.jpeg", "loose.jpg")

    assert groups_of(card) == [["loose.jpg"], ["first night/fox 9.jpeg"], ["first night/fox 10.jpeg"]]


# Source: CIPA DC-009, a DCF object is all files of one directory that share the four-digit number.
def test_files_of_one_dcf_object_ride_together_with_the_jpeg_first(tmp_path):
    card = card_of(
        tmp_path,
        *(
            f"DCIM/100NIGHT/{name}"
            for name in ("NGT_0007.XMP", "NGT_0007.WAV", "_GT_0007.NEF", "NGT_0007.JPG")
        ),
    )

    assert groups_of(card) == [
        [f"DCIM/100NIGHT/{name}" for name in ("NGT_0007.JPG", "_GT_0007.NEF", "NGT_0007.XMP", "NGT_0007.WAV")]
    ]


def test_the_same_number_in_two_folders_is_two_exposures(tmp_path):
    card = card_of(tmp_path, "DCIM/100NIGHT/NGT_0007.JPG", "DCIM/101NIGHT/NGT_0007.NEF")

    assert len(card.groups) == 2


@pytest.mark.parametrize(("one", "other"), [("IMG_", "_MG_"), ("_MG_", "IMG_")])
def test_two_jpegs_of_one_number_stay_two_frames_each_with_its_own_raw_file(tmp_path, one, other):
    names = [f"DCIM/100NIGHT/{name}" for name in (f"{one}0001.JPG", f"{other}0001.JPG", f"{other}0001.CR2")]

    card = card_of(tmp_path, *names)

    assert sorted(groups_of(card)) == sorted([names[:1], names[1:]])


def test_names_differing_in_capitals_only_hide_nothing(tmp_path):
    card = card_of(tmp_path, "a.jpg", "A.JPG", "a.jpeg")

    assert sorted(len(group) for group in card.groups) == [1, 1, 1]


def test_outside_a_dcf_folder_only_the_same_stem_joins(tmp_path):
    card = card_of(
        tmp_path, "copy/CAMA0001.JPG", "copy/CAMB0001.NEF", "copy/CAMB0001.xmp", "copy/cama0001.dng"
    )

    assert groups_of(card) == [
        ["copy/CAMA0001.JPG", "copy/cama0001.dng"], ["copy/CAMB0001.NEF", "copy/CAMB0001.xmp"],
    ]  # fmt: skip


def test_a_sidecar_named_after_the_whole_file_name_rides_along(tmp_path):
    card = card_of(tmp_path, "NGT_0001.CR2", "NGT_0001.CR2.xmp")

    assert groups_of(card) == [["NGT_0001.CR2", "NGT_0001.CR2.xmp"]]


@pytest.mark.parametrize(
    "name",
    [
        "a.heic",
        "a.HIF",
        "a.heif",
        "a.cr2",
        "a.CR3",
        "a.nef",
        "a.arw",
        "a.raf",
        "a.orf",
        "a.rw2",
        "a.dng",
        "a.pef",
        "a.srw",
        "a.JPE",
    ],
)
def test_every_camera_format_makes_a_frame(tmp_path, name):
    card = card_of(tmp_path, name)

    assert card.groups[0][0].kind in PICTURE_KINDS


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("DCIM/100NIGHT/NGT_0002.MOV", "a film; films are copied but not triaged"),
        ("DCIM/100NIGHT/NGT_0002.THM", "a sidecar that belongs to no picture here"),
        ("DCIM/100NIGHT/NGT_0003.WAV", "a sound recording that belongs to no picture here"),
        ("a.png", "a .png file; only JPEG, HEIF and raw files are triaged"),
        ("a.avif", "a .avif file; only JPEG, HEIF and raw files are triaged"),
        ("README", "a file without an extension; only JPEG, HEIF and raw files are triaged"),
        (".jpg", "a file without an extension; only JPEG, HEIF and raw files are triaged"),
        ("System Volume Information/IndexerVolumeGuid", "the computer's own housekeeping, not the camera's"),
        (".Trashes/501/NGT_0005.JPG", "in a computer's waste bin: it was deleted there"),
        (".Trash-1000/files/NGT_0005.JPG", "in a computer's waste bin: it was deleted there"),
        ("DCIM/Thumbs.db", "left by a computer, not by the camera"),
        ("DCIM/100NIGHT/._NGT_0001.JPG", "a side file left by another computer when it copied here"),
    ],
)
def test_what_is_not_triaged_is_left_out_with_its_reason(tmp_path, path, words):
    card = card_of(tmp_path, "DCIM/100NIGHT/NGT_0001.JPG", path)

    assert words in reasons_of(card)[path]
    assert (len(card.groups), card.files) == (1, 2)


def test_a_film_of_a_pictures_number_is_still_left_out(tmp_path):
    card = card_of(tmp_path, "DCIM/100NIGHT/NGT_0001.JPG", "DCIM/100NIGHT/NGT_0001.MOV")

    assert reasons_of(card) == {"DCIM/100NIGHT/NGT_0001.MOV": "a film; films are copied but not triaged"}


def test_size_and_time_of_a_file_are_kept(tmp_path):
    target = files.put(tmp_path, "a.jpg", b"12345")
    os.utime(target, ns=(1, 1_790_000_000_000_000_000))

    file = list_card(tmp_path).groups[0][0]

    assert (file.size, file.modified_ns, file.kind) == (5, 1_790_000_000_000_000_000, FileKind.JPEG)


def test_the_same_folder_gives_the_same_listing(tmp_path):
    card = card_of(tmp_path, "b/1.jpg", "a/2.jpg", "a/x.mov", "c.txt")

    assert list_card(tmp_path) == card


NAMES = st.lists(
    st.builds(
        "{}{}{}.{}".format,
        st.sampled_from(["", "DCIM/100NIGHT/", "DCIM/101NIGHT/", "x/"]),
        st.sampled_from(["NGT_", "_GT_", "ngt_", "fox", "."]),
        st.sampled_from(["0001", "0002", "1", "0000"]),
        st.sampled_from(["JPG", "jpg", "jpeg", "NEF", "dng", "HIF", "xmp", "NEF.xmp", "WAV", "MOV", "txt"]),
    ),
    max_size=14,
)


@given(NAMES)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_every_file_is_in_exactly_one_group_or_left_out(tmp_path_factory, names):
    root = tmp_path_factory.mktemp("card")
    paths = {"always/there.jpg", *names}

    card = card_of(root, *paths)

    grouped = [path for group in groups_of(card) for path in group]
    listed = grouped + list(reasons_of(card))
    assert sorted(listed) == sorted(paths)
    assert card.files == len(paths)
    for group in card.groups:
        assert group[0].kind in PICTURE_KINDS
        jpegs = [file for file in group if file.kind is FileKind.JPEG]
        assert len(jpegs) <= 1
        assert {file.folder for file in group} == {group[0].folder}


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux file systems take any byte in a name")
def test_a_name_that_is_no_text_keeps_its_bytes(tmp_path):
    target = os.fsencode(tmp_path) + b"/N\xe4chte_\xff.jpg"
    Path(os.fsdecode(target)).write_bytes(files.jpeg())

    card = list_card(tmp_path)

    assert os.fsencode(card.groups[0][0].path) == b"N\xe4chte_\xff.jpg"
