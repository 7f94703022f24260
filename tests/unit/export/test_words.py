import errno

import pytest

from triage.export.words import cause, count, shown, size


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (0, "0 bytes"),
        (999, "999 bytes"),
        (1000, "1.0 kB"),
        (71_234_567, "71.2 MB"),
        (64_000_000_000, "64.0 GB"),
    ],
)
def test_sizes_are_in_powers_of_ten(number: int, words: str) -> None:
    # SI prefixes, as on the label of a card.
    assert size(number) == words


def test_nouns_agree_with_their_number() -> None:
    assert [count(1, "frame"), count(0, "frame"), count(2, "thing is", "things are")] == [
        "1 frame", "0 frames", "2 things are",
    ]  # fmt: skip


def test_causes_are_plain_words() -> None:
    assert cause(OSError(errno.ENOSPC, "No space left on device")) == "the disk is full"
    assert "pulled out" in cause(OSError(errno.ENOENT, "No such file or directory"))
    assert cause(OSError(errno.ENOTTY, "Odd thing")) == "odd thing"
    assert cause(OSError("nothing but words")) == "the system gave no reason"


def test_shown_names_can_be_printed_anywhere() -> None:
    assert shown("N\udcffGT\n.JPG") == "N?GT\\n.JPG"
    assert shown("Füchsin 狐.JPG") == "Füchsin 狐.JPG"
