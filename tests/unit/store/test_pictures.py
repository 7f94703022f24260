"""Measuring pictures on the disk, and packs that were cut, damaged or pruned."""

import errno
import os
import tempfile
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triage.errors import OutputError
from triage.store import pictures as packs
from triage.store.pictures import PictureStore


def picture(shape=(8, 12, 3), *, seed=0):
    return np.random.default_rng(seed).integers(0, 256, shape, dtype=np.uint8)


def key(number):
    return number.to_bytes(16, "big")


SHAPES = st.tuples(st.integers(1, 40), st.integers(1, 40), st.just(3))


@settings(deadline=None, max_examples=40)
@given(st.lists(SHAPES, min_size=1, max_size=8), st.randoms(use_true_random=False))
def test_pictures_come_back_as_they_were_put_in_any_order(shapes, random):
    pictures = [picture(shape, seed=number) for number, shape in enumerate(shapes)]
    with PictureStore(None) as store:
        places = [store.put(key(number), each) for number, each in enumerate(pictures)]
        for number in random.sample(range(len(shapes)), len(shapes)):
            assert places[number].shape == shapes[number]
            assert np.array_equal(store.get(places[number]), pictures[number])


def test_a_view_on_part_of_a_picture_is_kept_as_it_looks():
    part = picture((20, 30, 3))[::-1, 4:25]
    with PictureStore(None) as store:
        assert np.array_equal(store.get(store.put(key(1), part)), part)


def test_a_later_run_finds_what_an_earlier_one_put(tmp_path):
    with PictureStore(tmp_path) as store:
        for number in range(5):
            store.put(key(number), picture(seed=number))

    with PictureStore(tmp_path) as store:
        for number in range(5):
            assert np.array_equal(store.get(store.find(key(number))), picture(seed=number))
        assert store.find(key(7)) is None


def test_a_run_that_was_killed_leaves_what_it_put(tmp_path):
    killed = PictureStore(tmp_path)
    killed.put(key(1), picture(seed=1))

    with killed, PictureStore(tmp_path) as store:
        assert np.array_equal(store.get(store.find(key(1))), picture(seed=1))


@pytest.mark.parametrize("missing", [1, 60, 290, 310])
def test_of_a_pack_that_was_cut_the_rest_is_used(tmp_path, missing):
    with PictureStore(tmp_path) as store:
        for number in range(2):
            store.put(key(number), picture(seed=number))
    (pack,) = tmp_path.iterdir()
    pack.write_bytes(pack.read_bytes()[:-missing])

    with PictureStore(tmp_path) as store:
        assert np.array_equal(store.get(store.find(key(0))), picture())
        assert store.find(key(1)) is None


@pytest.mark.parametrize("filler", [b"\0", b"\xff"])
def test_a_damaged_picture_is_none_and_never_another_picture(tmp_path, filler):
    with PictureStore(tmp_path) as store:
        store.put(key(0), picture())
    (pack,) = tmp_path.iterdir()
    data = pack.read_bytes()
    for start in range(28, len(data), 40):
        pack.write_bytes(data[:start] + filler * 4 + data[start + 4 :])
        with PictureStore(tmp_path) as store:
            found = store.get(store.find(key(0)))
            assert found is None or np.array_equal(found, picture())


def test_a_file_that_is_no_pack_is_passed_over(tmp_path):
    (tmp_path / "a.pictures").write_bytes(b"something else " * 9)
    (tmp_path / "b.pictures").write_bytes(b"")

    with PictureStore(tmp_path) as store:
        assert store.find(key(0)) is None


def test_several_threads_may_put_and_get_at_once(tmp_path):
    pictures = [picture((90, 120, 3), seed=seed) for seed in range(20)]

    def there_and_back(number):
        each = pictures[number % len(pictures)]
        return np.array_equal(store.get(store.put(key(number), each)), each)

    with PictureStore(tmp_path) as store, ThreadPoolExecutor(8) as pool:
        assert all(pool.map(there_and_back, range(400)))


def test_no_more_is_left_than_there_is_room_for_and_the_newest_stays(tmp_path, monkeypatch):
    monkeypatch.setattr(packs, "_PACK_BYTES", 1000)
    for run in range(3):
        with PictureStore(tmp_path, room=2500) as store:
            for number in range(6):
                store.put(key(100 * run + number), picture(seed=number))
        for path in tmp_path.iterdir():
            os.utime(path, ns=(path.stat().st_mtime_ns - 10**9,) * 2)

    assert sum(path.stat().st_size for path in tmp_path.iterdir()) <= 2500
    with PictureStore(tmp_path) as store:
        assert store.find(key(205)) is not None
        assert store.find(key(0)) is None


def test_a_pack_that_was_read_from_counts_as_used(tmp_path, monkeypatch):
    monkeypatch.setattr(packs, "_PACK_BYTES", 1)
    with PictureStore(tmp_path) as store:
        for number in range(2):
            store.put(key(number), picture(seed=number))
    for path in tmp_path.iterdir():
        os.utime(path, (1000, 1000))

    with PictureStore(tmp_path, room=400) as store:
        assert store.find(key(0)) is not None

    with PictureStore(tmp_path) as store:
        assert store.find(key(0)) is not None
        assert store.find(key(1)) is None


def test_without_a_folder_nothing_is_left_anywhere(tmp_path, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))

    with PictureStore(None) as store:
        assert store.get(store.put(key(0), picture())) is not None

    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_made_costs_only_the_keeping(tmp_path):
    (tmp_path / "file").write_bytes(b"")

    with PictureStore(tmp_path / "file" / "folder") as store:
        assert np.array_equal(store.get(store.put(key(0), picture())), picture())


def test_a_full_disk_is_said_in_words(small_disk):
    def put_many(store):
        for number in range(40):
            store.put(key(number), picture((200, 300, 3), seed=number))

    with PictureStore(small_disk) as store, pytest.raises(OutputError, match="No room for temporary files"):
        put_many(store)


def test_a_disk_that_fails_is_said_in_words_whatever_its_reason(monkeypatch):
    class Failing:
        def seek(self, _):
            raise OSError(errno.EIO, "Input/output error")

        def close(self):
            pass

    monkeypatch.setattr(tempfile, "TemporaryFile", lambda **_: Failing())

    with PictureStore(None) as store, pytest.raises(OutputError, match="Input/output error"):
        store.put(key(0), picture())
