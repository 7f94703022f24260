"""The night in one sentence, for none, one and many."""

from datetime import datetime, timedelta

import pytest

from tests.unit.diagnose import nights
from tests.unit.diagnose.nights import SIDES, make_night
from triage.diagnose.summary import summarize
from triage.diagnose.words import counted, duration
from triage.records.card import CardFile, FileKind
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.event import Event, EventKind
from triage.records.finding import Finding, FindingKind, Judgement
from triage.records.frame import Capture, Frame
from triage.records.measurement import Light, Measurement
from triage.records.night import Night, SetupSource

AT = datetime(2026, 10, 3, 21, 40)


def told(*kinds, faults=(), findings=(), days=0):
    times = [AT + timedelta(hours=2 * number, days=days * number) for number in range(len(kinds))]
    frames = tuple(
        Frame(number, f"{number:032x}", (CardFile(f"{number}.jpg", FileKind.JPEG, 1, 0),), Capture(), time)
        for number, time in enumerate(times)
    )
    judgements = tuple(
        Judgement(
            number,
            tuple(Finding(one, 0.9, "") for one in findings),
            Measurement(Light(0, {}, 0), None, presence=0.9 if kind is EventKind.SUBJECT else 0.1, blind=0),
        )
        for number, kind in enumerate(kinds)
    )
    events = tuple(
        Event(number + 1, times[number], times[number], (number,), number, kind)
        for number, kind in enumerate(kinds)
    )
    night = Night(AT, times[-1] if times else AT, (), SetupSource.WORKED_OUT, None, "")
    return summarize(frames, judgements, events, faults, night)


def fault(part, kind, confidence=0.9, *, end=None):
    return Fault(part, kind, datetime(2026, 10, 4, 2, 10), end, confidence, (0,), "", "")


SUBJECT, EMPTY, DARK, SETUP, MIXED = (
    EventKind.SUBJECT,
    EventKind.EMPTY,
    EventKind.DARK,
    EventKind.SETUP,
    EventKind.MIXED,
)


@pytest.mark.parametrize(
    ("kinds", "sentence"),
    [
        ((), "No frames."),
        ((SETUP,), "Only frames of the set-up."),
        ((EMPTY,), "1 visit at 21:40, none surely with an animal or a person."),
        ((SUBJECT,), "1 visit at 21:40, with an animal or a person, on 1 frame."),
        (
            (SUBJECT, SUBJECT),
            "2 visits between 21:40 and 23:40, all with an animal or a person, on 2 frames.",
        ),
        (
            (SUBJECT, EMPTY, DARK, MIXED),
            (
                "4 visits between 21:40 and 03:40, 1 with an animal or a person and 2 that cannot be told, "
                "on "
                "1 frame."
            ),
        ),
    ],
)
def test_visits_are_counted_in_grammar(kinds, sentence):
    assert told(*kinds) == sentence


def test_the_worst_fault_is_said_with_its_time_and_its_cost():
    sentence = told(
        SUBJECT, EMPTY, faults=(fault(Part.FLASH_RIGHT, FaultKind.STOPPED),), findings=(FindingKind.HALF_LIT,)
    )
    assert sentence.endswith("; the right flash stopped at 02:10 and 2 frames are half lit.")


def test_one_frame_is_and_several_are():
    sentence = told(
        SUBJECT, faults=(fault(Part.FLASH_LINK, FaultKind.STOPPED),), findings=(FindingKind.DARK,)
    )
    assert sentence.endswith("; all flashes together stopped at 02:10 and 1 frame is dark.")


def test_doubtful_faults_are_not_in_the_sentence():
    assert ";" not in told(SUBJECT, faults=(fault(Part.LENS, FaultKind.FOGGED, 0.4),))


def test_more_faults_are_counted():
    faults = (
        fault(Part.LENS, FaultKind.FOGGED),
        fault(Part.AIM, FaultKind.MOVED),
        fault(Part.CARD, FaultKind.FULL, 0.3),
    )
    assert told(SUBJECT, faults=faults).endswith("; the lens was fogged from 02:10 on (1 more fault).")


def test_cards_of_weeks_say_the_day():
    assert told(SUBJECT, SUBJECT, days=3).startswith(
        "2 visits between 21:40 on 3 October and 23:40 on 6 October"
    )


@pytest.mark.parametrize("kind", list(FaultKind))
def test_every_kind_of_fault_has_its_words(kind):
    part = {
        FaultKind.FALSE_FIRES: Part.TRIGGER,
        FaultKind.LATE: Part.TRIGGER,
        FaultKind.STOPPED_EARLY: Part.CAMERA,
        FaultKind.FOGGED: Part.LENS,
        FaultKind.RESET: Part.CLOCK,
        FaultKind.WRONG: Part.CLOCK,
    }.get(kind, Part.FLASH_3)
    sentence = told(SUBJECT, faults=(fault(part, kind),))
    assert sentence.count(".") == 1
    assert "; " in sentence


def test_a_made_night_reads_as_one_sentence():
    made = make_night(80, nights.stop(SIDES[1]))
    sentence = summarize(made.frames, made.judgements, made.events(), made.faults(), made.night)
    assert "the right flash stopped at" in sentence
    assert "half lit" in sentence


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (1, "1 second"),
        (45, "45 seconds"),
        (100, "2 minutes"),
        (5000, "83 minutes"),
        (12600, "3.5 hours"),
        (345600, "4 days"),
    ],
)
def test_durations_are_said_as_people_say_them(seconds, words):
    assert duration(seconds) == words


def test_counting_bends_the_word():
    assert [counted(number, "frame") for number in (0, 1, 2)] == ["0 frames", "1 frame", "2 frames"]
