"""The sheet as a page: one of them, whatever stands on it, and all of its words."""

import errno
import os
import re
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPdfWriter

from triage.errors import OutputError
from triage.export.sheet import before_dusk
from triage.records.diagnosis import FaultKind, Part
from triage.records.result import Triage
from triage.records.rig import RigReview
from triage.ui.paper import fitted, page_html, save_page
from triage.ui.sunset import UNKNOWN
from triage.ui.views.dusk import DuskPage
from triage.ui.views.parts import Button

Make = Callable[..., Triage]
pytestmark = pytest.mark.usefixtures("qapp")


def many_faults(make_triage: Make) -> Triage:
    fault = make_triage().faults[0]
    kinds = [(part, kind) for part in Part for kind in (FaultKind.STOPPED, FaultKind.FADING)]
    faults = tuple(
        replace(fault, part=part, kind=kind, say=fault.say * 4, remedy=fault.remedy * 4)
        for part, kind in kinds
    )
    return make_triage(faults=faults, review=RigReview(notes=("A long sentence with figures. " * 8,) * 6))


def pages(path: Path) -> int:
    """Count the pages as the file itself does (ISO 32000-1, 7.7.3.2: Count of the root of the page tree)."""
    data = path.read_bytes()
    unpacked = [data]
    for found in re.finditer(rb"stream\r?\n(.*?)endstream", data, re.DOTALL):
        try:
            unpacked.append(zlib.decompress(found[1]))
        except zlib.error:
            continue
    (count,) = {int(found[1]) for part in unpacked for found in re.finditer(rb"/Count (\d+)", part)}
    return count


def test_the_page_is_a_pdf_of_one_page(make_triage: Make, tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    save_page(before_dusk(make_triage()), path)
    assert path.read_bytes().startswith(b"%PDF-")
    assert pages(path) == 1


def test_twenty_faults_still_make_one_page(make_triage: Make, tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    save_page(before_dusk(many_faults(make_triage)), path)
    assert pages(path) == 1


def test_more_words_take_smaller_letters(make_triage: Make, tmp_path: Path) -> None:
    paper = QPdfWriter(str(tmp_path / "paper.pdf"))
    few = fitted(before_dusk(make_triage(faults=())), paper)
    many = fitted(before_dusk(many_faults(make_triage)), paper)
    assert few.defaultFont().pointSizeF() > many.defaultFont().pointSizeF() >= 5.5
    assert few.size().height() <= paper.pageLayout().paintRectPixels(paper.resolution()).height()


def test_everything_on_the_sheet_is_on_the_page(make_triage: Make, tmp_path: Path) -> None:
    sheet = before_dusk(
        make_triage(review=RigReview(notes=("Noted.",), advice=("Advised.",), untold=("Untold.",)))
    )
    text = fitted(sheet, QPdfWriter(str(tmp_path / "paper.pdf"))).toPlainText()
    fault = make_triage().faults[0]
    for words in (
        sheet.night,
        sheet.stretch,
        fault.say,
        fault.remedy,
        "Noted.",
        "Advised.",
        "Untold.",
        sheet.last_word,
    ):
        assert words in text
    for caution in sheet.cautions:
        assert caution.words in text


def test_words_cannot_become_markup(make_triage: Make) -> None:
    fault = replace(make_triage().faults[0], say="<script>& more", remedy="a < b")
    assert "&lt;script&gt;&amp; more" in page_html(before_dusk(make_triage(faults=(fault,))))


def test_a_place_that_cannot_be_written_is_an_error(make_triage: Make, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="nowhere"):
        save_page(before_dusk(make_triage()), tmp_path / "nowhere" / "sheet.pdf")


def test_an_old_page_is_whole_until_the_new_one_is(
    make_triage: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_descriptor: int, _data: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    path = tmp_path / "sheet.pdf"
    path.write_bytes(b"the page of last night")
    monkeypatch.setattr("triage.export.atomic_write.write_whole", full)
    with pytest.raises(OutputError, match="the disk is full"):
        save_page(before_dusk(make_triage()), path)
    assert path.read_bytes() == b"the page of last night"
    assert list(tmp_path.iterdir()) == [path]


# --- the page in the window -----------------------------------------------------------------------------------------


@pytest.fixture
def page(qtbot, make_triage: Make) -> DuskPage:
    page = DuskPage()
    qtbot.addWidget(page)
    page.show_triage(make_triage(review=RigReview(notes=("The left flash fired.",), untold=("No place.",))))
    page.resize(900, 700)
    page.show()
    return page


def test_the_window_says_what_the_sheet_says(page: DuskPage) -> None:
    assert page.sheet is not None
    for words in ("1. Right flash: stopped", "The left flash fired.", "No place.", page.sheet.last_word):
        assert words in page.text


def test_the_page_is_saved_where_the_person_says(page: DuskPage, qtbot, tmp_path: Path) -> None:
    page.where = lambda _parent: tmp_path / "tonight.pdf"
    (button,) = [button for button in page.findChildren(Button) if "print" in button.text()]
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert pages(tmp_path / "tonight.pdf") == 1


@pytest.mark.parametrize(
    ("said", "printed"), [("The sun sets next at 18:40.", True), (UNKNOWN, False), ("", False)]
)
def test_the_page_says_when_the_sun_sets_where_that_is_known(
    page: DuskPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: str, *, printed: bool
) -> None:
    saved = []
    monkeypatch.setattr("triage.ui.views.dusk.save_page", lambda sheet, _path: saved.append(page_html(sheet)))
    page.where = lambda _parent: tmp_path / "tonight.pdf"
    page.sunset = said
    page.save_page()
    assert ("The sun sets next" in saved[0]) is printed
    assert UNKNOWN not in saved[0]


def test_a_page_that_cannot_be_saved_is_told_with_the_reason(page: DuskPage, tmp_path: Path) -> None:
    page.where = lambda _parent: tmp_path / "nowhere" / "tonight.pdf"
    page.save_page()
    assert page.outcome.startswith("The page was not saved. ")
    page.where = lambda _parent: tmp_path / "tonight.pdf"
    page.save_page()
    assert "tonight.pdf" in page.outcome


def test_nothing_is_saved_without_a_place_or_while_the_card_is_read(page: DuskPage, tmp_path: Path) -> None:
    page.where = lambda _parent: None
    page.save_page()
    page.where = lambda _parent: tmp_path / "tonight.pdf"
    page.show_triage(None)
    page.save_page()
    assert list(tmp_path.iterdir()) == []
