import pytest

from triage.findings import thresholds as limit


def test_the_bounds_of_presence_leave_room_for_doubt():
    assert 0.0 < limit.EMPTY_BELOW < limit.LIKELY < 1.0


def test_absence_needs_more_certainty_than_presence():
    # A missed animal is the worst mistake: doubt counts as an animal for longer than as none.
    assert limit.EMPTY_BELOW <= 1.0 - limit.LIKELY


def test_a_flash_counts_as_missing_well_below_where_it_counts_as_fired():
    assert limit.HALF_MISSING < limit.HALF_PRESENT < limit.DIM_SHARE


def test_one_stop_under_is_dim_and_two_thirds_of_a_stop_is_not():
    # Guide-number arithmetic: half the power is one stop under; two thirds of a stop is a share of 0.63.
    assert 2.0**-1 < limit.DIM_SHARE < 2.0 ** (-2 / 3)


@pytest.mark.parametrize("name", [name for name in dir(limit) if name.isupper()])
def test_every_threshold_is_a_share(name):
    assert 0.0 < getattr(limit, name) < 1.0
