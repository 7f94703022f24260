from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from tests.factories import EVENING, make_frame
from triage.export.naming import file_names, stems
from triage.records.event import Event, EventKind
from triage.records.result import Triage


def test_a_stem_tells_the_visit_the_place_in_it_and_the_cameras_name(
    make_triage: Callable[..., Triage],
) -> None:
    small = make_triage()
    assert stems(small.frames, small.events) == {
        0: "2026-10-03_1725_visit-01-01_NGT_0001",
        1: "2026-10-03_2200_visit-02-01_NGT_0002",
        2: "2026-10-03_2200_visit-02-02_NGT_0003",
        3: "2026-10-04_0100_visit-03-01_NGT_0004",
        4: "2026-10-04_0630_visit-04-01_NGT_0005",
    }


def test_names_sort_by_visit_and_by_exposure_even_where_file_numbers_roll_over() -> None:
    names = [
        f"DCIM/{folder}NIGHT/NGT_{number:04d}.JPG" for folder, number in ((100, 9998), (100, 9999), (101, 1))
    ]
    frames = tuple(
        make_frame(index, taken=EVENING + timedelta(seconds=index), names=(name,))
        for index, name in enumerate(names)
    )
    events = (Event(1, EVENING, EVENING, (0, 1, 2), 0, EventKind.SUBJECT),)
    told = list(stems(frames, events).values())
    assert told == sorted(told)


def test_more_than_ninety_nine_visits_and_frames_still_sort() -> None:
    frames = tuple(make_frame(index, taken=EVENING) for index in range(240))
    groups = [tuple(range(120)), *((index,) for index in range(120, 240))]
    events = tuple(
        Event(number, EVENING, EVENING, group, group[0], EventKind.SUBJECT)
        for number, group in enumerate(groups, start=1)
    )
    told = list(stems(frames, events).values())
    assert told == sorted(told)
    assert len({name.casefold() for name in told}) == 240


def test_no_two_frames_share_a_stem_whatever_their_names() -> None:
    frames = (
        make_frame(0, taken=EVENING, names=("DCIM/100NIGHT/NGT_0001.JPG",)),
        make_frame(0, taken=EVENING, names=("DCIM/101NIGHT/ngt_0001.JPG",)),
    )
    frames = (frames[0], replace(frames[1], index=1))
    twice = (
        Event(1, EVENING, EVENING, (0,), 0, EventKind.MIXED),
        Event(1, EVENING, EVENING, (1,), 1, EventKind.MIXED),
    )
    assert stems(frames, twice)[1] == "2026-10-03_1725_visit-01-01_ngt_0001_2"


def test_a_frame_of_no_event_is_named_by_its_own_time() -> None:
    frame = make_frame(6, taken=datetime(2026, 10, 3, 23, 5))
    assert stems((frame,), ()) == {6: "2026-10-03_2305_frame-07_NGT_0007"}


def test_all_files_of_a_frame_share_its_stem_and_keep_their_endings() -> None:
    names = ("A/NGT_0042.JPG", "A/NGT_0042.NEF", "A/NGT_0042.NEF.xmp", "A/ngt_0042.wav")
    assert list(file_names(make_frame(0, names=names), "stem").values()) == [
        "stem.JPG", "stem.NEF", "stem.NEF.xmp", "stem.wav",
    ]  # fmt: skip


def test_files_of_the_same_number_under_other_letters_share_the_stem_too() -> None:
    # DCF: files that share the number form one object even if the leading characters differ (CIPA DC-009).
    names = ("A/NGT_0042.JPG", "A/_GT_0042.NEF", "A/_GT_0042.JPG", "B/_GT_0042.JPG")
    told = list(file_names(make_frame(0, names=names), "stem").values())
    assert told == ["stem.JPG", "stem.NEF", "stem__GT_0042.JPG", "stem_2__GT_0042.JPG"]


def test_a_name_without_an_ending_is_kept_whole() -> None:
    frame = make_frame(0, taken=EVENING, names=("A/NGT_0042",))
    stem = stems((frame,), ())[0]
    assert stem.endswith("_NGT_0042")
    assert file_names(frame, stem) == {"A/NGT_0042": stem}
