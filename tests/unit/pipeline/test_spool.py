from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from triage.errors import OutputError
from triage.pipeline import spool as spooling
from triage.pipeline.spool import Spool
from triage.store.pictures import PictureStore


def picture(shape=(8, 12, 3), *, seed=0):
    return np.random.default_rng(seed).integers(0, 256, shape, dtype=np.uint8)


def key(number):
    return number.to_bytes(16, "big")


@pytest.fixture
def store():
    with PictureStore(None) as opened:
        yield opened


@pytest.mark.parametrize("at_hand", [0, 1000, 10**9])
def test_pictures_come_back_as_they_were_put_from_memory_and_from_the_disk(store, monkeypatch, at_hand):
    monkeypatch.setattr(spooling, "_AT_HAND_BYTES", at_hand)
    spool = Spool(store)
    for number in range(20):
        spool.put(number, key(number), picture(seed=number))
    for number in (3, 19, 3, 0, *range(20)):
        assert spool.shape(number) == (8, 12, 3)
        assert np.array_equal(spool.get(number), picture(seed=number))


def test_no_more_stays_in_memory_than_there_is_room_for(store, monkeypatch):
    monkeypatch.setattr(spooling, "_AT_HAND_BYTES", 1000)
    spool = Spool(store)
    for number in range(20):
        spool.put(number, key(number), picture(seed=number))
        spool.get(number // 2)

    assert sum(each.nbytes for each in spool._at_hand.values()) <= 1000
    assert spool._bytes == sum(each.nbytes for each in spool._at_hand.values())


def test_a_picture_put_again_replaces_the_one_before(store):
    spool = Spool(store)
    spool.put(0, key(0), picture(seed=1))
    spool.put(0, key(1), picture((4, 4, 3), seed=2))

    assert np.array_equal(spool.get(0), picture((4, 4, 3), seed=2))


def test_a_picture_never_put_is_unknown(store):
    with pytest.raises(KeyError):
        Spool(store).get(3)


def test_a_picture_of_an_earlier_run_is_taken_over(tmp_path):
    with PictureStore(tmp_path) as earlier:
        Spool(earlier).put(7, key(1), picture(seed=1))

    with PictureStore(tmp_path) as store:
        spool = Spool(store)
        assert np.array_equal(spool.recall(2, key(1)), picture(seed=1))
        assert np.array_equal(spool.get(2), picture(seed=1))
        assert spool.recall(3, key(3)) is None
        with pytest.raises(KeyError):
            spool.shape(3)


def test_several_threads_may_put_and_get_at_once(store, monkeypatch):
    monkeypatch.setattr(spooling, "_AT_HAND_BYTES", 100_000)
    pictures = [picture((90, 120, 3), seed=seed) for seed in range(20)]
    spool = Spool(store)

    def there_and_back(number):
        each = pictures[number % len(pictures)]
        spool.put(number, key(number), each)
        return np.array_equal(spool.get(number), each)

    with ThreadPoolExecutor(8) as pool:
        assert all(pool.map(there_and_back, range(600)))


def test_a_disk_that_gives_other_bytes_is_said_in_words(store, monkeypatch):
    monkeypatch.setattr(spooling, "_AT_HAND_BYTES", 0)
    spool = Spool(store)
    spool.put(0, key(0), picture())
    monkeypatch.setattr(store, "get", lambda _: None)

    with pytest.raises(OutputError, match="cannot be read back"):
        spool.get(0)
