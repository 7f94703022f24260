import errno
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triage.errors import OutputError
from triage.pipeline.spool import Spool

SHAPES = st.tuples(st.integers(1, 40), st.integers(1, 40), st.just(3))


def picture(shape=(8, 12, 3), *, seed=0):
    return np.random.default_rng(seed).integers(0, 256, shape, dtype=np.uint8)


@settings(deadline=None, max_examples=40)
@given(st.lists(SHAPES, min_size=1, max_size=8), st.randoms(use_true_random=False))
def test_pictures_come_back_as_they_were_put_in_any_order(shapes, random):
    pictures = [picture(shape, seed=number) for number, shape in enumerate(shapes)]
    order = list(range(len(shapes)))
    with Spool() as spool:
        for index, each in enumerate(pictures):
            spool.put(index, each)
        random.shuffle(order)
        for index in order:
            assert spool.shape(index) == shapes[index]
            assert np.array_equal(spool.get(index), pictures[index])


def test_a_view_on_part_of_a_picture_is_kept_as_it_looks():
    part = picture((20, 30, 3))[::-1, 4:25]
    with Spool() as spool:
        spool.put(7, part)
        assert np.array_equal(spool.get(7), part)


def test_a_picture_put_again_replaces_the_one_before():
    with Spool() as spool:
        spool.put(0, picture(seed=1))
        spool.put(0, picture((4, 4, 3), seed=2))
        assert np.array_equal(spool.get(0), picture((4, 4, 3), seed=2))


def test_a_picture_never_put_is_unknown():
    with Spool() as spool, pytest.raises(KeyError):
        spool.get(3)


def test_several_threads_may_put_and_get_at_once():
    pictures = [picture((90, 120, 3), seed=seed) for seed in range(20)]

    def there_and_back(number):
        index = number % len(pictures)
        spool.put(number, pictures[index])
        return np.array_equal(spool.get(number), pictures[index])

    with Spool() as spool, ThreadPoolExecutor(8) as pool:
        assert all(pool.map(there_and_back, range(600)))


def test_nothing_is_left_in_the_folder_of_temporary_files(tmp_path, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with Spool() as spool:
        spool.put(0, picture((100, 100, 3)))
        spool.get(0)
    assert list(tmp_path.iterdir()) == []


def full(_data):
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_full_disk_is_said_in_words(monkeypatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with Spool() as spool:
        monkeypatch.setattr(spool, "_file", FullFile(spool._file))
        with pytest.raises(OutputError, match="No room for temporary files") as caught:
            spool.put(0, picture())
    assert str(tmp_path) in str(caught.value)
    assert isinstance(caught.value.__cause__, OSError)


class FullFile:
    """A file on a full disk."""

    def __init__(self, file):
        self._file = file
        self.write = full

    def __getattr__(self, name):
        return getattr(self._file, name)


def test_a_picture_that_did_not_fit_is_not_kept(monkeypatch):
    with Spool() as spool:
        spool.put(0, picture(seed=5))
        with monkeypatch.context() as patch:
            patch.setattr(spool, "_file", FullFile(spool._file))
            with pytest.raises(OutputError):
                spool.put(1, picture(seed=6))
        with pytest.raises(KeyError):
            spool.shape(1)
        spool.put(2, picture(seed=7))
        assert np.array_equal(spool.get(0), picture(seed=5))
        assert np.array_equal(spool.get(2), picture(seed=7))


def always_full(*, buffering, **_):
    return Path("/dev/full").open("r+b", buffering=buffering)


@pytest.mark.parametrize("shape", [(200, 300, 3), (10, 10, 3)])
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_a_disk_that_is_really_full_is_said_in_words_too(shape, monkeypatch):
    monkeypatch.setattr(tempfile, "TemporaryFile", always_full)

    def fill():
        with Spool() as spool:
            spool.put(0, picture(shape))
            spool.get(0)

    with pytest.raises(OutputError, match="No room for temporary files"):
        fill()


@pytest.mark.skipif(sys.platform == "win32", reason="disks are mounted as folders only elsewhere")
def test_a_small_disk_that_fills_up_is_said_in_words(small_disk, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(small_disk))

    def fill():
        with Spool() as spool:
            for index in range(40):
                spool.put(index, picture((160, 241, 3)))

    with pytest.raises(OutputError, match="No room for temporary files"):
        fill()
