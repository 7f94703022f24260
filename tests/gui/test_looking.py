"""Two pictures side by side, shadows before and after, evidence beside a frame in order."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from tests.gui.stand_ins import FakePipeline, make_night
from tests.gui.test_window import NIGHT, press
from triage.records.rig import RigReview
from triage.ui.command import Command
from triage.ui.looking import Mode
from triage.ui.views.shadows import STEPS_EV

SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def window(open_night, qtbot):
    made = open_night(*NIGHT)
    made.sorting.go(3)
    return made


def at_rest(qtbot, window):
    pair = window.page.pair
    qtbot.waitUntil(lambda: not window.pictures.is_busy and not window._beside_pictures.is_busy)
    return pair.beside, pair.picture


def test_a_frame_is_held_beside_the_next_ones_and_both_are_zoomed_and_moved_together(window, qtbot):
    press(qtbot, window, Qt.Key.Key_X)
    press(qtbot, window, Qt.Key.Key_F)
    beside, picture = at_rest(qtbot, window)
    assert window.looking.held == 3
    assert window.session.current == 4
    assert beside.image.pixelColor(5, 5).red() == 43
    assert picture.image.pixelColor(5, 5).red() == 44
    press(qtbot, window, Qt.Key.Key_C)
    assert not picture.gaze.fits
    assert (beside.gaze.scale, beside.gaze.centre) == (picture.gaze.scale, picture.gaze.centre)
    press(qtbot, window, Qt.Key.Key_Right, modifier=Qt.KeyboardModifier.AltModifier)
    assert beside.gaze.centre == picture.gaze.centre
    beside.zoom(1)
    assert picture.gaze.scale == beside.gaze.scale


def test_the_look_stays_from_frame_to_frame_while_two_are_compared(window, qtbot):
    press(qtbot, window, Qt.Key.Key_X, Qt.Key.Key_C)
    place = window.page.picture.gaze
    press(qtbot, window, Qt.Key.Key_F)
    at_rest(qtbot, window)
    assert window.page.picture.gaze.centre == place.centre
    press(qtbot, window, Qt.Key.Key_X)
    assert not window.page.pair.is_double
    press(qtbot, window, Qt.Key.Key_A)
    assert window.page.picture.gaze.fits


def test_each_of_two_pictures_says_which_it_is(window, qtbot):
    press(qtbot, window, Qt.Key.Key_X, Qt.Key.Key_F)
    beside, picture = at_rest(qtbot, window)
    assert beside.caption.startswith("NGT_0004.JPG")
    assert picture.caption.startswith("NGT_0005.JPG")
    press(qtbot, window, Qt.Key.Key_Escape)
    assert picture.caption == ""


def test_two_pictures_get_the_room_of_list_and_reasons_and_give_it_back(window, qtbot):
    press(qtbot, window, Qt.Key.Key_X)
    assert window.page.list_column.isHidden()
    assert window.page.reasons.isHidden()
    press(qtbot, window, Qt.Key.Key_Escape)
    assert not window.page.list_column.isHidden()
    assert not window.page.reasons.isHidden()


def test_shadows_are_shown_before_and_after(window, qtbot):
    press(qtbot, window, Qt.Key.Key_X, modifier=SHIFT)
    beside, picture = at_rest(qtbot, window)
    assert window.looking.mode is Mode.SHADOWS
    assert (beside.lift_ev, picture.lift_ev) == (STEPS_EV[0], STEPS_EV[1])
    press(qtbot, window, Qt.Key.Key_F)
    at_rest(qtbot, window)
    assert beside.image is picture.image
    press(qtbot, window, Qt.Key.Key_X, modifier=SHIFT)
    assert window.looking.mode is None
    assert picture.lift_ev == 0


def test_the_light_is_written_over_the_picture_on_demand(window, qtbot):
    picture = window.page.picture
    before = picture.grab().toImage()
    press(qtbot, window, Qt.Key.Key_B, modifier=SHIFT)
    assert [(lamp.side, lamp.name, lamp.share) for lamp in picture.shown.lamps] == [
        ("left", "Left flash", 1.0),
        ("right", "Right flash", 1.0),
        ("bottom", "Other light", 0.01),
    ]
    assert picture.grab().toImage() != before
    press(qtbot, window, Qt.Key.Key_B, modifier=SHIFT)
    assert picture.grab().toImage() == before


def test_a_closer_look_glides_there_and_arrives(window, qtbot):
    picture = window.page.picture
    at_rest(qtbot, window)
    press(qtbot, window, Qt.Key.Key_C)
    assert picture._seen != picture.gaze
    qtbot.waitUntil(lambda: picture._seen == picture.gaze)
    press(qtbot, window, Qt.Key.Key_C)
    window.hide()
    assert picture._seen == picture.gaze


def test_a_fault_shows_only_its_evidence_beside_a_frame_in_order(make_window, qtbot):
    night = make_night(NIGHT)
    window = make_window(FakePipeline(replace(night, review=RigReview(healthy=(7,)))))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(Path("/cards/night"))
    window.page.timeline.fault_chosen.emit(0)
    assert window.session.shown_frames() == night.faults[0].evidence
    assert window.looking.held == 7
    assert window.page.pair.beside.caption.startswith("In order: NGT_0008.JPG")
    assert window.page.filter_button.text() == "Right flash: stopped"
    assert not window.page.reasons.isHidden()
    at_rest(qtbot, window)
    press(qtbot, window, Qt.Key.Key_Escape, Qt.Key.Key_Escape)
    assert window.session.shown is None
    assert not window.page.pair.is_double


def test_the_picture_has_all_of_the_window_on_demand(window, qtbot):
    control = Qt.KeyboardModifier.ControlModifier
    press(qtbot, window, Qt.Key.Key_B, modifier=control)
    for widget in (window.page.timeline, window.page.reasons, window.page.list_column):
        assert widget.isHidden()
    press(qtbot, window, Qt.Key.Key_X, Qt.Key.Key_X)
    assert window.page.reasons.isHidden()
    press(qtbot, window, Qt.Key.Key_B, modifier=control)
    for widget in (window.page.timeline, window.page.reasons, window.page.list_column):
        assert not widget.isHidden()


def test_looking_ends_with_the_card(window, qtbot):
    press(qtbot, window, Qt.Key.Key_X)
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(Path("/cards/night"))
    assert window.looking.held is None
    assert window.actions_.by_command[Command.COMPARE].isEnabled()
