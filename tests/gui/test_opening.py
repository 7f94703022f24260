"""The first start, a card in the reader, one that is gone or moved or open twice, and what is known of a night."""

import json
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from astral import Observer
from astral.sun import sun
from PySide6.QtCore import Qt

from tests.gui.stand_ins import FakePipeline, make_night
from tests.gui.test_window import CARD, NIGHT, press
from triage.errors import PictureError
from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.night import Window
from triage.records.result import Options
from triage.store.library import Library
from triage.ui.command import Command
from triage.ui.mounts import cards_in_readers
from triage.ui.night_book import NightBook, Wish, parse_degrees
from triage.ui.sunset import UNKNOWN, sunset_words
from triage.ui.views.parts import Button
from triage.ui.views.welcome import WelcomePage


class Recording(FakePipeline):
    """Remembers what it was asked with."""

    def __call__(self, root, options, **others):
        self.__dict__.setdefault("asked", []).append(options)
        yield from super().__call__(root, options, **others)


def open_at(window, qtbot, root: Path) -> None:
    window.open_card(root)
    qtbot.waitUntil(lambda: window.session.settled and not window.reading.is_running)


def buttons(page) -> list[str]:
    return [button.text() for button in page.findChildren(Button) if not button.isHidden()]


def test_a_card_in_the_reader_is_one_press_away(qtbot, tmp_path):
    card, stick = tmp_path / "NIGHT_A", tmp_path / "STICK"
    (card / "DCIM").mkdir(parents=True)
    stick.mkdir()
    volumes = [stick]
    page = WelcomePage(find_cards=lambda: cards_in_readers(lambda: volumes))
    qtbot.addWidget(page)
    page.show()
    assert "Open the card in the reader: NIGHT_A" not in buttons(page)
    volumes.append(card)
    page.look_for_cards()
    (button,) = [
        found for found in page.findChildren(Button) if found.text() == "Open the card in the reader: NIGHT_A"
    ]
    with qtbot.waitSignal(page.card_wanted) as wanted:
        qtbot.keyClick(button, Qt.Key.Key_Return)
    assert wanted.args == [card]
    page.hide()


def test_the_system_tells_its_volumes():
    assert isinstance(cards_in_readers(), tuple)


def test_a_card_opened_before_that_is_away_is_marked(make_window, library, tmp_path):
    library.remember_card("ab", str(tmp_path), datetime(2026, 10, 3), 5)
    library.remember_card("cd", "/media/nobody/AWAY", datetime(2026, 10, 4), 9)
    window = make_window(FakePipeline(make_night(NIGHT)))
    assert "AWAY: 9 frames from 4 Oct 2026 (not there now)" in buttons(window.welcome)
    assert f"{tmp_path.name}: 5 frames from 3 Oct 2026" in buttons(window.welcome)


def test_a_folder_that_is_gone_is_said_to_be_known_again_where_it_is_now(make_window, qtbot):
    window = make_window(FakePipeline(make_night(NIGHT), fails="There is no folder /cards/night."))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(CARD)
    assert "open it where it is now: its decisions are known again" in window.welcome.trouble


def test_a_card_taken_out_is_told_once_and_decisions_go_on(open_night, qtbot, monkeypatch):
    window = open_night(*NIGHT)

    def gone(_root, _frame, *, long_edge=None):
        msg = "The file is not there any more."
        raise PictureError(msg)

    monkeypatch.setattr(window.pictures, "_decode", gone)
    window.sorting.go(7)
    qtbot.waitUntil(lambda: "The card is no longer where it was" in window.notice.text)
    window.notice.hide()
    press(qtbot, window, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: not window.pictures.is_busy)
    assert window.notice.text == ""
    assert dict(window.session.verdicts) == {7: Verdict.KEEP}


