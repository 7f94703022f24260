"""Bytes of files on the card, and what their first bytes say they are."""

import os

import pytest

from tests import factories_files as files
from triage.ingest.source import HEAD_BYTES, CardBytes, Form, form_of, full_path


@pytest.fixture
def numbers(tmp_path):
    """Give the path of a file of 200,000 bytes in which no stretch occurs twice."""
    data = b"".join(number.to_bytes(4, "big") for number in range(50_000))
    return str(files.put(tmp_path, "a.jpg", data)), data


def test_every_stretch_is_read_wherever_it_lies(numbers):
    path, data = numbers

    with CardBytes(path) as source:
        assert source.size == len(data)
        assert source.head == data[:HEAD_BYTES]
        for start, count in ((0, 10), (HEAD_BYTES - 5, 10), (HEAD_BYTES, 10), (150_000, 10**9), (199_999, 5)):
            assert source.at(start, count) == data[start : start + count]
        assert source.whole() == data


@pytest.mark.parametrize(("start", "count"), [(-1, 5), (0, 0), (0, -1), (10**9, 5)])
def test_stretches_outside_are_empty(numbers, start, count):
    with CardBytes(numbers[0]) as source:
        assert source.at(start, count) == b""


def test_a_closed_file_stays_closed(numbers):
    with CardBytes(numbers[0]) as source:
        pass

    with pytest.raises(ValueError, match="closed"):
        source.at(HEAD_BYTES, 10)


def test_a_file_that_cannot_even_begin_is_closed_again(numbers, monkeypatch):
    def fstat(_):
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as during:
        during.setattr(os, "fstat", fstat)
        with pytest.raises(OSError, match="Input/output"):  # a file left open would be a warning, so an error
            CardBytes(numbers[0])


@pytest.mark.skipif(not hasattr(os, "O_NOATIME"), reason="this system always notes the time of access")
def test_a_file_of_another_owner_is_read_all_the_same(numbers, monkeypatch):
    path, data = numbers
    real = os.open

    def owners_only(name, flags, *rest):
        if flags & os.O_NOATIME:
            raise PermissionError(1, "Operation not permitted")
        return real(name, flags, *rest)

    monkeypatch.setattr(os, "open", owners_only)

    with CardBytes(path) as source:
        assert source.whole() == data


@pytest.mark.parametrize(
    ("head", "form"),
    [
        (files.jpeg()[:16], Form.JPEG),
        (files.heif()[:16], Form.HEIF),
        (b"\0\0\0\x18ftypheix\0\0\0\0", Form.HEIF),
        (b"\0\0\0\x18ftypcrx \0\0\0\1", Form.CR3_RAW),
        (b"\0\0\0\x18ftypavif\0\0\0\0", None),
        (b"\0\0\0\x18ftypqt  \0\0\0\0", None),
        (files.raw_dng()[:16], Form.TIFF_RAW),
        (b"MM\0*\0\0\0\x08", Form.TIFF_RAW),
        (b"FUJIFILMCCD-RAW 0201", Form.RAF_RAW),
        (b"II\x1a\0\0\0HEAPCCDR", Form.OTHER_RAW),
        (b"FOVb\0\0\2\0", Form.OTHER_RAW),
        (b"\x89PNG\r\n\x1a\n", None),
        (b"\xff\xd8", None),
        (b"", None),
    ],
)
def test_the_first_bytes_say_what_a_file_is(head, form):
    assert form_of(head) is form


def test_paths_keep_what_they_are(tmp_path):
    assert full_path(tmp_path, "a/b c.jpg") == os.path.join(str(tmp_path), "a", "b c.jpg")  # noqa: PTH118
