"""Names of folders and files, against CIPA DC-009 as quoted in published summaries of the standard."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.ingest.dcf import dcf_folder_number, dcf_name, natural_key, path_key


# Source: CIPA DC-009 (DCF) naming rules: 3 digits 100-999 and 5 characters; 4 characters and 0001-9999.
@pytest.mark.parametrize(
    ("name", "number"),
    # "1000ABCD" is 100 and five free characters, of which a digit may be the first.
    [("100ABCDE", 100), ("123ABCDE", 123), ("999_____", 999), ("100abcde", 100), ("1000ABCD", 100)],
)
def test_folder_names_of_the_standard_give_their_number(name, number):
    assert dcf_folder_number(name) == number


@pytest.mark.parametrize(
    "name", ["099ABCDE", "1000ABCDE", "100ABCD", "100AB-DE", "DCIM", "", "\uff11\uff10\uff10ABCDE"]
)
def test_other_folder_names_give_none(name):
    assert dcf_folder_number(name) is None


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("IMG_0001.JPG", ("IMG_", 1)),
        ("_DSC9999.NEF", ("_DSC", 9999)),
        ("ABCD0005.WAV", ("ABCD", 5)),
        ("abcd0005.wav", ("ABCD", 5)),
        ("12340005.JPG", ("1234", 5)),
    ],
)
def test_file_names_of_the_standard_give_prefix_and_number(name, expected):
    assert dcf_name(name) == expected


@pytest.mark.parametrize(
    "name",
    [
        "IMG_0000.JPG",
        "IMG_00001.JPG",
        "IMG 0001.JPG",
        "IMG-0001.JPG",
        "IMG_0001",
        "ÄMG_0001.JPG",
        "IMG_0001(1).JPG",
    ],
)
def test_other_file_names_give_none(name):
    assert dcf_name(name) is None


@given(st.integers(1, 9999), st.text("ABCXYZ_0189", min_size=4, max_size=4))
def test_every_name_built_by_the_rule_is_read_back(number, prefix):
    assert dcf_name(f"{prefix}{number:04d}.JPG") == (prefix, number)


def test_natural_order_counts():
    names = ["shot 10.jpg", "shot 9.jpg", "Shot 1.jpg", "shot.jpg", "9.jpg", "shot 9.JPG"]

    assert sorted(names, key=natural_key) == [
        "9.jpg", "Shot 1.jpg", "shot 9.JPG", "shot 9.jpg", "shot 10.jpg", "shot.jpg",
    ]  # fmt: skip


@given(st.lists(st.text(st.characters(), max_size=12), max_size=12))
def test_natural_order_is_the_same_from_any_start(names):
    backwards = names[::-1]

    assert sorted(names, key=natural_key) == sorted(backwards, key=natural_key)


@given(st.text(), st.text())
def test_only_equal_names_have_equal_keys(first, second):
    assert (natural_key(first) == natural_key(second)) == (first == second)


def test_a_change_of_colour_space_does_not_change_the_order():
    names = ["_MG_0002.JPG", "IMG_0003.JPG", "IMG_0001.JPG"]

    assert sorted(names, key=lambda name: path_key("DCIM/100NIGHT", name)) == [
        "IMG_0001.JPG", "_MG_0002.JPG", "IMG_0003.JPG",
    ]  # fmt: skip