def test_a_card_taken_out_while_it_is_read_is_not_called_damaged(make_window, qtbot):
    night = make_night(((EventKind.SUBJECT, 2),))
    broken = replace(night.frames[1], problem="The file cannot be opened.")
    window = make_window(FakePipeline(replace(night, frames=(night.frames[0], broken))))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(CARD)
    assert "The card went away while it was read" in window.notice.text


def test_a_damaged_file_on_a_card_that_is_there_is_no_such_case(make_window, qtbot, tmp_path):
    night = make_night(((EventKind.SUBJECT, 2),))
    broken = replace(night.frames[1], problem="The file ends too early.")
    window = make_window(FakePipeline(replace(night, frames=(night.frames[0], broken))))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(tmp_path)
    assert window.notice.text == ""


def test_a_second_window_on_the_same_card_says_so_and_shows_what_the_first_decides(
    open_night, library, qtbot
):
    first = open_night(*NIGHT)
    assert first.notice.text == ""
    with Library(library.path) as store:
        second = open_night(*NIGHT, store=store)
        assert "open in another window" in second.notice.text
        assert not second.notice.text.startswith("Trouble")
        first.sorting.go(3)
        first.sorting.keep_frame()
        second.sorting.read_again()
        assert dict(second.session.verdicts) == {3: Verdict.KEEP}
        first.close()
        second.close()
    third = open_night(*NIGHT)
    assert third.notice.text == ""


def test_what_is_said_of_a_night_is_used_remembered_and_offered_for_the_same_site(
    make_window, qtbot, tmp_path
):
    pipeline = Recording(make_night(NIGHT))
    window = make_window(pipeline)
    open_at(window, qtbot, tmp_path)
    press(qtbot, window, Qt.Key.Key_N, modifier=Qt.KeyboardModifier.ControlModifier)
    page = window.night
    assert window.pages.currentWidget() is page
    page.site.setEditText("Alder Hollow")
    page.lat.setText("52,1")
    page.lon.setText("9.3")
    page.tz.setText("+02:00")
    page.flashes.setCurrentIndex(2)
    page.distance.setText("3,5 m")
    page.add_stretch()
    page.stretches[0].end.setDateTime(page.stretches[0].end.dateTime().addSecs(600))
    page._want()
    qtbot.waitUntil(lambda: len(pipeline.asked) == 2 and not window.reading.is_running)
    start = datetime(2026, 10, 3, 20, 5)
    wanted = Options(
        setup=(Window(start, start.replace(minute=15)),),
        lat=52.1,
        lon=9.3,
        tz="+02:00",
        flashes=2,
        site="Alder Hollow",
        distance_m=3.5,
    )
    assert pipeline.asked[-1] == wanted
    window.close()
    again = make_window(Recording(make_night(NIGHT)))
    open_at(again, qtbot, tmp_path)
    assert again.opening.options == wanted
    other = make_window(Recording(make_night(((EventKind.SUBJECT, 1),))))
    open_at(other, qtbot, tmp_path / "elsewhere")
    other.show_night()
    assert other.night.lat.text() == ""
    other.night.site.setCurrentIndex(1)
    other.night._offer_site()
    assert (other.night.lat.text(), other.night.tz.text()) == ("52.1", "+02:00")
    assert other.night.distance.text() == "3.5"
    assert other.night.stretches == []


