"""A card that is judged while nobody touches anything leads by itself to the best of what came."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from tests.gui.stand_ins import FakePipeline, make_night
from tests.gui.test_window import NIGHT, on_disk, press
from triage.records.event import EventKind

CARD = Path("/cards/night")
FIRST_VISIT = 3
"""Of `NIGHT`: the best frame of the first visit, after two frames of setting up."""


@pytest.fixture
def held(make_window, qtbot):
    """Give a window on a card of which all but the last frames are read, and what lets them come."""
    pipeline = FakePipeline(make_night(NIGHT), hold_at=6)
    window = make_window(pipeline)
    window.open_card(CARD)
    qtbot.waitUntil(lambda: window.page.picture.image is not None)

    def end() -> None:
        with qtbot.waitSignal(window.reading.ended):
            pipeline.gate.set()

    return window, end


def test_the_first_visit_is_shown_once_the_card_is_judged(held):
    window, end = held
    assert window.session.current == 0
    end()
    assert window.session.current == FIRST_VISIT
    assert on_disk(window) == {}


@pytest.mark.parametrize("key", [Qt.Key.Key_V, Qt.Key.Key_F, Qt.Key.Key_S, Qt.Key.Key_B])
def test_after_any_key_the_frame_stays(held, qtbot, key):
    window, end = held
    press(qtbot, window, key)
    here = window.session.current
    end()
    assert window.session.current == here


def test_after_a_closer_look_with_the_wheel_the_frame_stays(held):
    window, end = held
    window.page.picture.zoom(2)
    end()
    assert window.session.current == 0


def test_with_undecided_frames_by_time_the_first_one_stays(held):
    window, end = held
    window.session.by_time = True
    end()
    assert window.session.current == 0


def test_a_card_sorted_before_leads_to_what_is_left_of_it(make_window, open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(FIRST_VISIT)
    press(qtbot, window, Qt.Key.Key_W)
    window.close()
    again = make_window(FakePipeline(make_night(NIGHT)))
    with qtbot.waitSignal(again.reading.ended):
        again.open_card(CARD)
    assert again.session.event.kind is EventKind.SUBJECT
    assert again.session.current == 7
