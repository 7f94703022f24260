"""Names of folders and files; what the standard itself says of them is in `tests/checks/test_dcf.py`."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triage.ingest.dcf import dcf_folder_number, dcf_name, natural_key, path_key


def test_digits_of_other_scripts_are_no_number():
    assert dcf_folder_number("\uff11\uff10\uff10ABCDE") is None
    assert dcf_name("IMG_\uff10\uff10\uff10\uff11.JPG") is None


@pytest.mark.parametrize("name", ["DCIM", "", "1000ABCDE"])
def test_other_folder_names_give_none(name):
    assert dcf_folder_number(name) is None


@pytest.mark.parametrize("name", ["ÄMG_0001.JPG", "IMG_0001(1).JPG", ""])
def test_other_file_names_give_none(name):
    assert dcf_name(name) is None


@settings(deadline=None)
@given(st.integers(1, 9999), st.text("ABCXYZ_0189", min_size=4, max_size=4))
def test_every_name_built_by_the_rule_is_read_back(number, prefix):
    assert dcf_name(f"{prefix}{number:04d}.JPG") == (prefix, number)


def test_natural_order_counts():
    names = ["shot 10.jpg", "shot 9.jpg", "Shot 1.jpg", "shot.jpg", "9.jpg", "shot 9.JPG"]

    assert sorted(names, key=natural_key) == [
        "9.jpg", "Shot 1.jpg", "shot 9.JPG", "shot 9.jpg", "shot 10.jpg", "shot.jpg",
    ]  # fmt: skip


@settings(deadline=None)
@given(st.lists(st.text(st.characters(), max_size=12), max_size=12))
def test_natural_order_is_the_same_from_any_start(names):
    backwards = names[::-1]

    assert sorted(names, key=natural_key) == sorted(backwards, key=natural_key)


@settings(deadline=None)
@given(st.text(), st.text())
def test_only_equal_names_have_equal_keys(first, second):
    assert (natural_key(first) == natural_key(second)) == (first == second)


def test_a_change_of_colour_space_does_not_change_the_order():
    names = ["_MG_0002.JPG", "IMG_0003.JPG", "IMG_0001.JPG"]

    assert sorted(names, key=lambda name: path_key("DCIM/100NIGHT", name)) == [
        "IMG_0001.JPG", "_MG_0002.JPG", "IMG_0003.JPG",
    ]  # fmt: skip
