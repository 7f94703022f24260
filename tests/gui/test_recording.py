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


def name_site(window, qtbot, name: str) -> None:
    with qtbot.waitSignal(window.opening.recording.kept):
        window.opening.use(Wish(site=name))


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


def test_fresh_cells_told_on_the_command_line_stay_on_record(opened, qtbot, library, night):
    digest = card_digest(night.frames)
    library.keep_night(site_night(night, site="Alder Hollow", digest=digest, has_fresh_cells=True))
    name_site(opened, qtbot, "Alder Hollow")
    assert [kept.has_fresh_cells for kept in library.nights()] == [True]


def test_a_night_that_cannot_be_kept_is_told(opened, qtbot, monkeypatch):
    def full(_library: Library, _night: object) -> None:
        message = "The disk is full."
        raise StoreError(message)

    monkeypatch.setattr(recording.Library, "keep_night", full)
    with qtbot.waitSignal(opened.opening.recording.trouble):
        opened.opening.use(Wish(site="Alder Hollow"))
    assert "The night is not on record. The disk is full." in opened.notice.text
