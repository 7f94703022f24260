import json
import math
import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.factories import make_file, make_frame
from triage.export.report import camera_time, report, report_json, rounded
from triage.records.diagnosis import FaultKind, Part
from triage.records.event import EventKind, Travel
from triage.records.finding import FindingKind
from triage.records.frame import Frame
from triage.records.measurement import Side
from triage.records.night import Sky
from triage.records.result import Triage
from triage.records.rig import FlashRecord, Framing, Outlook, RigReview

Make = Callable[..., Triage]


def every_value(node: Any) -> Iterator[Any]:
    if isinstance(node, dict):
        for value in node.values():
            yield from every_value(value)
    elif isinstance(node, list):
        for value in node:
            yield from every_value(value)
    else:
        yield node


def test_keys_come_in_the_order_of_the_contract(make_triage: Make) -> None:
    told = json.loads(report_json(make_triage()))
    contract = ["format", "version", "card", "night", "frames", "events", "diagnosis", "accounted"]
    assert list(told) == [*contract, "rig"]  # only added to, at the end
    assert list(told["card"]) == ["root", "first", "last", "frames", "files", "bytes", "other_files"]
    assert list(told["night"]) == [
        "start", "end", "setup_windows", "setup_windows_source", "sunset", "sunrise", "moon_lit", "summary",
    ]  # fmt: skip
    assert list(told["frames"][0]) == [
        "path", "files", "taken", "true_time", "findings", "subject", "unsure", "event", "light",
    ]  # fmt: skip
    assert list(told["frames"][2]["findings"][0]) == ["kind", "confidence", "why"]
    assert list(told["frames"][1]["subject"]) == ["box", "confidence", "cut_by"]
    assert list(told["events"][0]) == [
        "id",
        "start",
        "end",
        "frames",
        "lead",
        "kind",
        "travel",
    ]  # added at the end
    assert list(told["diagnosis"][0]) == [
        "component", "fault", "from", "to", "confidence", "evidence", "say", "remedy",
    ]  # fmt: skip
    assert list(told["accounted"]) == ["triaged", "damaged", "ignored"]


def test_the_small_card_is_told_as_it_is(make_triage: Make) -> None:
    told = report(make_triage("/cards/../cards/night"))
    assert (told["format"], told["version"]) == ("triage-report", 1)
    assert told["card"] == {
        "root": "/cards/../cards/night",
        "first": "2026-10-03T17:25:10",
        "last": "2026-10-04T06:30:00",
        "frames": 5,
        "files": 7,
        "bytes": 6 * 1024 * 1024 + 12,
        "other_files": ["readme.txt"],
    }
    assert told["frames"][2] == {
        "path": "DCIM/100NIGHT/NGT_0003.JPG",
        "files": ["DCIM/100NIGHT/NGT_0003.JPG"],
        "taken": "2026-10-03T22:00:07.480",
        "true_time": None,
        "findings": [
            {"kind": "edge", "confidence": 0.9, "why": "edge, with figures"},
            {"kind": "half-lit", "confidence": 0.9, "why": "half-lit, with figures"},
        ],
        "subject": {"box": [0.0, 0.52, 0.2, 0.8], "confidence": 0.991, "cut_by": ["left", "bottom"]},
        "unsure": False,
        "event": 2,
        "light": {"ambient": 0.01, "flash-left": 0.988, "flash-right": None},
    }
    assert told["events"][1] == {
        "id": 2,
        "start": "2026-10-03T22:00:05.480",
        "end": "2026-10-03T22:00:07.480",
        "frames": ["DCIM/100NIGHT/NGT_0002.JPG", "DCIM/100NIGHT/NGT_0003.JPG"],
        "lead": "DCIM/100NIGHT/NGT_0002.JPG",
        "kind": "subject",
        "travel": None,
    }
    assert told["diagnosis"][0] == {
        "component": "flash-right",
        "fault": "stopped",
        "from": "2026-10-03T22:00:07.480",
        "to": None,
        "confidence": 0.96,
        "evidence": ["DCIM/100NIGHT/NGT_0003.JPG"],
        "say": "The right flash gave its last light at 22:00.",
        "remedy": "Put fresh cells into the right flash.",
    }


def test_every_file_is_in_one_frame_or_ignored(make_triage: Make) -> None:
    told = report(make_triage())
    in_frames = [path for frame in told["frames"] for path in frame["files"]]
    ignored = [entry["path"] for entry in told["accounted"]["ignored"]]
    assert len(in_frames) + len(ignored) == told["card"]["files"]
    assert len(set(in_frames + ignored)) == told["card"]["files"]
    assert told["accounted"]["triaged"] + told["accounted"]["damaged"] == told["card"]["frames"]
    assert told["accounted"]["damaged"] == 1


def test_nothing_but_plain_values_without_nan_is_in_the_report(make_triage: Make) -> None:
    for value in every_value(report(make_triage())):
        assert value is None or type(value) in {str, int, float, bool}
        assert not (isinstance(value, float) and math.isnan(value))


def test_words_are_those_of_the_design_only() -> None:
    # Source: the design's tables of findings and of parts and faults, and the contract for the events.
    findings = "setup dark half-lit dim empty edge soft fogged clipped damaged"
    parts = "flash-left flash-right flash-3 flash-link trigger camera lens aim focus clock card"
    faults = (
        "stopped fading misfires slow-wake slow-recycle false-fires late stopped-early fogged moved soft "
        "reset wrong damaged-files missing-numbers full"
    )
    assert {kind.value for kind in FindingKind} == set(findings.split())
    assert {part.value for part in Part} == set(parts.split())
    assert {kind.value for kind in FaultKind} == set(faults.split())
    assert {kind.value for kind in EventKind} == {"subject", "empty", "setup", "dark", "mixed"}