def test_a_card_known_by_its_contents_brings_its_night_along_to_another_folder(make_window, qtbot, tmp_path):
    first = make_window(Recording(make_night(NIGHT)))
    open_at(first, qtbot, tmp_path)
    first.opening.use(Wish(lat="1", lon="2"))
    qtbot.waitUntil(lambda: first.session.settled and not first.reading.is_running)
    first.close()
    pipeline = Recording(make_night(NIGHT))
    moved = make_window(pipeline)
    open_at(moved, qtbot, tmp_path / "moved")
    assert [options.lat for options in pipeline.asked] == [None, 1.0]


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        (Wish(lat="91", lon="0"), "is not a latitude"),
        (Wish(lat="north", lon="0"), "is not a latitude"),
        (Wish(lon="200", lat="1"), "is not a longitude"),
        (Wish(lat="52"), "both a latitude and a longitude"),
        (Wish(tz="Atlantis"), "not a time zone"),
        (Wish(distance="0"), "is no distance from the camera"),
        (Wish(distance="101"), "above 0 and up to 100"),
        (Wish(distance="near"), "is no distance from the camera"),
        (Wish(setup=(Window(datetime(2026, 1, 1), datetime(2026, 1, 1)),)), "ends after it starts"),
    ],
)
def test_what_cannot_be_understood_is_said_on_the_sheet_and_nothing_is_read(
    make_window, qtbot, tmp_path, wish, words
):
    pipeline = Recording(make_night(NIGHT))
    window = make_window(pipeline)
    open_at(window, qtbot, tmp_path)
    window.show_night()
    window.night.wanted.emit(wish)
    assert words in window.night.trouble.text()
    assert len(pipeline.asked) == 1


def test_the_sheet_before_dusk_says_when_the_sun_sets_once_the_place_is_known(make_window, qtbot, tmp_path):
    window = make_window(FakePipeline(make_night(NIGHT)))
    open_at(window, qtbot, tmp_path)
    assert UNKNOWN in window.dusk.text
    window.opening.use(Wish(lat="52.1", lon="9.3", tz="+02:00"))
    qtbot.waitUntil(lambda: window.session.settled and not window.reading.is_running)
    assert "The sun sets next on 4 Oct 2026 at 18:" in window.dusk.text


def test_the_next_sunset_is_that_of_a_second_library():
    """Against astral, to the two minutes in which libraries differ."""
    night = make_night(NIGHT)
    words = sunset_words(night, Options(lat=52.1, lon=9.3, tz="+02:00"))
    said = datetime.strptime(words.split(" at ")[1][:5], "%H:%M")
    zone = timezone(timedelta(hours=2))
    other = sun(Observer(52.1, 9.3), date=datetime(2026, 10, 4).date(), tzinfo=zone)["sunset"]
    away = said - datetime(1900, 1, 1, other.hour, other.minute, other.second)
    assert abs(away.total_seconds()) < 120


def test_where_the_sun_does_not_set_it_says_so():
    night = make_night(NIGHT)
    summer = tuple(replace(frame, time=frame.time.replace(month=6)) for frame in night.frames)
    words = sunset_words(replace(night, frames=summer), Options(lat=78.0, lon=15.0, tz="+02:00"))
    assert "does not set" in words


def test_what_was_said_of_nights_before_there_was_a_distance_is_still_known(tmp_path):
    path = tmp_path / "nights.json"
    said = {"setup": [], "lat": 1.0, "lon": 2.0, "tz": None, "flashes": 2, "site": "Alder Hollow"}
    path.write_text(json.dumps({"cards": {"ab": said}, "sites": {}}), "utf-8")
    assert NightBook(path).card("ab") == Options(lat=1.0, lon=2.0, flashes=2, site="Alder Hollow")


def test_degrees_are_read_as_people_write_them():
    assert parse_degrees(" 52,25° ", limit=90) == 52.25
    assert parse_degrees("-0.5", limit=180) == -0.5
    assert parse_degrees("", limit=90) is None


@pytest.mark.parametrize("text", ["", "[]", '{"cards": 5, "sites": {}}', '{"cards": {"a": {}}, "sites": {}}'])
def test_a_damaged_book_of_nights_counts_as_empty(tmp_path, text):
    path = tmp_path / "nights.json"
    path.write_text(text, encoding="utf-8")
    assert NightBook(path).sites() == ()
    assert NightBook(path).card("a") is None


def test_the_commands_of_the_sheet_are_there_while_it_is_seen(open_night):
    window = open_night(*NIGHT)
    window.show_night()
    assert not window.actions_.by_command[Command.KEEP_FRAME].isEnabled()
    window.step_back()
    assert window.pages.currentWidget() is window.page
