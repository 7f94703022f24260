"""The before-dusk sheet in words."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from triage.export import fault_words
from triage.export.cautions import CAUTIONS, LAST_WORD
from triage.export.sheet import NOTHING_FAILED, before_dusk, sheet_lines
from triage.records.diagnosis import FaultKind, Part
from triage.records.result import Triage
from triage.records.rig import RigReview

Make = Callable[..., Triage]
REVIEW = RigReview(
    notes=("The left flash fired on 9 of 9 night frames.",),
    advice=("Turn the camera 4.2° to the left.",),
    untold=("Without a place there is no sunset.",),
)


def test_likely_faults_come_first_and_doubts_keep_the_numbers_that_follow(make_triage: Make) -> None:
    fault = make_triage().faults[0]
    doubt = replace(fault, part=Part.LENS, kind=FaultKind.FOGGED, confidence=0.4)
    later = replace(fault, part=Part.AIM, kind=FaultKind.MOVED, confidence=0.7)
    sheet = before_dusk(make_triage(faults=(fault, doubt, later)))
    assert [(entry.number, entry.position, entry.is_likely) for entry in sheet.entries] == [
        (1, 0, True),
        (2, 2, True),
        (3, 1, False),
    ]
    assert [entry.title for entry in sheet.likely] == ["Right flash: stopped", "Aim: moved"]
    assert [entry.title for entry in sheet.doubts] == ["Lens: fogged"]


def test_every_fault_says_how_sure_since_when_why_and_what_to_do(make_triage: Make) -> None:
    lines = sheet_lines(before_dusk(make_triage()))
    fault = make_triage().faults[0]
    assert lines[:5] == [
        "Before dusk, worst first:",
        "  1. Right flash: stopped",
        "     Almost sure, 96\u00a0%; from 3 Oct 2026, 22:00:07, to the end.",
        f"     {fault.say}",
        f"     Do: {fault.remedy}",
    ]


def test_a_healthy_night_says_so_and_what_went_right(make_triage: Make) -> None:
    lines = sheet_lines(before_dusk(make_triage(faults=(), review=REVIEW)))
    assert lines == [
        NOTHING_FAILED,
        "",
        "Would make it better:",
        "  - Turn the camera 4.2° to the left.",
        "",
        "What went right:",
        "  - The left flash fired on 9 of 9 night frames.",
        "",
        "What this card cannot tell:",
        "  - Without a place there is no sunset.",
    ]


def test_the_cautions_stand_on_every_sheet_and_defer_to_the_law(make_triage: Make) -> None:
    sheet = before_dusk(make_triage(faults=()))
    assert sheet.cautions == CAUTIONS
    assert sheet.last_word == LAST_WORD
    told = " ".join(caution.words for caution in CAUTIONS)
    for words in ("eye line", "nests and dens", "landowner", "privacy law", "maker"):
        assert words in told
    assert "Local law, codes of practice and your licence go first" in LAST_WORD


def test_the_sheet_says_which_night_it_is_of(make_triage: Make) -> None:
    sheet = before_dusk(make_triage())
    assert sheet.stretch.startswith("3 Oct 2026, 17:25:10 to ")
    assert sheet.night == make_triage().night.summary


@pytest.mark.parametrize("part", Part)
def test_every_part_has_a_title(part: Part) -> None:
    assert fault_words.PART_TITLES[part][0].isupper()


@pytest.mark.parametrize("kind", FaultKind)
def test_every_fault_has_a_title(kind: FaultKind) -> None:
    assert fault_words.FAULT_TITLES[kind] == fault_words.FAULT_TITLES[kind].lower()
