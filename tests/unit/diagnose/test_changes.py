"""Steps and ramps found by least absolute deviations."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.diagnose.changes import find_ramp, find_step, walk_back


def test_a_step_is_found_exactly():
    step = find_step(np.array([1.0] * 7 + [3.0] * 5))
    assert step is not None
    assert (step.place, step.before[0], step.after[0]) == (7, 1.0, 3.0)
    assert step.size == 2.0


def test_wild_values_do_not_draw_a_step_off():
    values = np.array([1.0] * 30 + [2.0] * 30)
    values[[3, 17, 40, 59]] = [90.0, -70.0, 80.0, -60.0]
    step = find_step(values)
    assert step is not None
    assert step.place == 30
    assert step.after[0] == pytest.approx(2.0)


def test_columns_step_together():
    rows = np.zeros((20, 2))
    rows[12:, 1] = 0.5
    step = find_step(rows)
    assert step is not None
    assert step.place == 12
    assert step.before.tolist() == [0.0, 0.0]
    assert step.after.tolist() == [0.0, 0.5]


def test_a_level_row_gains_nothing_by_a_step():
    step = find_step(np.full(9, 0.4))
    assert step is not None
    assert step.gain == 0.0


def test_too_few_values_have_no_step_and_no_ramp():
    assert find_step(np.array([1.0, 2.0, 3.0])) is None
    assert find_ramp(np.arange(3.0), np.array([1.0, 2.0, 3.0])) is None


@given(
    length=st.integers(12, 300),
    share=st.floats(0.2, 0.8),
    size=st.floats(0.5, 5.0),
    shift=st.floats(-5.0, 5.0),
)
def test_a_step_is_found_wherever_it_is_and_whatever_the_level(length, share, size, shift):
    place = int(length * share)
    values = np.full(length, shift)
    values[place:] += size
    step = find_step(values)
    assert step is not None
    assert step.place == place


def test_a_ramp_is_found_with_its_ends():
    seconds = np.arange(60.0)
    values = np.interp(seconds, [0, 19, 40, 59], [1.0, 1.0, 0.2, 0.2])
    ramp = find_ramp(seconds, values)
    assert ramp is not None
    assert ramp.place == pytest.approx(20, abs=2)
    assert ramp.until == pytest.approx(40, abs=2)
    assert (ramp.before, ramp.after) == (pytest.approx(1.0, abs=0.05), pytest.approx(0.2, abs=0.05))


def test_a_ramp_that_does_not_end_keeps_its_slope():
    seconds = np.arange(0.0, 3600.0, 60.0)
    ramp = find_ramp(seconds, 1.0 - 0.8 * seconds / seconds[-1])
    assert ramp is not None
    assert ramp.before == pytest.approx(1.0, abs=0.05)
    assert ramp.fitted[-1] == pytest.approx(0.2, abs=0.05)


def test_a_slow_change_is_followed_back_to_the_first_trip_that_shows_it():
    burst = np.repeat(np.arange(8), 4)
    wobble = np.tile([0.01, -0.01, 0.005, -0.005], 8)
    values = np.repeat([1.0, 1.0, 1.0, 1.0, 0.9, 0.8, 0.6, 0.4], 4) + wobble
    assert walk_back(values, burst, 24, rising=False, least=0.04) == 16
    assert walk_back(-values, burst, 24, rising=True, least=0.04) == 16
    assert walk_back(values, burst, 24, rising=True, least=0.04) == 24
