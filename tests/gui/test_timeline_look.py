"""How the time line looks, where that can be probed, and what it says."""

import os
from dataclasses import replace

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from datetime import datetime, timedelta

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QFont, QHelpEvent
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from tests.factories import make_small_triage
from tests.gui import timeline_records as made
from tests.gui.timeline_probes import fill, has_colour, picture, show_time_line, show_triage
from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.records.night import Night
from triage.records.result import Triage
from triage.ui import theme
from triage.ui.timeline.axis import to_seconds
from triage.ui.timeline.look import sky_tone
from triage.ui.timeline.panel import TimelinePanel
from triage.ui.timeline.shapes import OUTLINES
from triage.ui.timeline.sky_layer import UNKNOWN_SUN_TEXT

pytestmark = [
    pytest.mark.gui,
    # The offscreen platform says so of every window and tip that is shown: it has no window manager to ask.
    pytest.mark.qt_log_ignore("does not support (propagateSizeHints|raise)"),
]


def test_the_sky_is_toned_by_the_sun_and_plain_without_a_place(panel: TimelinePanel, night: Night) -> None:
    fill(panel, night, 0, faults=False)
    axis = panel.ribbon.axis
    foot = panel.ribbon.height() // 2

    def tone(at: datetime) -> str:
        return picture(panel.ribbon).pixelColor(round(axis.x_of(to_seconds(at))), foot).name()

    assert tone(datetime(2026, 10, 3, 18, 20)) == sky_tone("day").name()
    assert tone(datetime(2026, 10, 4, 2, 30)) == sky_tone("night").name()
    fill(panel, made.night(with_sky=False), 0, faults=False)
    assert tone(datetime(2026, 10, 3, 18, 20)) == sky_tone("night").name()
    assert UNKNOWN_SUN_TEXT in panel.ribbon.tip_at(QPointF(600, 30))


def test_tones_of_the_sky_fall_with_the_sun() -> None:
    kinds = ("day", "civil", "nautical", "astronomical", "night")
    light = [theme.luminance(sky_tone(kind).name()) for kind in kinds]
    assert light == sorted(light, reverse=True)


def test_text_on_the_time_line_has_the_contrast_wcag_asks_for() -> None:
    # WCAG 2.2 success criterion 1.4.3: at least 4.5 to 1.
    grounds = [theme.GROUND, theme.SUNK, sky_tone("night").name()]
    for ink in (theme.INK, theme.QUIET, theme.ACCENT):
        for ground in grounds:
            assert theme.contrast(ink, ground) >= 4.5


def test_every_shape_the_theme_knows_can_be_drawn() -> None:
    assert set(OUTLINES) == set(theme.Shape)


def test_progress_is_an_edge_that_grows_and_goes(panel: TimelinePanel, night: Night) -> None:
    fill(panel, night, 3)
    panel.scale.setFocus()
    axis, height = panel.ribbon.axis, panel.ribbon.height()

    def lit(share: float) -> bool:
        x = round(axis.left + share * axis.width)
        return has_colour(picture(panel.ribbon), theme.ACCENT, QRect(x, height - 6, 1, 6))

    panel.set_progress(30, 100)
    assert [lit(share) for share in (0.1, 0.28, 0.35, 0.9)] == [True, True, False, False]
    panel.set_progress(100, 100)
    assert not lit(0.1)


