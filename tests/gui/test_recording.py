"""A night whose site has a name goes on record, as `triage report --site` puts it there."""

from pathlib import Path

import pytest

from tests.gui.stand_ins import FakePipeline, make_night
from tests.gui.test_window import NIGHT
from triage.diagnose.site_night import site_night
from triage.errors import StoreError
from triage.records.result import Triage
from triage.store.cards import card_digest
from triage.store.library import Library
from triage.ui import recording
from triage.ui.night_book import Wish

CARD = Path("/cards/night")


@pytest.fixture
def night() -> Triage:
    return make_night(NIGHT)


@pytest.fixture
def opened(make_window, qtbot, night):
    window = make_window(FakePipeline(night))
    with qtbot.waitSignal(window.reading.ended):
        window.open_card(CARD)
    return window


def name_site(window, qtbot, name: str, *, fresh: bool = False) -> None:
    with qtbot.waitSignal(window.opening.recording.kept):
        window.opening.use(Wish(site=name, has_fresh_cells=fresh))


def test_without_a_name_nothing_goes_on_record(opened, library):
    opened.close()
    assert library.nights() == ()


def test_the_night_is_on_record_as_the_command_puts_it_there(opened, qtbot, library, night):
    name_site(opened, qtbot, "Alder Hollow")
    assert library.nights() == (site_night(night, site="Alder Hollow", digest=card_digest(night.frames)),)
    qtbot.waitUntil(lambda: "The night is on record for Alder Hollow." in opened.status.text)


def test_another_name_takes_the_place_of_the_first(opened, qtbot, library):
    name_site(opened, qtbot, "Alder Hollow")
    name_site(opened, qtbot, "Birch Bank")
    assert [kept.site for kept in library.nights()] == ["Birch Bank"]


def told_of_cells(window) -> str:
    window.show_night()
    return window.night.cells.currentText()


def test_fresh_cells_go_on_record_as_the_command_puts_them_there(opened, qtbot, library, night):
    assert told_of_cells(opened) == "not fresh, or not known"
    opened.night.site.setEditText("Alder Hollow")
    opened.night.cells.setCurrentIndex(1)
    with qtbot.waitSignal(opened.opening.recording.kept):
        opened.night._want()
    digest = card_digest(night.frames)
    assert library.nights() == (site_night(night, site="Alder Hollow", digest=digest, has_fresh_cells=True),)
    assert told_of_cells(opened) == "fresh when the night began"
    name_site(opened, qtbot, "Alder Hollow", fresh=False)
    assert [kept.has_fresh_cells for kept in library.nights()] == [False]


def test_fresh_cells_told_on_the_command_line_are_known_and_stay_on_record(
    make_window, qtbot, library, night, opened
):
    name_site(opened, qtbot, "Alder Hollow")
    opened.close()
    digest = card_digest(night.frames)
    library.keep_night(site_night(night, site="Alder Hollow", digest=digest, has_fresh_cells=True))
    again = make_window(FakePipeline(night))
    with qtbot.waitSignal(again.opening.recording.kept):
        again.open_card(CARD)
    assert [kept.has_fresh_cells for kept in library.nights()] == [True]
    assert told_of_cells(again) == "fresh when the night began"


def test_fresh_cells_need_the_name_of_a_site(opened, library):
    opened.show_night()
    opened.night.cells.setCurrentIndex(1)
    opened.night._want()
    assert "give the site a name" in opened.night.trouble.text()
    assert library.nights() == ()


def test_a_night_that_cannot_be_kept_is_told(opened, qtbot, monkeypatch):
    def full(_library: Library, _night: object) -> None:
        message = "The disk is full."
        raise StoreError(message)

    monkeypatch.setattr(recording.Library, "keep_night", full)
    with qtbot.waitSignal(opened.opening.recording.trouble):
        opened.opening.use(Wish(site="Alder Hollow"))
    assert "The night is not on record. The disk is full." in opened.notice.text
