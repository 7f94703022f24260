"""Nothing is cut off: with texts 40 % longer (a usual allowance for translation) and with larger text.

Every text of the window passes through `triage.ui.tongue`, sentences with figures and the words painted on the time
line as well, so a translator that only lengthens shows what a long language would do to the window.
"""

import pytest
from PySide6.QtCore import QPointF, Qt, QTranslator
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QScrollArea

from tests.gui.test_window import NIGHT
from triage.ui.command import Command
from triage.ui.commands import COMMANDS
from triage.ui.timeline.canvas import Canvas
from triage.ui.tongue import CONTEXT, counted, tr
from triage.ui.views.parts import Elided, Words, breakable

LONGER = 0.4
SLACK_PX = 1


class LongWords(QTranslator):
    """Makes every text of the window longer, within its words, so that it still wraps where it did."""

    def translate(self, context, source, _disambiguation=None, _n=-1):
        if context != CONTEXT:
            return None
        return " ".join(word + "n" * max(1, round(len(word) * LONGER)) for word in source.split(" "))

    def isEmpty(self):  # noqa: N802 - Qt's name
        return False


@pytest.fixture
def long_words(qapp):
    made = LongWords()
    qapp.installTranslator(made)
    yield made
    qapp.removeTranslator(made)


def cut_off(window) -> list[str]:
    """Return the texts in sight that have less room than they need."""
    found = []
    for widget in window.findChildren(QLabel) + window.findChildren(QPushButton):
        if not widget.isVisible() or isinstance(widget, Elided) or not widget.text():
            continue
        if isinstance(widget, QLabel) and widget.wordWrap():
            short = widget.heightForWidth(widget.width()) > widget.height() + SLACK_PX
        else:
            short = widget.minimumSizeHint().width() > widget.width() + SLACK_PX
        room = widget.parentWidget()
        outside = room is not None and widget.geometry().right() > room.width() + SLACK_PX
        if short or outside:
            found.append(f"{type(widget).__name__}: {widget.text()}")
    for area in window.findChildren(QScrollArea):
        never_moves = area.horizontalScrollBarPolicy() is Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        inside = area.widget()
        if never_moves and inside is not None and inside.width() > area.viewport().width() + SLACK_PX:
            found.append(f"{type(area).__name__}: {area.accessibleName()}")
    return found


PAGES = {
    "sorting": lambda window: window.show_sorting(),
    "tagging": lambda window: window.scribing.tag_event(),
    "dusk": lambda window: window.show_dusk(),
    "night": lambda window: (window.show_night(), window.night.add_stretch()),
    "keys": lambda window: window.show_keys(),
    "changing keys": lambda window: window.show_key_change(),
    "spot check": lambda window: window.actions_.by_command[Command.PUT_EMPTY].trigger(),
    "spot check ended": lambda window: (
        window.actions_.by_command[Command.PUT_EMPTY].trigger(),
        window.actions_.by_command[Command.REJECT_FRAME].trigger(),
    ),
}


def settle() -> None:
    for _turn in range(5):
        QApplication.processEvents()


def test_texts_go_through_the_translation_with_figures_or_without(long_words):
    assert tr("Keep") == "Keepnn"
    assert counted(3, "{count} frame", "{count} frames").startswith("3nn")


def test_menus_are_translated(long_words, open_night):
    window = open_night(*NIGHT)
    titles = [action.text() for action in window.actions_.by_command.values()]
    assert titles == [tr(row.title) for row in COMMANDS]
    assert all(title not in {row.title for row in COMMANDS} for title in titles)


@pytest.mark.parametrize("page", PAGES)
def test_no_label_is_cut_off_at_1280_by_720_in_a_long_language(long_words, open_night, page):
    window = open_night(*NIGHT)
    window.resize(1280, 720)
    PAGES[page](window)
    settle()
    assert (window.width(), window.height()) == (1280, 720)
    assert cut_off(window) == []


@pytest.mark.parametrize("page", PAGES)
def test_no_label_is_cut_off_with_text_twice_as_large(open_night, page):
    window = open_night(*NIGHT)
    window.resize(1280, 720)
    while window._settings.text_scale < 2.0:
        window.appearance.step_text(1)
    window.resize(1280, 720)
    PAGES[page](window)
    settle()
    assert (window.width(), window.height()) == (1280, 720)
    assert cut_off(window) == []


