from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import make_frame, make_judgement, make_small_triage
from tests.gui.stand_ins import make_night
from triage.records.diagnosis import FaultKind, Part
from triage.records.event import EventKind, Travel
from triage.records.finding import FindingKind
from triage.records.frame import Capture
from triage.records.measurement import Box, Light, Side, Subject
from triage.ui import words
from triage.ui.filters import Only
from triage.ui.views.filter_menu import filter_words

NB = "\u00a0"


def test_every_word_of_the_design_has_words():
    assert set(words.FINDING_TITLES) == set(words.COUNTS) == set(FindingKind)
    assert set(words.EVENT_TITLES) == set(EventKind)
    assert set(words.PART_TITLES) == set(Part)
    assert set(words.FAULT_TITLES) == set(FaultKind)


@given(st.floats(0, 1))
def test_sureness_never_claims_more_than_was_meant(confidence):
    percent = int(words.sureness(confidence).rpartition(" ")[2].split(NB)[0])
    assert percent <= 99
    assert percent <= confidence * 100 + 1e-4
    assert percent >= min(99, confidence * 100 - 1)


@given(st.floats(0, 1), st.floats(0, 1))
def test_sureness_rises_with_confidence(one, other):
    order = ["doubtful", "perhaps", "likely", "quite sure", "almost sure"]
    low, high = sorted((one, other))
    places = [order.index(words.sureness(chance).partition(",")[0]) for chance in (low, high)]
    assert places[0] <= places[1]


def test_a_subject_is_told_with_figures():
    subject = Subject(Box(0.0, 0.5, 0.2, 0.8), 0.99, (Side.LEFT, Side.BOTTOM))
    assert words.subject_words(subject, unsure=False) == (
        f"A subject (almost sure, 99{NB}%), covering 6{NB}% of the frame. It touches the left and lower border."
    )
    assert words.subject_words(None, unsure=False) == "No subject found."


def test_unsure_is_said_plainly():
    assert words.subject_words(None, unsure=True).startswith("Unsure: the tool cannot tell")
    assert "covers" in words.subject_words(Subject(Box(0, 0, 0.5, 0.5), 0.4, ()), unsure=True)


def test_light_says_what_each_flash_gave():
    said = make_judgement(
        0, light=Light(None, {"flash-right": 0.0, "flash-left": 0.98, "flash-3": None}, 0.2)
    )
    rows = {name: text for name, text, _share in words.light_rows(said)}
    assert rows == {
        "Left flash": f"98{NB}% of healthy",
        "Right flash": "nothing",
        "Third flash": "cannot be told",
        "Other light": "cannot be told",
    }
    assert words.light_rows(make_judgement(0, FindingKind.DAMAGED)) == []


@pytest.mark.parametrize(
    ("seconds", "text"), [(1 / 200, "1/200 s"), (0.25, "1/4 s"), (0.5, "0.5 s"), (30.0, "30 s"), (0.0, "0 s")]
)
def test_exposure_times_are_written_as_on_a_camera(seconds, text):
    assert words.exposure_time(seconds) == text


def test_capture_says_only_what_is_known():
    full = Capture(exposure_s=0.005, f_number=8.0, iso=400, focal_mm=35.0, temperature_c=-3.0)
    assert words.capture_words(full) == "1/200 s, f/8, ISO 400, 35 mm, -3 °C"
    assert words.capture_words(Capture()) == ""


def test_an_undecodable_file_name_can_be_shown():
    frame = make_frame(0, names=("DCIM/\udcffname.JPG",))
    assert words.files_words(frame) == "?name.JPG (1.0 MB)"


@pytest.mark.parametrize(
    ("size", "text"), [(1, "1 byte"), (999, "999 bytes"), (1500, "1.5 kB"), (2 * 10**9, "2.0 GB")]
)
def test_sizes_are_in_the_units_of_a_card(size, text):
    assert words.size_words(size) == text


def test_a_fault_has_a_title_and_a_time():
    fault = make_small_triage().faults[0]
    assert words.fault_title(fault) == "Right flash: stopped"
    assert words.fault_time(fault) == "from 3 Oct 2026, 22:00:07, to the end"
    ended = type(fault)(fault.part, fault.kind, fault.start, datetime(2026, 10, 4, 1), 0.9, (), "", "")
    assert words.fault_time(ended) == "from 3 Oct 2026, 22:00:07 to 4 Oct 2026, 01:00:00"
    hour_later = type(fault)(fault.part, fault.kind, fault.start, datetime(2026, 10, 3, 23), 0.9, (), "", "")
    assert words.fault_time(hour_later) == "from 3 Oct 2026, 22:00:07 to 23:00:00"
    at_once = type(fault)(fault.part, fault.kind, fault.start, fault.start, 0.9, (), "", "")
    assert words.fault_time(at_once) == "at 3 Oct 2026, 22:00:07"
    always = type(fault)(fault.part, fault.kind, None, None, 0.9, (), "", "")
    assert words.fault_time(always) == "on the whole card"


def test_the_rest_of_an_event_is_counted():
    night = make_night(((EventKind.SUBJECT, 3),))
    said = {0: night.judgements[0], 1: make_judgement(1, FindingKind.EDGE)}
    assert words.others_words(night.events[0], said, 0) == (
        "2 other frames in this event: 1 cut by the border and 1 not yet judged."
    )
    alone = make_night(((EventKind.SUBJECT, 1),)).events[0]
    assert words.others_words(alone, {}, 0) == "The only frame of its event."


def test_an_event_that_is_mixed_in_the_end_is_called_so():
    event = make_night(((EventKind.MIXED, 1),)).events[0]
    assert words.event_title(event, settled=False) == "not yet told"
    assert words.event_title(event) == "mixed"


def test_every_filter_has_words_of_its_own():
    choices = [None, *Only, *FindingKind]
    assert len({filter_words(which) for which in choices}) == len(choices)


@pytest.mark.parametrize(
    ("travel", "said"),
    [
        (None, ""),
        (Travel(None, 0.01), "The subject stays where it is."),
        (
            Travel(Side.LEFT, 0.412),
            f"The subject goes left, 41{NB}% of the frame's width a second.",
        ),
    ],
)
def test_the_way_a_subject_goes_is_said(travel, said):
    assert words.travel_words(travel) == said
