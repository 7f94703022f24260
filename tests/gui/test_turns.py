"""What a card brings comes to the screen in short pieces, and all at once where a person cannot wait."""

import gc
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest

from tests.gui.stand_ins import FakePipeline, make_night
from tests.gui.test_window import CARD, NIGHT
from triage.records.event import EventKind
from triage.ui.models.event_model import FEW_ROWS
from triage.ui.turns import Turns
from triage.ui.views import reasons as reasons_module


@pytest.fixture
def turns(qapp):
    made = Turns()
    yield made
    made.forget()


def test_pieces_are_done_in_order_with_a_turn_of_the_loop_between(qtbot, turns):
    done: list[str] = []

    def first() -> None:
        done.append("first")
        QTimer.singleShot(0, lambda: done.append("between"))

    turns.add(first, lambda: done.append("second"))
    assert not done
    qtbot.waitUntil(lambda: turns.is_idle)
    assert done == ["first", "between", "second"]


def test_hurry_does_all_at_once_also_from_within_a_piece(qtbot, turns):
    done: list[int] = []
    turns.add(lambda: done.append(1), lambda: (done.append(2), turns.hurry()), lambda: done.append(3))
    turns.hurry()
    assert done == [1, 2, 3]
    assert turns.is_idle


def test_what_is_forgotten_is_not_done(qtbot, turns):
    done: list[int] = []
    turns.add(lambda: done.append(1))
    turns.forget()
    QTest.qWait(20)
    assert turns.is_idle
    assert not done


def test_a_piece_that_fails_does_not_keep_the_others_back(qtbot, turns):
    done: list[int] = []

    def failing() -> None:
        message = "on purpose"
        raise ValueError(message)

    turns.add(failing, lambda: done.append(1))
    with qtbot.captureExceptions() as caught:
        qtbot.waitUntil(lambda: bool(done))
    assert [kind for kind, _error, _trace in caught] == [ValueError]


def test_the_reading_goes_on_only_after_what_it_brought_is_shown(make_window, qtbot):
    window = make_window(FakePipeline(make_night(NIGHT)))
    told: list[bool] = []
    window.reading.stepped.connect(lambda _step: told.append(window.sorting.turns.is_idle))
    before: list[bool] = []
    window.reading._is_shown = lambda asked=window.reading._is_shown: before.append(asked()) or before[-1]
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(CARD)
    assert False in before  # it did have to wait
    assert window.sorting.turns.is_idle
    assert window.page.timeline.ribbon.marks()
    assert window.model.rowCount() == len(NIGHT)


def test_a_key_pressed_before_all_is_shown_finds_everything_in_its_place(make_window, qtbot):
    window = make_window(FakePipeline(make_night(NIGHT)))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(CARD)
    window.sorting.finish(window.opening.triage)
    assert not window.sorting.turns.is_idle
    qtbot.keyClick(window.page.picture, Qt.Key.Key_S)
    assert window.sorting.turns.is_idle
    assert window.session.tally().kept == 1


def test_only_the_rows_something_was_said_of_are_told(open_night):
    window = open_night(*[(EventKind.SUBJECT, 2)] * 9)
    told: list[tuple[int, int]] = []
    window.model.dataChanged.connect(lambda first, last, _roles: told.append((first.row(), last.row())))
    window.model.refresh_rows([0, 1, 6])
    assert told == [(0, 0), (3, 3)]
    told.clear()
    window.model.refresh_rows(range(2 * (FEW_ROWS + 1)))
    assert told == [(0, FEW_ROWS)]
    told.clear()
    window.model.refresh_rows([])
    assert not told


def test_progress_paints_nothing_by_itself(open_night):
    window = open_night((EventKind.SUBJECT, 2))
    painted: list[int] = []
    plain = window.page.picture.paintEvent
    window.page.picture.paintEvent = lambda event: (painted.append(1), plain(event))
    window.page.picture.update()
    for done in range(100):
        window.status.show_work("Judging", done, 100)
    window.status.end_work()
    assert not painted


def test_the_sheet_for_dusk_is_built_when_somebody_looks(open_night):
    window = open_night((EventKind.SUBJECT, 2))
    assert not window.dusk._is_built
    window.show_dusk()
    assert window.dusk._is_built
    assert window.dusk.text
    window.dusk.show_triage(None)
    assert "still being read" in window.dusk.text


def test_reasons_follow_at_once_and_then_not_more_often_than_they_can_be_read(open_night, qtbot, monkeypatch):
    window = open_night(*[(EventKind.SUBJECT, 3)] * 3)
    reasons, laid = window.page.reasons, []
    reasons.setWidget, plain = lambda page: (laid.append(1), plain(page)), reasons.setWidget
    monkeypatch.setattr(reasons_module, "LEAST_MS", 1_000_000)
    reasons._since.invalidate()  # nothing was laid out for long
    window.sorting.step_frame(1)
    qtbot.waitUntil(lambda: bool(laid))
    for _key in range(5):
        window.sorting.step_frame(1)
        QTest.qWait(5)
    assert len(laid) == 1
    assert window.session.frames[window.session.current].name in reasons.text


def test_the_collector_is_spared_the_open_card_and_sees_all_again_later(open_night, qtbot):
    gc.unfreeze()
    window = open_night((EventKind.SUBJECT, 2))
    assert gc.get_freeze_count() > 0
    window.close()
    assert gc.get_freeze_count() == 0


def test_a_card_left_before_it_is_shown_is_not_shown_any_more(make_window, qtbot):
    window = make_window(FakePipeline(make_night(NIGHT)))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(CARD)
    window.sorting.finish(window.opening.triage)
    window.open_card(Path("/cards/other"))
    assert window.sorting.turns.is_idle
    qtbot.waitUntil(lambda: not window.reading.is_running)
