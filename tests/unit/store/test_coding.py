"""Records on their way to a JSON file and back."""

import json
from dataclasses import dataclass
from datetime import datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.records.frame import Capture
from triage.records.measurement import Box, Light, Measurement, Side, Subject
from triage.store.coding import from_plain, to_plain

NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
MAYBE = st.none() | NUMBERS
SUBJECTS = st.builds(
    Subject,
    st.builds(Box, NUMBERS, NUMBERS, NUMBERS, NUMBERS),
    NUMBERS,
    st.lists(st.sampled_from(Side), max_size=3).map(tuple),
)
LIGHTS = st.builds(Light, MAYBE, st.dictionaries(st.sampled_from(["flash-left", "flash-3"]), MAYBE), NUMBERS)
MEASUREMENTS = st.builds(
    Measurement,
    LIGHTS,
    st.none() | SUBJECTS,
    NUMBERS,
    NUMBERS,
    MAYBE,
    MAYBE,
    NUMBERS,
    MAYBE,
    NUMBERS,
    NUMBERS,
)
CAPTURES = st.builds(
    Capture,
    taken=st.none() | st.datetimes(),
    iso=MAYBE,
    orientation=st.integers(1, 8),
    make=st.none() | st.text(max_size=8),
)


def there_and_back(record):
    return from_plain(type(record), json.loads(json.dumps(to_plain(record))))


@given(MEASUREMENTS)
def test_a_measurement_comes_back_as_it_was_to_the_last_bit(measurement):
    back = there_and_back(measurement)

    assert back == measurement
    assert repr(back) == repr(measurement)


@given(CAPTURES)
def test_what_the_camera_recorded_comes_back_as_it_was(capture):
    assert there_and_back(capture) == capture


@pytest.mark.parametrize("number", [np.float64(0.1), np.float32(0.1), np.int64(7), np.uint8(7)])
def test_a_number_of_an_array_library_keeps_its_value(number):
    plain = to_plain(Box(number, 0.2, 0.3, 0.4))

    assert type(plain[0]) in {float, int}
    assert plain[0] == number


@dataclass(frozen=True)
class Pair:
    """Two things of different kinds."""

    both: tuple[str, datetime]


def test_a_tuple_of_different_things_comes_back():
    pair = Pair(("a", datetime(2026, 10, 3, 22, 0)))

    assert there_and_back(pair) == pair


@pytest.mark.parametrize("thing", [{1}, object(), b"bytes"])
def test_what_would_not_come_back_is_refused(thing):
    with pytest.raises(TypeError, match="cannot be kept"):
        to_plain((thing,))


@pytest.mark.parametrize("plain", [None, [], [1, 2], "words", [["x"] * 4, 0.5, ["nowhere"]], 7])
def test_plain_types_of_another_shape_are_refused(plain):
    with pytest.raises((TypeError, ValueError, KeyError, AttributeError)):
        from_plain(Subject, plain)


def test_a_record_of_an_undecided_kind_is_refused():
    @dataclass
    class Either:
        one: int | str

    with pytest.raises(TypeError, match="told apart"):
        from_plain(Either, [1])