def test_damaged_frames_carry_the_same_light_keys_with_nothing_in_them(make_triage: Make) -> None:
    light = report(make_triage())["frames"][4]["light"]
    assert light == {"ambient": None, "flash-left": None, "flash-right": None}


def test_an_empty_frame_has_no_subject_however_much_stands_out(make_triage: Make) -> None:
    small = make_triage()
    doubtful = replace(small.judgements[3], measurement=small.judgements[2].measurement)
    told = report(replace(small, judgements=(*small.judgements[:3], doubtful, small.judgements[4])))
    assert told["frames"][3]["subject"] is None


def test_the_same_answer_gives_the_same_bytes(make_triage: Make) -> None:
    assert report_json(make_triage()) == report_json(make_triage())


def test_without_a_place_there_is_no_sky_and_with_one_there_is(make_triage: Make) -> None:
    small = make_triage()
    assert [report(small)["night"][key] for key in ("sunset", "sunrise", "moon_lit")] == [None, None, None]
    sky = Sky(datetime(2026, 10, 3, 18, 40, 5), None, (), 0.42499, ())
    told = report(replace(small, night=replace(small.night, sky=sky)))["night"]
    assert [told[key] for key in ("sunset", "sunrise", "moon_lit")] == ["2026-10-03T18:40:05", None, 0.425]


def test_a_frame_without_camera_time_is_told_at_the_time_it_is_placed_at(make_triage: Make) -> None:
    small = make_triage()
    frame: Frame = replace(make_frame(0), time=datetime(2026, 10, 3, 17, 0), time_is_camera=False)
    frame = replace(frame, capture=replace(frame.capture, taken=None))
    told = report(replace(small, frames=(frame, *small.frames[1:])))
    assert told["frames"][0]["taken"] == "2026-10-03T17:00:00"


def test_names_that_are_not_utf8_survive_the_way_through_json(make_triage: Make) -> None:
    small = make_triage()
    name = os.fsdecode(b"DCIM/100NIGHT/N\xffGT\xe4.JPG")
    odd = replace(small.frames[0], files=(make_file(name),))
    text = report_json(replace(small, frames=(odd, *small.frames[1:])))
    read = json.loads(text.encode("utf-8"))
    assert os.fsencode(read["frames"][0]["path"]) == os.fsencode(name)


def test_names_beyond_ascii_are_written_as_they_are(make_triage: Make) -> None:
    small = make_triage()
    odd = replace(small.frames[0], files=(make_file("DCIM/100NIGHT/Füchsin 狐.JPG"),))
    assert "Füchsin 狐.JPG" in report_json(replace(small, frames=(odd, *small.frames[1:])))


@given(st.datetimes())
def test_camera_times_are_iso_without_zone_to_the_millisecond(moment: datetime) -> None:
    # ISO 8601 as Python's standard library reads it.
    told = camera_time(moment)
    read = datetime.fromisoformat(told)
    assert read.tzinfo is None
    assert 0 <= (moment - read).total_seconds() < 0.001
    assert len(told) == (23 if moment.microsecond else 19)


@given(st.floats(), st.integers(0, 6))
def test_rounded_numbers_are_finite_and_near_and_never_minus_zero(value: float, digits: int) -> None:
    told = rounded(value, digits)
    if told is None:
        assert not math.isfinite(value)
    else:
        assert told == 0.0 or math.isclose(told, value, abs_tol=10.0**-digits)
        assert math.copysign(1.0, told) == 1.0 or told != 0.0


def test_what_went_right_stands_under_a_key_of_its_own(make_triage: Make) -> None:
    outlook = Outlook(-0.0123456, -0.02, -0.001, 0.81234, 25.04, 15.06)
    review = RigReview(
        flashes=(
            FlashRecord(Part.FLASH_LEFT, 20, 19, 18.123, ((1, 0.98),), outlook),
            FlashRecord(Part.FLASH_RIGHT, 20, 2, 1.5, (), None),
        ),
        trips=7,
        trips_with_subject=4,
        trips_empty=2,
        visits=4,
        visits_whole=3,
        framing=Framing(4, 0.123456, -0.2, 5.5, -6.25),
        notes=("It fired.",),
        advice=("Turn it.",),
        untold=("Nobody knows.",),
        healthy=(1,),
    )
    small = make_triage()
    rig = report(replace(small, review=review))["rig"]
    assert rig["flashes"][0] == {
        "component": "flash-left",
        "asked": 20,
        "fired": 19,
        "given": 18.123,
        "outlook": {
            "now": 0.812,
            "change_per_h": -0.01235,
            "interval_per_h": [-0.02, -0.001],
            "hours_left": 25.0,
            "hours_least": 15.1,
        },
    }
    assert rig["flashes"][1]["outlook"] is None
    assert rig["trips"] == {"all": 7, "subject": 4, "empty": 2}
    assert rig["visits"] == {"all": 4, "whole": 3}
    assert rig["framing"] == {
        "visits": 4,
        "across": 0.1235,
        "down": -0.2,
        "turn_deg": 5.5,
        "tilt_deg": -6.25,
        "across_cm": None,
        "down_cm": None,
    }
    assert (rig["notes"], rig["advice"], rig["untold"]) == (["It fired."], ["Turn it."], ["Nobody knows."])
    assert rig["healthy"] == [small.frames[1].path]


def test_travel_is_told_with_its_direction_and_speed(make_triage: Make) -> None:
    triage = make_triage()
    event = replace(triage.events[1], travel=Travel(Side.LEFT, 0.41239))
    told = json.loads(report_json(replace(triage, events=(triage.events[0], event, *triage.events[2:]))))
    assert told["events"][1]["travel"] == {"toward": "left", "widths_per_s": 0.412}
