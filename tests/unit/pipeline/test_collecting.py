import gc

import pytest

from triage.pipeline.collecting import uncollected


def test_the_collector_rests_and_goes_on():
    with uncollected():
        assert not gc.isenabled()
        with uncollected():
            assert not gc.isenabled()
        assert not gc.isenabled()
    assert gc.isenabled()


def test_the_collector_goes_on_after_an_error():
    def fail():
        with uncollected():
            raise ValueError

    with pytest.raises(ValueError):  # noqa: PT011 - it has no words
        fail()
    assert gc.isenabled()
