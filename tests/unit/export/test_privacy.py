from collections.abc import Callable
from dataclasses import replace

import pytest

from triage.export.privacy import frames_to_show, names_people, public_place, without_place
from triage.records.decision import Verdict
from triage.records.result import Triage

Make = Callable[..., Triage]


@pytest.mark.parametrize(
    ("tags", "people"),
    [
        ((), False),
        (("fox",), False),
        (("Walker",), True),
        (("two hikers",), True),
        (("me!",), True),
        (("mankind",), False),
    ],
)
def test_tags_for_people_are_known_as_whole_words(tags: tuple[str, ...], people: bool) -> None:
    assert names_people(tags) is people


def test_only_keepers_are_shown_and_of_those_no_people(make_triage: Make) -> None:
    triage = make_triage()
    keys = [frame.key for frame in triage.frames]
    verdicts = {keys[0]: Verdict.KEEP, keys[1]: Verdict.KEEP, keys[2]: Verdict.KEEP, keys[3]: Verdict.REJECT}
    tags = {keys[2]: ("walker",), keys[1]: ("fox",)}
    shown, held = frames_to_show(triage, verdicts, tags, with_people=False)
    assert [frame.index for frame in shown] == [1]
    assert [frame.index for frame in held] == [0, 2]
    shown, held = frames_to_show(triage, verdicts, tags, with_people=True)
    assert ([frame.index for frame in shown], held) == ([0, 1, 2], ())


def test_what_the_camera_wrote_of_place_and_body_is_taken_out(make_triage: Make) -> None:
    triage = make_triage()
    located = tuple(
        replace(frame, capture=replace(frame.capture, lat=51.2345, lon=7.3456, serial="123"))
        for frame in triage.frames
    )
    cleared = without_place(replace(triage, frames=located))
    assert {(one.capture.lat, one.capture.lon, one.capture.serial) for one in cleared.frames} == {
        (None, None, None)
    }
    assert cleared == replace(triage, frames=cleared.frames)


def test_an_exact_place_has_no_uncertainty_to_tell() -> None:
    place = public_place(51.23456, -7.3, None)
    assert (place.lat, place.lon, place.step_deg, place.uncertainty_m) == (
        "51.234560",
        "-7.300000",
        None,
        None,
    )


def test_no_place_is_minus_nothing() -> None:
    assert public_place(-0.004, 0.004, 0.1).lat == "0.0"
