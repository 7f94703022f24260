"""The time line as a widget: what is chosen, what is shown, and how it looks where that can be probed."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace
from datetime import timedelta

import pytest
from PySide6.QtCore import QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QColor, QImage, QWheelEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from tests.gui import timeline_records as made
from tests.gui.timeline_probes import (
    answered,
    fill,
    has_colour,
    one_event,
    picture,
    show_time_line,
    show_triage,
)
from triage.records.decision import Verdict
from triage.records.diagnosis import FaultKind, Part
from triage.records.event import Event, EventKind
from triage.records.night import Night
from triage.ui import theme
from triage.ui.timeline.axis import to_seconds
from triage.ui.timeline.event_scale import KEPT_BYTES
from triage.ui.timeline.look import GROUND_PX
from triage.ui.timeline.panel import TimelinePanel

pytestmark = [
    pytest.mark.gui,
    # The offscreen platform says so of every window and tip that is shown: it has no window manager to ask.
    pytest.mark.qt_log_ignore("does not support (propagateSizeHints|raise)"),
]


def test_nothing_is_shown_before_a_card_is_open(panel: TimelinePanel) -> None:
    picture(panel)
    assert panel.ribbon.marks() == ()
    assert panel.lanes.lanes() == ()
    assert panel.scale.tip_at(QPointF(400, 40)) == ""
    assert "when a card is open" in panel.ribbon.accessibleDescription()


@pytest.mark.parametrize("count", [0, 1, 5, 80, 600])
@pytest.mark.parametrize("with_sky", [True, False])
def test_a_night_of_any_size_is_painted(panel: TimelinePanel, count: int, with_sky: bool) -> None:
    of = made.night(with_sky=with_sky)
    fill(panel, of, count)
    panel.set_current(1 if count else None, 0 if count else None)
    picture(panel)
    assert sum(len(mark.events) for mark in panel.ribbon.marks()) == count


def test_a_card_of_weeks_is_painted_with_its_days(panel: TimelinePanel) -> None:
    fill(panel, made.night(hours=24 * 16), 200)
    picture(panel)
    assert panel.ribbon.axis.span == pytest.approx(24 * 16 * 3600, rel=0.01)


def test_the_three_views_begin_their_time_at_the_same_pixel(panel: TimelinePanel, night: Night) -> None:
    fill(panel, night)
    panel.set_current(1, None)
    assert panel.ribbon.axis is panel.lanes.axis
    assert panel.ribbon.axis.left == panel.scale.look.gutter == panel.lanes.look.gutter


@pytest.mark.parametrize("minutes", [10, 13, 16, 20])
def test_the_number_of_an_event_hides_no_mark_beside_it(
    panel: TimelinePanel, night: Night, minutes: int
) -> None:
    frames, events = made.visits(3, night)
    first = events[0]
    later = first.start + timedelta(minutes=minutes)
    near = replace(events[1], start=later, end=later)
    show_triage(panel, made.triage(night, frames, (first, near, events[2]), ()))
    panel.set_current(first.id, None)
    ribbon, look = panel.ribbon, panel.ribbon.look
    here, beside = ribbon.marks()[:2]
    width = look.width(str(first.id))
    x = ribbon._number_x(here.x, width)
    ground = x - GROUND_PX, x + width + GROUND_PX
    assert ground[1] < beside.x - look.radius or beside.x + look.radius < ground[0]
    assert ground[1] < here.x - look.radius or here.x + look.radius < ground[0]


def test_a_click_on_a_mark_chooses_its_event(panel: TimelinePanel, qtbot: QtBot, night: Night) -> None:
    fill(panel, night)
    mark = next(mark for mark in panel.ribbon.marks() if len(mark.events) == 1)
    with qtbot.waitSignal(panel.event_chosen) as chosen:
        qtbot.mouseClick(panel.ribbon, Qt.MouseButton.LeftButton, pos=QPoint(round(mark.x), 40))
    assert chosen.args == [mark.events[0].id]


def test_clicks_on_a_crowd_go_through_its_events(panel: TimelinePanel, qtbot: QtBot, night: Night) -> None:
    fill(panel, night, 600)
    chosen = answered(panel)
    mark = max(panel.ribbon.marks(), key=lambda mark: len(mark.events))
    for _ in range(3):
        qtbot.mouseClick(panel.ribbon, Qt.MouseButton.LeftButton, pos=QPoint(round(mark.x), 40))
    assert chosen == [event.id for event in mark.events[:3]]


def test_a_double_click_on_a_crowd_zooms_until_it_parts(
    panel: TimelinePanel, qtbot: QtBot, night: Night
) -> None:
    fill(panel, night, 600)
    crowd = max(panel.ribbon.marks(), key=lambda mark: len(mark.events))
    qtbot.mouseDClick(panel.ribbon, Qt.MouseButton.LeftButton, pos=QPoint(round(crowd.x), 40))
    assert len(panel.ribbon.marks()) > len(crowd.events) / 2
    shown = {event.id for mark in panel.ribbon.marks() for event in mark.events}
    assert shown >= {event.id for event in crowd.events}


def test_arrow_keys_step_through_the_events_and_stop_at_the_ends(
    panel: TimelinePanel, qtbot: QtBot, night: Night
) -> None:
    fill(panel, night, 3)
    chosen = answered(panel)
    for key in (
        Qt.Key.Key_Right,
        Qt.Key.Key_Right,
        Qt.Key.Key_Left,
        Qt.Key.Key_Left,
        Qt.Key.Key_End,
        Qt.Key.Key_Right,
    ):
        qtbot.keyClick(panel.ribbon, key)
    assert chosen == [1, 2, 1, 3]
    qtbot.keyClick(panel.ribbon, Qt.Key.Key_Home)
    assert chosen[-1] == 1


def test_the_current_event_is_brought_into_a_zoomed_view(
    panel: TimelinePanel, qtbot: QtBot, night: Night
) -> None:
    triage = fill(panel, night, 40)
    panel.set_current(1, None)
    for _ in range(8):
        qtbot.keyClick(panel.ribbon, Qt.Key.Key_Plus)
    assert panel.ribbon.axis.is_zoomed
    panel.set_current(triage.events[-1].id, None)
    assert panel.ribbon.axis.sees(to_seconds(triage.events[-1].start))
    assert panel.ribbon.current_x() is not None
    qtbot.keyClick(panel.ribbon, Qt.Key.Key_0)
    assert not panel.ribbon.axis.is_zoomed


def wheel(
    widget: QWidget, x: float, notches: int, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
) -> None:
    at = QPointF(x, 30)
    event = QWheelEvent(
        at,
        QPointF(widget.mapToGlobal(at.toPoint())),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        modifiers,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(widget, event)


@pytest.mark.parametrize("name", ["ribbon", "lanes"])
def test_the_wheel_zooms_both_views_around_the_pointer(panel: TimelinePanel, night: Night, name: str) -> None:
    fill(panel, night)
    before = panel.ribbon.axis.seconds_at(700)
    wheel(getattr(panel, name), 700, 4)
    assert panel.ribbon.axis.is_zoomed
    assert panel.ribbon.axis.seconds_at(700) == pytest.approx(before, abs=1)
    start = panel.lanes.axis.start
    wheel(panel.ribbon, 700, -1, Qt.KeyboardModifier.ShiftModifier)
    assert panel.lanes.axis.start > start
    wheel(panel.ribbon, 700, -40)
    assert not panel.lanes.axis.is_zoomed


def test_a_drag_moves_along_and_chooses_nothing(panel: TimelinePanel, qtbot: QtBot, night: Night) -> None:
    fill(panel, night)
    chosen = answered(panel)
    panel.set_current(6, None)
    wheel(panel.ribbon, panel.ribbon.zoom_centre(), 5)
    start = round(panel.ribbon.zoom_centre())
    anchor = panel.ribbon.axis.seconds_at(start)
    qtbot.mousePress(panel.ribbon, Qt.MouseButton.LeftButton, pos=QPoint(start, 50))
    for x in (start - 15, start - 40, start - 90):
        qtbot.mouseMove(panel.ribbon, QPoint(x, 50))
    qtbot.mouseRelease(panel.ribbon, Qt.MouseButton.LeftButton, pos=QPoint(start - 90, 50))
    assert panel.ribbon.axis.seconds_at(start - 90) == pytest.approx(anchor, abs=5)
    assert panel.ribbon.mark_at(QPointF(start - 90, 50)) is not None
    assert chosen == []


@pytest.mark.parametrize("name", ["ribbon", "lanes"])
def test_alt_and_the_arrows_move_along_and_choose_nothing(
    panel: TimelinePanel, qtbot: QtBot, night: Night, name: str
) -> None:
    fill(panel, night)
    chosen = answered(panel)
    view = getattr(panel, name)
    wheel(view, 700, 5)
    start = panel.ribbon.axis.start
    qtbot.keyClick(view, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert panel.ribbon.axis.start > start
    qtbot.keyClick(view, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    assert panel.ribbon.axis.start == pytest.approx(start, abs=1)
    assert chosen == []


def test_a_click_on_a_fault_lands_on_it(panel: TimelinePanel, qtbot: QtBot, night: Night) -> None:
    triage = fill(panel, night)
    for row, lane in enumerate(panel.lanes.lanes()):
        for stretch in panel.lanes.stretches_in(row):
            with qtbot.waitSignal(panel.fault_chosen) as chosen:
                at = stretch.box.center().toPoint()
                qtbot.mouseClick(panel.lanes, Qt.MouseButton.LeftButton, pos=at)
            assert triage.faults[chosen.args[0]].part is lane.part


def test_keys_go_through_the_lanes_and_choose_a_fault(
    panel: TimelinePanel, qtbot: QtBot, night: Night
) -> None:
    triage = fill(panel, night)
    chosen: list[int] = []
    panel.fault_chosen.connect(chosen.append)
    qtbot.keyClick(panel.lanes, Qt.Key.Key_Return)
    assert chosen == []
    assert "flash-left: no fault found" in panel.lanes.accessibleDescription()
    qtbot.keyClick(panel.lanes, Qt.Key.Key_Down)
    qtbot.keyClick(panel.lanes, Qt.Key.Key_Return)
    assert triage.faults[chosen[0]].part is Part.FLASH_RIGHT
    assert "Change its cells" in panel.lanes.accessibleDescription()
    for _ in range(20):
        qtbot.keyClick(panel.lanes, Qt.Key.Key_Down)
    qtbot.keyClick(panel.lanes, Qt.Key.Key_Enter)
    assert triage.faults[chosen[1]].part is Part.CARD


def test_two_faults_of_one_part_can_both_be_reached(panel: TimelinePanel, qtbot: QtBot, night: Night) -> None:
    frames, events = made.visits(9, night)
    hour = timedelta(hours=1)
    faults = (
        made.fault(Part.FLASH_LEFT, FaultKind.FADING, night.start),
        made.fault(Part.FLASH_LEFT, FaultKind.STOPPED, night.start + 5 * hour, night.start + 6 * hour),
    )
    show_triage(panel, made.triage(night, frames, events, faults))
    chosen: list[int] = []
    panel.fault_chosen.connect(chosen.append)
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Right, Qt.Key.Key_Return):
        qtbot.keyClick(panel.lanes, key)
    assert chosen == [0, 1]
    narrow = panel.lanes.stretches_in(0)[-1]
    qtbot.mouseClick(panel.lanes, Qt.MouseButton.LeftButton, pos=narrow.box.center().toPoint())
    assert chosen[-1] == narrow.position == 1


def test_a_fault_out_of_view_cannot_be_clicked(panel: TimelinePanel, night: Night) -> None:
    fill(panel, night)
    panel.ribbon.zoom(12, panel.ribbon.axis.left)
    kinds = [stretch.fault.kind for row in range(6) for stretch in panel.lanes.stretches_in(row)]
    assert kinds == [FaultKind.WRONG]


def test_a_well_rig_says_so_only_once_it_is_known(panel: TimelinePanel, night: Night) -> None:
    show_time_line(panel, (), night, ())
    assert "once every frame is read" in panel.lanes.accessibleDescription()
    show_triage(panel, made.triage(night, (), ()))
    assert "No fault found" in panel.lanes.accessibleDescription()


def test_a_click_on_a_thumbnail_or_its_stem_chooses_the_frame(
    panel: TimelinePanel, qtbot: QtBot, night: Night
) -> None:
    one_event(panel, night, [0, 0.3, 0.6, 370, 372])
    layout = panel.scale.layout_now()
    assert layout is not None
    left = panel.scale.look.gutter
    for position in range(5):
        for x, y in ((layout.centres[position], 50), (layout.stems[position], panel.scale._bands().axis_y)):
            with qtbot.waitSignal(panel.frame_chosen) as chosen:
                qtbot.mouseClick(panel.scale, Qt.MouseButton.LeftButton, pos=QPointF(left + x, y).toPoint())
            assert chosen.args == [position]


def test_arrow_keys_step_through_the_frames(panel: TimelinePanel, qtbot: QtBot, night: Night) -> None:
    one_event(panel, night, [0, 1, 2])
    chosen: list[int] = []
    panel.frame_chosen.connect(chosen.append)
    panel.frame_chosen.connect(lambda index: panel.set_current(1, index))
    for key in (Qt.Key.Key_Right, Qt.Key.Key_End, Qt.Key.Key_Right, Qt.Key.Key_Left, Qt.Key.Key_Home):
        qtbot.keyClick(panel.scale, key)
    assert chosen == [1, 2, 1, 0]


@pytest.mark.parametrize("count", [1, 2, 40, 300])
def test_the_current_frame_is_always_in_view(panel: TimelinePanel, night: Night, count: int) -> None:
    one_event(panel, night, [0.4 * at + (600 if at > count / 2 else 0) for at in range(count)])
    for index in {0, count // 2, count - 1}:
        panel.set_current(1, index)
        image = picture(panel.scale)
        layout = panel.scale.layout_now()
        assert layout is not None
        x = round(panel.scale.look.gutter + layout.centres[index] - panel.scale._scroll)
        assert panel.scale.frame_at(QPointF(x, 40)) == index
        assert has_colour(image, theme.ACCENT, QRect(x - 2, 0, 4, 40))


def test_a_thumbnail_appears_when_it_is_given(panel: TimelinePanel, night: Night) -> None:
    one_event(panel, night, [0, 1])
    where = QRect(round(panel.scale.look.gutter) + 30, 30, 60, 60)
    assert not has_colour(picture(panel.scale), "#2468AC", where)
    image = QImage(480, 320, QImage.Format.Format_RGB888)
    image.fill(QColor("#2468AC"))
    panel.set_thumbnail(0, image)
    assert has_colour(picture(panel.scale), "#2468AC", where)


def test_thumbnails_of_another_event_are_not_kept(panel: TimelinePanel, night: Night) -> None:
    fill(panel, night, 5)
    image = QImage(480, 320, QImage.Format.Format_RGB888)
    image.fill(0)
    events = panel.scale._scene.events
    for event in events:
        panel.set_current(event.id, event.lead)
        for each in events:
            panel.set_thumbnail(each.lead, image)
        assert set(panel.scale._images) == {event.lead}


def test_all_thumbnails_of_a_very_long_event_stay_within_their_room(
    panel: TimelinePanel, night: Night
) -> None:
    one_event(panel, night, [0.5 * at for at in range(6_000)])
    image = QImage(480, 320, QImage.Format.Format_RGB888)
    image.fill(0)
    panel.set_thumbnail(3, image)
    assert panel.scale._images[3].sizeInBytes() * 6_000 < 1.1 * KEPT_BYTES


def test_a_rejected_frame_is_struck_through_and_a_kept_one_ticked(panel: TimelinePanel, night: Night) -> None:
    one_event(panel, night, [0, 1])
    left = round(panel.scale.look.gutter)
    where = QRect(left, 20, 600, 120)
    plain = picture(panel.scale)
    assert not has_colour(plain, theme.VERMILLION, where)
    panel.set_verdicts({0: Verdict.REJECT, 1: Verdict.KEEP})
    image = picture(panel.scale)
    assert has_colour(image, theme.VERMILLION, where)
    assert has_colour(image, theme.GREEN, where)


def test_a_damaged_frame_has_a_mark_in_place_of_its_picture(panel: TimelinePanel, night: Night) -> None:
    broken = made.frame(0, night.start, problem="The file ends too early.")
    event = Event(1, broken.time, broken.time, (0,), 0, EventKind.EMPTY)
    show_time_line(panel, (broken,), night, (event,))
    panel.set_current(1, 0)
    where = QRect(round(panel.scale.look.gutter), 20, 250, 100)
    assert has_colour(picture(panel.scale), theme.VERMILLION, where)
