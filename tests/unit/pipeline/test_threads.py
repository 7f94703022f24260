import cv2
import pytest

from triage.pipeline.threads import undivided


def test_the_picture_library_works_on_the_thread_that_calls_it():
    before = cv2.getNumThreads()
    try:
        cv2.setNumThreads(3)
        with undivided():
            assert cv2.getNumThreads() == 1
        assert cv2.getNumThreads() == 3
    finally:
        cv2.setNumThreads(before)


def test_it_is_as_before_after_a_fault_too():
    before = cv2.getNumThreads()

    def fail():
        with undivided():
            raise KeyError

    with pytest.raises(KeyError):
        fail()
    assert cv2.getNumThreads() == before