def test_words_painted_on_the_time_line_keep_to_their_place_in_a_long_language(
    long_words, open_night, monkeypatch
):
    """Names at the left end before the night begins, and nothing is painted beyond a border."""
    window = open_night(*NIGHT)
    window.resize(1280, 720)
    settle()
    said, beyond = [], []
    write = QPainter.drawText

    def listening(painter, *words):
        if len(words) == 2 and isinstance(words[0], QPointF):
            said.append(words[1])
            start, end = words[0].x(), words[0].x() + painter.fontMetrics().horizontalAdvance(words[1])
            room = view.look.gutter if start < view.look.gutter - view.look.pad else view.width()
            if start < 0 or end > room + SLACK_PX:
                beyond.append(words[1])
        return write(painter, *words)

    monkeypatch.setattr(QPainter, "drawText", listening)
    for view in window.page.timeline.findChildren(Canvas):
        view.stale()
        view.grab()
    assert any(words.startswith("flash-left") for words in said)
    assert beyond == []


def test_the_welcome_page_has_room_for_a_long_language(long_words, make_window):
    window = make_window(None)
    window.offer_demo(lambda: None)
    window.resize(1280, 720)
    settle()
    assert cut_off(window) == []
    window.close()


def test_what_the_last_key_did_ends_in_dots_where_it_has_no_room_and_then_has_a_tip(open_night, qtbot):
    window = open_night(*NIGHT)
    window.say("A sentence of many words. " * 40)
    settle()
    line = window.status.findChild(Elided)
    window.grab()
    assert line.is_cut
    assert line.toolTip() == line.text()
    window.say("Short.")
    window.grab()
    assert line.toolTip() == ""


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_the_fields_about_a_night_have_room_for_their_hints(open_night, scale):
    window = open_night(*NIGHT)
    window.show_night()
    while window._settings.text_scale < scale:
        window.appearance.step_text(1)
    settle()
    for field in (window.night.lat, window.night.lon, window.night.tz):
        needed = field.fontMetrics().horizontalAdvance(field.placeholderText())
        assert field.contentsRect().width() > needed


def test_the_time_line_gets_its_share_of_a_tall_window_until_someone_moves_the_border(open_night):
    window = open_night(*NIGHT)
    window.resize(1280, 720)
    settle()
    least, most = window.page.timeline.heights()
    assert window.page.timeline.height() == least
    window.resize(1920, 1080)
    settle()
    assert window.page.timeline.height() == most
    window.page.moveSplitter(least + 10, 1)
    window.resize(1920, 1180)
    settle()
    assert window.page.timeline.height() == least + 10
    window.close()
    again = open_night(*NIGHT)
    settle()
    assert abs(again.page.timeline.height() - (least + 10)) <= 1


def test_with_large_text_lanes_and_reasons_leave_their_room_to_the_picture(open_night):
    window = open_night(*NIGHT)
    window.resize(1280, 800)
    settle()
    page = window.page
    lanes, reasons = len(page.timeline.lanes.lanes()), page.reasons.width() / page.fontMetrics().height()
    assert lanes > 1
    while window._settings.text_scale < 2.0:
        window.appearance.step_text(1)
    settle()
    (rig,) = page.timeline.lanes.lanes()
    assert len(rig.faults) == len(window.opening.triage.faults)
    assert page.reasons.width() / page.fontMetrics().height() < reasons
    assert page.picture.width() > page.reasons.width()
    window.appearance.step_text(0)
    settle()
    assert len(page.timeline.lanes.lanes()) == lanes


def test_a_very_long_name_wraps_and_a_usual_one_stays_as_it_is(qtbot):
    name = "Garden_behind_the_old_water_mill_second_camera_facing_the_badger_path_0017.JPG"
    words = Words(breakable(name))
    qtbot.addWidget(words)
    assert words.minimumSizeHint().width() < words.fontMetrics().horizontalAdvance(name) / 2
    assert breakable("NGT_0017.JPG (7.0 MB)") == "NGT_0017.JPG (7.0 MB)"


def test_the_status_line_is_as_high_while_work_goes_on_as_without(open_night):
    window = open_night(*NIGHT)
    settle()
    idle = window.status.height()
    window.status.show_work("Reading pictures: 3 of 8", 3, 8)
    settle()
    assert window.status.height() == idle
