"""The diagnosis against what really failed."""

from datetime import datetime, timedelta

import pytest

from tests.benchmarks.accuracy.rig import RigScore, onset_error, score_rig
from tests.benchmarks.accuracy.truth import TrueFault, TrueNight, from_json
from tests.unit.benchmarks.cases import said_fault, told_frame, told_night

START = "2026-10-03T22:00:05"
STOPPED = ("flash-right", "stopped", START, False)
FOGGED = ("lens", "fogged", START, False)
SLEEPY = ("trigger", "false-fires", START, True)


def night(*faults: tuple[str, str, str, bool]) -> TrueNight:
    return from_json(told_night([told_frame(number) for number in range(1, 20)], faults), "night")


def scored(truth: TrueNight, *said: dict[str, object]) -> RigScore:
    score = score_rig(said, truth)
    assert score is not None
    return score


def test_the_true_fault_in_front_counts_and_its_start_is_off_by_frames() -> None:
    score = scored(night(STOPPED), said_fault("flash-right", "stopped", "2026-10-03T22:00:08", 0.9))
    assert (score.faults, score.in_front, score.false, score.absent, score.onsets) == (1, 1, (), (), (3,))
    assert score.stated == ((0.9, True),)


def test_the_true_fault_in_second_place_does_not_stand_first() -> None:
    score = scored(
        night(STOPPED),
        said_fault("flash-left", "stopped", START, 0.9),
        said_fault("flash-right", "stopped", START, 0.8),
    )
    assert (score.in_front, score.false) == (0, ("flash-left: stopped",))
    assert score.absent == ("flash-right: stopped",)


def test_two_faults_may_stand_in_either_order() -> None:
    said = [said_fault("lens", "fogged", START, 0.9), said_fault("flash-right", "stopped", START, 0.7)]
    assert scored(night(STOPPED, FOGGED), *said).in_front == 2
    assert scored(night(STOPPED, FOGGED), said[0]).in_front == 1


def test_a_minor_true_fault_is_passed_over_and_no_alarm() -> None:
    said = [
        said_fault("trigger", "false-fires", START, 0.9),
        said_fault("flash-right", "stopped", START, 0.8),
    ]
    score = scored(night(STOPPED, SLEEPY), *said)
    assert (score.faults, score.in_front, score.false) == (1, 1, ())
    assert scored(night(SLEEPY), said[0]).false == ()


def test_what_is_said_below_half_is_not_named_but_counts_for_calibration() -> None:
    score = scored(night(), said_fault("lens", "fogged", START, 0.49))
    assert (score.false, score.stated) == ((), ((0.49, False),))
    assert scored(night(), said_fault("lens", "fogged", START, 0.5)).false == ("lens: fogged",)
    assert scored(night(FOGGED), said_fault("lens", "fogged", START, 0.49)).absent == ("lens: fogged",)


def test_a_fault_that_came_twice_counts_once_and_from_its_first_time() -> None:
    later = ("flash-right", "stopped", "2026-10-03T22:00:12", False)
    minor = ("flash-right", "stopped", "2026-10-03T22:00:01", True)
    score = scored(night(later, STOPPED, minor), said_fault("flash-right", "stopped", START, 0.9))
    assert (score.faults, score.in_front, score.onsets) == (1, 1, (0,))


def test_an_unknown_rig_is_not_scored() -> None:
    assert score_rig([], TrueNight("real", (), None)) is None


@pytest.mark.parametrize(
    ("said", "frames"),
    [("2026-10-03T22:00:10", 0), ("2026-10-03T22:00:00", 1), ("2026-10-03T22:01:59", 2), (None, None)],
)
def test_start_is_counted_in_frames_not_in_time(said: str | None, frames: int | None) -> None:
    times = [datetime(2026, 10, 3, 22) + timedelta(seconds=second) for second in (0, 10, 20, 100)]
    assert onset_error(said, TrueFault("lens", "fogged", times[1]), times) == frames


def test_a_fault_without_a_start_has_no_error_of_it() -> None:
    assert onset_error(START, TrueFault("focus", "soft", None), [datetime(2026, 10, 3)]) is None
