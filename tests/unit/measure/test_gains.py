import numpy as np
import pytest

from triage.measure.gains import flash_gains

NIGHT = np.ones(4, np.float32)


def test_one_setting_all_night_is_a_gain_of_one():
    assert flash_gains([(400, 8.0)] * 4, NIGHT).tolist() == [1.0] * 4


@pytest.mark.parametrize(
    ("setting", "gain"), [((800, 8.0), 2.0), ((400, 5.6), 2.04), ((100, 8.0), 0.25), ((400, 16.0), 0.25)]
)
@pytest.mark.source("law", "exposure goes with ISO over the square of the f-number")
def test_stops_of_iso_and_aperture_count(setting, gain):
    assert flash_gains([(400, 8.0)] * 3 + [setting], NIGHT)[3] == pytest.approx(gain, rel=0.01)


def test_the_usual_setting_is_that_of_the_night():
    day = [(100, 11.0)] * 5
    gains = flash_gains([*day, (400, 8.0), (400, 8.0)], np.array([0] * 5 + [1, 1], np.float32))
    assert gains[-1] == 1.0
    assert gains[0] < 0.2


def test_a_setting_that_is_not_told_changes_nothing():
    assert flash_gains([(None, 8.0), (400, None), (None, None)], NIGHT[:3]).tolist() == [1.0] * 3
    assert flash_gains([(400, 8.0), (400, 8.0), (0, 8.0)], NIGHT[:3]).tolist() == [1.0] * 3
