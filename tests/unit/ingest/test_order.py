"""The order of exposures."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triage.ingest.exposure import Header
from triage.ingest.order import order_frames
from triage.records.card import CardFile, FileKind
from triage.records.frame import Capture

START = datetime(2026, 10, 3, 17, 25, 10)
MINUTE = timedelta(minutes=1)


def header(path, taken=None, *, serial="1", model="EX-7", modified=START, problem=None):
    file = CardFile(path, FileKind.JPEG, 1000, int(modified.timestamp() * 10**9))
    capture = Capture(taken=taken, make="Example Optical" if model else None, model=model, serial=serial)
    return Header((file,), path, capture, problem)


def night(times, *, folder="DCIM/100NIGHT", first=1, prefix="NGT_", **more):
    return [
        header(f"{folder}/{prefix}{first + step:04d}.JPG", moment, **more)
        for step, moment in enumerate(times)
    ]


def order_of(headers):
    return [frame.path for frame in order_frames(headers)]


def paths(headers):
    return [one.files[0].path for one in headers]


def steps(count, start=START, gap=MINUTE):
    return [start + step * gap for step in range(count)]


def test_a_plain_night_is_in_order_and_counted():
    frames = order_frames(reversed(night(steps(5))))

    assert [frame.index for frame in frames] == [0, 1, 2, 3, 4]
    assert [frame.time for frame in frames] == steps(5)
    assert all(frame.time_is_camera for frame in frames)


def test_subseconds_order_a_burst_and_numbers_break_ties():
    second = [START + timedelta(milliseconds=ms) for ms in (0, 250, 500)]
    headers = night([*second, START + MINUTE, START + MINUTE])

    assert order_of(reversed(headers)) == paths(headers)


# Source: CIPA DC-009; after 9999 cameras go on with 0001 in the next folder, which is continuous.
def test_numbers_roll_over_into_the_next_folder():
    upper = night([START] * 2, first=9998)
    lower = night([START] * 2, folder="DCIM/101NIGHT")

    assert order_of(lower + upper) == paths(upper + lower)


@pytest.mark.parametrize("times", [[START] * 4, [None] * 4, steps(4)])
def test_numbers_roll_over_within_a_flat_copy(times):
    headers = night(times[:2], folder="copy", first=9998) + night(times[2:], folder="copy")

    assert order_of(reversed(headers)) == paths(headers)


def test_a_gap_in_the_numbers_is_no_roll_over_where_times_say_so():
    headers = night(steps(2), folder="copy") + night(steps(2, START + MINUTE * 60), folder="copy", first=9998)

    assert order_of(reversed(headers)) == paths(headers)


def test_a_full_folder_has_no_roll_over():
    headers = [header(f"DCIM/100NIGHT/NGT_{number:04d}.JPG") for number in range(1, 10_000)]

    assert order_of(headers) == paths(headers)


def test_a_clock_reset_in_the_middle_keeps_file_order():
    headers = night([*steps(4), *steps(4, datetime(2020, 1, 1))])

    frames = order_frames(reversed(headers))

    assert [frame.path for frame in frames] == paths(headers)
    assert frames[4].time == datetime(2020, 1, 1)


def test_a_clock_wrong_by_years_changes_nothing():
    headers = night(steps(4, datetime(2007, 1, 1)))

    assert order_of(reversed(headers)) == paths(headers)


def test_the_hour_of_summer_time_that_comes_twice_keeps_file_order():
    before = steps(6, datetime(2026, 10, 25, 2, 40), timedelta(minutes=5))
    after = steps(6, datetime(2026, 10, 25, 2, 5), timedelta(minutes=5))
    headers = night([*before, *after])

    assert order_of(reversed(headers)) == paths(headers)


def test_a_lone_wrong_date_stays_in_its_place():
    times = steps(5)
    times[2] = datetime(2062, 1, 1)
    headers = night(times)

    assert order_of(reversed(headers)) == paths(headers)


def test_a_frame_without_subseconds_keeps_its_place_in_a_burst():
    headers = night([START + timedelta(milliseconds=700), START, START + timedelta(milliseconds=900)])

    assert order_of(reversed(headers)) == paths(headers)


def test_two_cameras_in_one_folder_are_mixed_by_time():
    left = night(steps(3), serial="1", prefix="LFT_")
    right = night(steps(3, START + MINUTE / 2), serial="2", prefix="RGT_")

    frames = order_frames(left + right)

    assert [frame.path[-12:-9] for frame in frames] == ["LFT", "RGT"] * 3


def test_one_cameras_reset_does_not_disturb_the_other():
    reset = night([START, START + MINUTE, datetime(2020, 1, 1)], serial="1", prefix="LFT_")
    sound = night([START + 2 * MINUTE, START + 3 * MINUTE], serial="2", prefix="RGT_")

    assert order_of(sound + reset) == paths(reset + sound)


def test_a_raw_file_without_serial_number_goes_with_its_body():
    headers = night(steps(4))
    headers[2] = header(headers[2].files[0].path, datetime(2020, 1, 1), serial=None)

    assert order_of(reversed(headers)) == paths(headers)


def test_a_frame_without_time_stands_between_its_neighbours():
    headers = night([START, None, START + MINUTE], modified=START + timedelta(seconds=20))

    frames = order_frames(reversed(headers))

    assert [frame.path for frame in frames] == paths(headers)
    assert frames[1].time == START + timedelta(seconds=20)
    assert [frame.time_is_camera for frame in frames] == [True, False, True]


def test_the_day_of_copying_does_not_move_a_damaged_frame():
    damaged = header(
        "DCIM/100NIGHT/NGT_0002.JPG", None, model=None, serial=None, modified=datetime(2027, 2, 1)
    )
    headers = [*night(steps(1)), damaged, *night([START + MINUTE], first=3)]

    frames = order_frames(reversed(headers))

    assert [frame.path for frame in frames] == paths(headers)
    assert frames[1].time == START


def test_a_first_frame_without_time_is_held_by_the_next():
    headers = night([None, START], modified=datetime(2027, 2, 1))

    assert [frame.time for frame in order_frames(headers)] == [START, START]


def test_file_times_alone_leave_the_order_to_the_numbers():
    headers = [
        header(f"DCIM/100NIGHT/NGT_{number:04d}.JPG", modified=START + shift)
        for number, shift in ((1, MINUTE), (2, 0 * MINUTE), (3, 2 * MINUTE))
    ]

    frames = order_frames(reversed(headers))

    assert [frame.path for frame in frames] == paths(headers)
    assert not any(frame.time_is_camera for frame in frames)
    assert frames[0].time == START + MINUTE


def test_other_names_are_ordered_by_time_then_by_name():
    headers = [
        header("copy/fox.jpg", START + MINUTE),
        header("copy/owl 10.jpg", START),
        header("copy/owl 9.jpg", START),
        header("copy/badger.jpg", START + 2 * MINUTE),
    ]

    assert order_of(headers) == ["copy/owl 9.jpg", "copy/owl 10.jpg", "copy/fox.jpg", "copy/badger.jpg"]


def test_two_nights_in_two_folders_are_ordered_by_time_not_by_folder_name():
    later = night(steps(2, START + timedelta(days=4)), folder="Friday")
    earlier = night(steps(2), folder="Monday")
    wednesday = night(steps(2, START + timedelta(days=2)), folder="Wednesday")

    assert order_of(later + earlier + wednesday) == paths(earlier + wednesday + later)


def test_the_same_card_twice_keeps_both_copies_side_by_side():
    first = night(steps(3), folder="one/DCIM/100NIGHT")
    second = night(steps(3), folder="two/DCIM/100NIGHT")

    frames = order_frames(first + second)

    assert [frame.path for frame in frames] == [path for pair in zip(paths(first), paths(second), strict=True)
                                                for path in pair]  # fmt: skip


@pytest.mark.parametrize("modified_ns", [-(10**18) * 60, 10**30, -1, 0])
def test_absurd_file_times_are_survived(modified_ns):
    odd = Header((CardFile("a.jpg", FileKind.JPEG, 1, modified_ns),), "k", Capture(), None)

    assert len(order_frames([odd])) == 1


def test_key_capture_and_problem_ride_along():
    one = header("a.jpg", START, problem="a.jpg is empty (0 bytes)")

    frame = order_frames([one])[0]

    assert (frame.key, frame.capture, frame.problem) == (one.key, one.capture, one.problem)


def test_no_headers_give_no_frames():
    assert order_frames([]) == ()


MOMENTS = st.none() | st.datetimes(datetime(2019, 1, 1), datetime(2027, 1, 1))
HEADERS = st.lists(
    st.builds(
        header,
        st.builds(
            "{}/{}{:04d}.JPG".format,
            st.sampled_from(["DCIM/100NIGHT", "DCIM/101NIGHT", "copy", "x"]),
            st.sampled_from(["NGT_", "_GT_", "an owl "]),
            st.integers(1, 9999),
        ),
        MOMENTS,
        serial=st.sampled_from([None, "1", "2"]),
        model=st.sampled_from([None, "EX-7", "EX-8"]),
        modified=st.datetimes(datetime(2019, 1, 1), datetime(2027, 1, 1)),
    ),
    max_size=30,
    unique_by=lambda one: one.key,
)


@settings(deadline=None)
@given(HEADERS)
def test_the_order_is_a_permutation_whatever_is_given(headers):
    frames = order_frames(headers)

    assert sorted(frame.path for frame in frames) == sorted(paths(headers))
    assert [frame.index for frame in frames] == list(range(len(headers)))
    for frame in frames:
        assert frame.time_is_camera == (frame.capture.taken is not None)
        assert not frame.time_is_camera or frame.time == frame.capture.taken


@settings(deadline=None)
@given(HEADERS, st.randoms(use_true_random=False))
def test_the_order_does_not_depend_on_the_order_of_reading(headers, rng):
    shuffled = list(headers)
    rng.shuffle(shuffled)

    assert order_frames(shuffled) == order_frames(headers)


@settings(deadline=None)
@given(st.lists(MOMENTS.filter(bool), min_size=1, max_size=12))
def test_one_cameras_clock_orders_it_unless_it_steps_back(times):
    headers = night(times)

    frames = order_frames(headers)

    if times == sorted(times):
        assert [frame.time for frame in frames] == sorted(times)
    else:
        assert [frame.path for frame in frames] == paths(headers)
