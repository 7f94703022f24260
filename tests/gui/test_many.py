"""Many frames in one step: chosen together, under a filter, and groups after a spot check."""

import pytest
from PySide6.QtCore import Qt

from tests.gui.stand_ins import FakePipeline, make_night
from tests.gui.test_window import CARD, KEEP, NIGHT, REJECT, on_disk, press
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.ui.command import Command
from triage.ui.filters import Only
from triage.ui.spot_check import SAMPLE, SHEET

SHIFT = Qt.KeyboardModifier.ShiftModifier
CONTROL = Qt.KeyboardModifier.ControlModifier
MANY = ((EventKind.SUBJECT, 2), *[(EventKind.EMPTY, 2)] * 15, (EventKind.SETUP, 4))


def do(window, command: Command) -> None:
    window.actions_.by_command[command].trigger()


def test_frames_are_chosen_together_by_key_and_rejected_in_one(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(2)
    press(qtbot, window, Qt.Key.Key_F, Qt.Key.Key_F, modifier=SHIFT)
    assert "3 frames chosen together" in window.status.text
    assert "3 frames chosen together" in window.page.reasons.text
    press(qtbot, window, Qt.Key.Key_D)
    assert on_disk(window) == {2: REJECT, 3: REJECT, 4: REJECT}
    press(qtbot, window, Qt.Key.Key_Z)
    assert on_disk(window) == {}


def test_esc_means_one_frame_again(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(2)
    press(qtbot, window, Qt.Key.Key_F, modifier=SHIFT)
    press(qtbot, window, Qt.Key.Key_Escape)
    press(qtbot, window, Qt.Key.Key_D)
    assert on_disk(window) == {3: REJECT}


def test_all_under_a_filter_is_decided_after_a_question_with_its_number(open_night, qtbot):
    window = open_night(*NIGHT)
    do(window, Command.REJECT_SHOWN)
    assert "Choose first" in window.status.text
    window.sorting.show_only(FindingKind.EMPTY)
    window.asking.agrees = False
    press(qtbot, window, Qt.Key.Key_D, modifier=SHIFT | CONTROL)
    assert window.asking.asked[-1] == "Reject 2 frames of 1 event?"
    assert on_disk(window) == {}
    window.asking.agrees = True
    press(qtbot, window, Qt.Key.Key_D, modifier=SHIFT | CONTROL)
    assert on_disk(window) == {5: REJECT, 6: REJECT}
    press(qtbot, window, Qt.Key.Key_Z)
    assert on_disk(window) == {}


def test_what_is_decided_under_a_filter_stays_as_it_is(open_night, qtbot):
    window = open_night(*NIGHT)
    window.sorting.go(2)
    press(qtbot, window, Qt.Key.Key_D)
    window.sorting.show_only(Only.SUBJECT)
    do(window, Command.KEEP_SHOWN)
    assert on_disk(window) == {2: REJECT, 3: KEEP, 4: KEEP, 7: KEEP}
    do(window, Command.KEEP_SHOWN)
    assert "No undecided frame under “With a subject”." in window.status.text


def nothing_on(qtbot, window, sheets: int) -> None:
    press(qtbot, window, *[Qt.Key.Key_D] * sheets)


SHEETS = SAMPLE // SHEET


def test_empty_events_go_in_one_step_after_a_spot_check_that_says_what_it_proves(open_night, qtbot):
    window = open_night(*MANY)
    press(qtbot, window, Qt.Key.Key_E, modifier=CONTROL)
    assert window.check_strip.text.startswith("Put 30 frames of 15 events away as empty?")
    assert "sheet 1 of 4" in window.check_strip.text
    assert [tile.isVisible() for tile in window.page.sheet.tiles] == [True] * SHEET
    nothing_on(qtbot, window, SHEETS)
    assert "You looked at 24 of 30 frames, drawn at random; none of them" in window.check_strip.text
    assert on_disk(window) == {}
    press(qtbot, window, Qt.Key.Key_D)  # a key too many decides nothing
    assert on_disk(window) == {}
    press(qtbot, window, Qt.Key.Key_E)
    assert window.check_strip.text == ""
    assert on_disk(window) == dict.fromkeys(range(2, 32), REJECT)
    press(qtbot, window, Qt.Key.Key_Z)
    assert on_disk(window) == {}


def test_an_event_that_shows_something_after_all_is_left_to_be_decided(open_night, qtbot):
    window = open_night(*MANY)
    do(window, Command.PUT_EMPTY)
    press(qtbot, window, Qt.Key.Key_F, Qt.Key.Key_S)
    seen = window.session.current
    assert window.page.sheet.tiles[1].is_marked
    assert window.check_strip.answers[:2] == ["Only in the 1 marked (D)", "Unmark this one (S)"]
    nothing_on(qtbot, window, SHEETS)
    event = window.session.event_of(seen)
    left = len(event.frames)
    assert f"{left} frames of the events in which you saw something are left" in window.check_strip.text
    press(qtbot, window, Qt.Key.Key_E)
    assert not set(event.frames) & set(on_disk(window))
    assert len(on_disk(window)) == 30 - left
    assert window.session.current == seen


def test_a_frame_is_marked_with_the_mouse_or_the_space_bar_and_unmarked_again(open_night, qtbot):
    window = open_night(*MANY)
    do(window, Command.PUT_EMPTY)
    tile = window.page.sheet.tiles[4]
    qtbot.mouseClick(tile, Qt.MouseButton.LeftButton)
    assert window.sheets.marked == {window.sheets.frames[4]}
    assert window.session.current == window.sheets.frames[4]
    tile.setFocus()
    qtbot.keyClick(tile, Qt.Key.Key_Space)
    assert window.sheets.marked == set()


def test_one_frame_of_a_sheet_is_looked_at_by_itself_and_answered_there(open_night, qtbot):
    window = open_night(*MANY)
    do(window, Command.PUT_EMPTY)
    press(qtbot, window, Qt.Key.Key_Down)  # the row below
    assert window.session.current == window.sheets.frames[3]
    press(qtbot, window, Qt.Key.Key_C)
    assert window.page.picture.isVisible()
    assert not window.page.sheet.isVisible()
    press(qtbot, window, Qt.Key.Key_S)
    assert window.page.sheet.isVisible()
    assert window.sheets.marked == {window.sheets.frames[3]}
    press(qtbot, window, Qt.Key.Key_C, Qt.Key.Key_D)
    assert window.sheets.marked == set()
    assert "sheet 1 of 4" in window.check_strip.text
    press(qtbot, window, Qt.Key.Key_C, Qt.Key.Key_Escape)
    assert window.page.sheet.isVisible()
    press(qtbot, window, Qt.Key.Key_Escape)
    assert not window.sweeping.is_checking


def test_an_answer_is_taken_back_and_nothing_else_is_sorted_meanwhile(open_night, qtbot):
    window = open_night(*MANY)
    do(window, Command.PUT_EMPTY)
    first = window.sheets.frames
    press(qtbot, window, Qt.Key.Key_D)
    assert window.sheets.frames != first
    press(qtbot, window, Qt.Key.Key_Z)
    assert window.sheets.frames == first
    press(qtbot, window, Qt.Key.Key_W, Qt.Key.Key_E, Qt.Key.Key_G)
    assert window.sheets.frames == first
    assert on_disk(window) == {}
    press(qtbot, window, Qt.Key.Key_Escape)
    assert window.check_strip.text == ""
    assert window.session.current == 0
    assert window.actions_.by_command[Command.KEEP_BEST].isEnabled()
    assert not window.actions_.by_command[Command.PUT_UNSEEN].isEnabled()


def test_one_may_look_at_more_before_one_is_content(open_night, qtbot):
    window = open_night(*MANY)
    do(window, Command.PUT_EMPTY)
    nothing_on(qtbot, window, SHEETS)
    assert window.check_strip.answers[1] == "Look at 6 more (F)"
    press(qtbot, window, Qt.Key.Key_F)
    nothing_on(qtbot, window, 1)
    assert "You looked at all 30 frames" in window.check_strip.text
    press(qtbot, window, Qt.Key.Key_E)
    assert len(on_disk(window)) == 30


def test_a_decision_leads_on_to_the_check_of_what_is_empty_and_leaving_it_lasts(open_night, qtbot):
    window = open_night(*MANY)
    press(qtbot, window, Qt.Key.Key_W)
    assert window.sweeping.is_checking
    assert "15 events away as empty" in window.check_strip.text
    press(qtbot, window, Qt.Key.Key_Escape)
    assert window.session.event.kind is EventKind.EMPTY
    press(qtbot, window, Qt.Key.Key_E)
    assert not window.sweeping.is_checking
    assert len(on_disk(window)) == 4


def test_a_group_that_fits_on_one_sheet_is_gone_through_event_by_event(open_night, qtbot):
    window = open_night((EventKind.SUBJECT, 2), *[(EventKind.EMPTY, 2)] * 3)
    press(qtbot, window, Qt.Key.Key_W)
    assert not window.sweeping.is_checking
    assert window.session.current == 3


def test_whoever_goes_by_time_or_by_hand_is_not_led_into_a_check(open_night, qtbot):
    window = open_night(*MANY)
    do(window, Command.BY_TIME)
    press(qtbot, window, Qt.Key.Key_W)
    assert window.session.event.kind is EventKind.EMPTY
    assert not window.sweeping.is_checking
    do(window, Command.BY_TIME)
    window.sorting.go(9)
    press(qtbot, window, Qt.Key.Key_R)
    assert not window.sweeping.is_checking


def test_only_what_is_sure_goes_unseen(open_night, qtbot):
    window = open_night(*MANY)
    do(window, Command.PUT_EMPTY)
    assert "Put away unseen (Shift + E)" not in window.check_strip.answers  # said at 0.9 only
    press(qtbot, window, Qt.Key.Key_E, modifier=SHIFT)
    assert on_disk(window) == {}
    assert window.sweeping.is_checking


@pytest.mark.parametrize(
    ("modifier", "words"),
    [
        (CONTROL, "Empty events can be put away once"),
        (CONTROL | SHIFT, "Your own setting up can be put away"),
    ],
)
def test_before_the_whole_card_is_judged_the_key_says_so_and_does_nothing_else(
    make_window, qtbot, modifier, words
):
    pipeline = FakePipeline(make_night(MANY), hold_at=4)
    window = make_window(pipeline)
    window.open_card(CARD)
    qtbot.waitUntil(lambda: window.page.picture.image is not None)
    window.sorting.go(2)
    press(qtbot, window, Qt.Key.Key_E, modifier=modifier)
    assert words in window.status.text
    assert "once the whole card is judged; so far 0 of 36 frames." in window.status.text
    assert window.asking.asked == []
    assert on_disk(window) == {}
    assert (window.session.current, window.session.shown) == (2, None)
    assert not window.sweeping.is_checking
    with qtbot.waitSignal(window.reading.ended):
        pipeline.gate.set()


def test_leaving_it_changes_nothing(open_night):
    window = open_night(*MANY)
    do(window, Command.PUT_OWN)
    assert window.check_strip.text.startswith("Put 4 frames of 1 event away as your own setting up?")
    assert "Is anything there but you?" in window.check_strip.text
    assert [tile.isVisible() for tile in window.page.sheet.tiles].count(True) == 4
    window.step_back()
    assert not window.sweeping.is_checking
    assert on_disk(window) == {}


@pytest.mark.parametrize("command", [Command.PUT_EMPTY, Command.PUT_OWN])
def test_a_night_without_such_a_group_says_so(open_night, command):
    window = open_night((EventKind.SUBJECT, 2))
    do(window, command)
    assert "No undecided event" in window.status.text


def test_undecided_frames_come_by_time_on_demand_and_next_time_too(open_night, qtbot):
    window = open_night(*NIGHT)
    do(window, Command.BY_TIME)
    press(qtbot, window, Qt.Key.Key_Space)
    assert window.session.current == 1
    window.close()
    again = open_night(*NIGHT)
    assert again.session.by_time


def test_the_space_bar_says_when_the_next_sort_of_event_begins(open_night, qtbot):
    window = open_night(*NIGHT)
    press(qtbot, window, Qt.Key.Key_Space)
    assert window.session.current == 3
    assert "Now: visits with a clear frame." in window.status.text
