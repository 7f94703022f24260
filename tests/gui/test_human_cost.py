"""What sorting a night costs a person, by the keystroke-level model.

S. K. Card, T. P. Moran and A. Newell, "The keystroke-level model for user performance time with interactive
systems", Communications of the ACM 23 (1980) 396-410: a key press takes 0.28 s (average typist who is no
secretary, 40 words a minute), getting ready for a decision 1.35 s, moving the hand between keyboard and mouse
0.40 s. Looking at a picture is not in the model: it compares ways of working, it does not foretell minutes.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from tests.gui.stand_ins import FakePipeline, make_night
from tests.gui.test_window import on_disk
from triage.records.event import EventKind
from triage.records.result import Triage
from triage.ui.spot_check import SAMPLE, SHEET

KEY_S, READY_S = 0.28, 1.35

FRAMES = 300
NIGHT = (
    (EventKind.SETUP, 28),
    *[(EventKind.SUBJECT, 9), (EventKind.EMPTY, 5), (EventKind.SUBJECT, 7), (EventKind.EMPTY, 6)] * 6,
    *[(EventKind.DARK, 4), (EventKind.EMPTY, 5), (EventKind.SUBJECT, 8)] * 5,
    (EventKind.MIXED, 3),
    (EventKind.SETUP, 22),
)
"""42 events: 17 visits, 17 empty ones, 5 in the dark, 1 mixed, and setting up and collecting."""
LOOKED_AT = 23
"""Events that a person has to see: all but the empty ones and those of setting up."""


@dataclass
class Hand:
    """Presses keys and keeps count; each decision is one getting ready, however many keys it takes."""

    press: Callable[..., None]
    keys: int = 0
    decisions: int = 0

    def decide(self, *keys: tuple[Qt.Key, Qt.KeyboardModifier]) -> None:
        self.decisions += 1
        for key, modifier in keys:
            # A modifier held down is a key press of its own in the model.
            self.keys += 1 + bin(modifier.value).count("1")
            self.press(key, modifier)

    @property
    def seconds(self) -> float:
        return self.keys * KEY_S + self.decisions * READY_S


NONE, CONTROL, SHIFT = (
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
)


def frame_by_frame_seconds() -> float:
    """Return what deciding on each frame by itself costs, one key for each."""
    return FRAMES * (READY_S + KEY_S)


def surely(night: Triage) -> Triage:
    """Return the night with every finding said at 0.97."""
    said = tuple(
        replace(judgement, findings=tuple(replace(found, confidence=0.97) for found in judgement.findings))
        for judgement in night.judgements
    )
    return replace(night, judgements=said)


@pytest.fixture
def window(make_window, qtbot):
    night = surely(make_night(NIGHT))
    made = make_window(FakePipeline(night))
    with qtbot.waitSignal(made.reading.ended):
        made.open_card(Path("/cards/night"))
    return made


@pytest.fixture
def hand(window, qtbot) -> Hand:
    return Hand(lambda key, modifier: qtbot.keyClick(window.focusWidget() or window, key, modifier))


def sort_what_must_be_seen(window, hand: Hand) -> None:
    """Keep the best frame of each visit, reject what is dark; the window leads on by itself."""
    for _event in range(LOOKED_AT):
        dark = window.session.event.kind is EventKind.DARK
        hand.decide((Qt.Key.Key_E if dark else Qt.Key.Key_W, NONE))


def look_at_a_sample(window, hand: Hand) -> None:
    """Answer each sheet, then put the group away. Six frames side by side are one decision."""
    for _sheet in range(SAMPLE // SHEET):
        hand.decide((Qt.Key.Key_D, NONE))
    assert "none of them showed something" in window.check_strip.text
    hand.decide((Qt.Key.Key_E, NONE))


def sort_all(window, hand: Hand) -> None:
    """Sort the night, with a spot check of what is empty; of oneself, sure as the tool is, none."""
    assert (len(window.session.frames), len(window.session.events)) == (FRAMES, 42)
    assert window.session.event.kind is EventKind.SUBJECT  # where the window led in by itself
    sort_what_must_be_seen(window, hand)
    assert "empty" in window.check_strip.text
    look_at_a_sample(window, hand)
    assert "your own setting up" in window.check_strip.text


def share(window, hand: Hand) -> float:
    """Return what it cost of judging each frame by itself; everything is decided, in few keys."""
    assert len(on_disk(window)) == FRAMES
    assert hand.keys <= 1.3 * len(window.session.events)
    return hand.seconds / frame_by_frame_seconds()


def test_a_night_costs_a_tenth_of_judging_each_frame_by_itself_spot_check_and_all(window, hand):
    sort_all(window, hand)
    hand.decide((Qt.Key.Key_E, SHIFT))
    assert share(window, hand) <= 0.098


def test_a_second_spot_check_of_ones_own_frames_costs_little_more(window, hand):
    sort_all(window, hand)
    look_at_a_sample(window, hand)
    assert share(window, hand) <= 0.111


@pytest.mark.source("paper", "Card, Moran & Newell 1980, doi 10.1145/358886.358895")
def test_the_model_gives_its_own_worked_figures():
    """1,000 frames at one key each: 27.2 minutes (1.35 + 0.28 s each)."""
    hand = Hand(lambda *_key: None)
    for _frame in range(1_000):
        hand.decide((Qt.Key.Key_S, NONE))
    assert hand.seconds / 60 == pytest.approx(27.2, abs=0.05)