def test_focus_is_seen(panel: TimelinePanel, qtbot: QtBot, night: Night) -> None:
    fill(panel, night, 3)
    panel.activateWindow()
    for widget, other in (
        (panel.ribbon, panel.scale),
        (panel.lanes, panel.ribbon),
        (panel.scale, panel.lanes),
    ):
        widget.setFocus()
        qtbot.waitUntil(widget.hasFocus)
        assert picture(widget).pixelColor(1, widget.height() // 2).name() == theme.ACCENT.lower()
        assert picture(other).pixelColor(1, other.height() - 2).name() != theme.ACCENT.lower()


def test_screen_readers_hear_what_is_current(panel: TimelinePanel, night: Night) -> None:
    triage = fill(panel, night, 5)
    event = triage.events[2]
    panel.set_current(event.id, event.frames[0])
    panel.set_verdicts({event.frames[0]: Verdict.KEEP})
    assert panel.ribbon.accessibleName() == "The night"
    assert f"Current: Event {event.id}" in panel.ribbon.accessibleDescription()
    said = panel.scale.accessibleDescription()
    assert said.startswith(f"Frame 1 of {len(event.frames)}")
    assert "kept" in said


def test_tips_are_in_words(panel: TimelinePanel, night: Night) -> None:
    triage = fill(panel, night, 5)
    panel.set_current(triage.events[2].id, None)
    mark = panel.ribbon.marks()[2]
    assert panel.ribbon.tip_at(QPointF(mark.x, 40)).startswith("Event 3, ")
    stretch = panel.lanes.stretches_in(1)[0]
    assert "flash-right: stopped" in panel.lanes.tip_at(stretch.box.center())
    sample = next(sample for sample in panel.lanes.lanes()[0].samples if sample.output is not None)
    assert "% of its healthy output" in panel.lanes.tip_at(QPointF(panel.lanes.axis.x_of(sample.seconds), 5))
    assert panel.scale.tip_at(QPointF(panel.scale.look.gutter + 60, 50)).startswith("Frame 1 of")
    at = QPoint(round(mark.x), 40)
    QApplication.sendEvent(panel.ribbon, QHelpEvent(QEvent.Type.ToolTip, at, panel.ribbon.mapToGlobal(at)))
    assert QToolTip.text().startswith("Event 3, ")
    QToolTip.hideText()


def test_a_long_tip_is_laid_out_in_lines(panel: TimelinePanel, night: Night) -> None:
    fill(panel, night, 5)
    at = panel.lanes.stretches_in(1)[0].box.center().toPoint()
    QApplication.sendEvent(panel.lanes, QHelpEvent(QEvent.Type.ToolTip, at, panel.lanes.mapToGlobal(at)))
    lines = QToolTip.text().splitlines()
    assert len(lines) > 1
    assert max(map(len, lines)) <= 72
    QToolTip.hideText()


def test_keys_on_the_lanes_show_the_cause_in_words(panel: TimelinePanel, qtbot: QtBot, night: Night) -> None:
    fill(panel, night, 5)
    qtbot.keyClick(panel.lanes, Qt.Key.Key_Down)
    assert " ".join(QToolTip.text().split()).startswith("flash-right: stopped")
    assert "Change its cells" in QToolTip.text()
    qtbot.keyClick(panel.lanes, Qt.Key.Key_Up)
    assert QToolTip.text() == "flash-left: no fault found."
    QToolTip.hideText()


def test_keys_walk_the_lanes_in_the_window_too_and_lead_to_the_evidence(open_night, qtbot) -> None:
    """Arrows and the space bar are also commands of the window; on the lanes they walk the lanes."""
    window = open_night(*[(EventKind.SUBJECT, 3)] * 3)
    lanes = window.page.timeline.lanes
    lanes.setFocus()
    qtbot.waitUntil(lanes.hasFocus)
    window.sorting.go(7)
    qtbot.keyClick(lanes, Qt.Key.Key_Down)
    assert window.session.current == 7
    assert lanes.accessibleDescription().startswith("Lane 2 of 2.")
    qtbot.keyClick(lanes, Qt.Key.Key_Space)
    fault = window.session.frames[window.session.current]
    assert fault.index == make_small_triage().faults[0].evidence[0]
    QToolTip.hideText()


def test_text_and_rows_grow_with_the_font(panel: TimelinePanel, night: Night) -> None:
    fill(panel, night)
    before = (panel.ribbon.sizeHint().height(), panel.lanes.sizeHint().height(), panel.ribbon.axis.left)
    font = QFont(panel.font())
    font.setPointSizeF(font.pointSizeF() * 2)
    panel.setFont(font)
    after = (panel.ribbon.sizeHint().height(), panel.lanes.sizeHint().height(), panel.ribbon.axis.left)
    assert all(new > 1.6 * old for old, new in zip(before, after, strict=True))
    assert panel.scale.minimumSizeHint().height() <= panel.scale.sizeHint().height()


def test_the_kept_layer_is_not_painted_again_while_only_the_current_frame_changes(
    panel: TimelinePanel, night: Night, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(panel, night, 200)
    panel.set_current(4, None)
    picture(panel)
    painted: list[str] = []
    for name in ("ribbon", "lanes"):
        widget = getattr(panel, name)
        monkeypatch.setattr(widget, "_paint_kept", lambda _painter, name=name: painted.append(name))
    panel.set_current(5, None)
    picture(panel)
    assert painted == []
    panel.ribbon.zoom(2, 600)
    picture(panel)
    assert painted == ["ribbon", "lanes"]


def test_the_view_stays_where_it_is_when_the_triage_arrives(panel: TimelinePanel, night: Night) -> None:
    frames, events = made.visits(30, night)
    show_time_line(panel, frames, night, events)
    panel.ribbon.zoom(4, 700)
    view = panel.ribbon.axis
    panel.set_current(7, None)
    show_triage(panel, made.triage(night, frames, events))
    assert panel.ribbon.axis.span == pytest.approx(view.span)


def test_an_event_that_is_no_more_is_not_shown_any_longer(panel: TimelinePanel, night: Night) -> None:
    frames, events = made.visits(6, night)
    show_time_line(panel, frames, night, events)
    panel.set_current(6, events[-1].frames[0])
    show_triage(panel, made.triage(night, frames, events[:5]))
    picture(panel)
    assert panel.scale.layout_now() is None
    assert panel.ribbon.current_x() is None


def test_clearing_forgets_the_card(panel: TimelinePanel, night: Night) -> None:
    fill(panel, night)
    panel.set_current(2, None)
    panel.set_progress(3, 9)
    panel.clear()
    picture(panel)
    assert panel.ribbon.marks() == ()
    assert panel.lanes.lanes() == ()
    assert panel.scale.layout_now() is None


def test_findings_are_shown_by_shape_and_word(panel: TimelinePanel, night: Night) -> None:
    frames, events = made.bursts([night.start + timedelta(hours=5)], [1])
    triage = made.triage(night, frames, events)
    marked = Triage(
        triage.card,
        triage.frames,
        night,
        (made.judgement(0, FindingKind.CLIPPED, unsure=True),),
        triage.events,
        (),
    )
    show_triage(panel, marked)
    panel.set_current(1, 0)
    where = QRect(round(panel.scale.look.gutter), 20, 250, 150)
    image = picture(panel.scale)
    assert has_colour(image, theme.FINDING_MARKS[FindingKind.CLIPPED].colour, where)
    assert has_colour(image, theme.UNSURE_MARK.colour, where)


def test_the_shapes_of_the_kinds_of_event_differ_without_their_colours() -> None:
    shapes = [theme.EVENT_MARKS[kind].shape for kind in EventKind]
    assert len(set(shapes)) == len(shapes)


def test_the_lit_part_of_the_moon_grows_with_its_fraction(panel: TimelinePanel) -> None:
    def lit_pixels(lit: float) -> int:
        of = made.night()
        assert of.sky is not None
        show_time_line(panel, (), replace(of, sky=replace(of.sky, moon_lit=lit)), ())
        image = picture(panel.ribbon)
        line = round(panel.ribbon.look.line)
        disc = QRect(0, 3 * line, 2 * line, 3 * line)
        moon = theme.luminance(theme.MOON)
        return sum(
            theme.luminance(image.pixelColor(x, y).name()) > moon * 0.8
            for y in range(disc.top(), disc.bottom())
            for x in range(disc.left(), disc.right() - line)
        )

    lit = [lit_pixels(share) for share in (0.02, 0.25, 0.5, 0.75, 1.0)]
    assert lit == sorted(set(lit))
