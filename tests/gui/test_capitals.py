"""The whole window in a language that is English in capitals: what is left in small letters was never looked up."""

import re
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QTranslator
from PySide6.QtGui import QAction, QPainter
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit, QTreeWidget, QWidget

from tests.gui.test_layout import PAGES, settle
from tests.gui.test_window import NIGHT
from triage.ui.tongue import CONTEXT


class Capitals(QTranslator):
    """A language that is English in capitals, so that whatever is left in small letters was never looked up."""

    def translate(self, context, source, _disambiguation=None, _n=-1):
        if context != CONTEXT:
            return None
        return "".join(
            part if part.startswith("{") else part.upper() for part in re.split(r"(\{[^}]*\})", source)
        )

    def isEmpty(self):  # noqa: N802 - Qt's name
        return False


@pytest.fixture
def capitals(qapp):
    made = Capitals()
    qapp.installTranslator(made)
    yield made
    qapp.removeTranslator(made)


@pytest.fixture
def painted(monkeypatch):
    """Give the texts that painters write from here on."""
    said: list[str] = []
    write = QPainter.drawText

    def listening(painter, *words):
        said.extend(each for each in words if isinstance(each, str))
        return write(painter, *words)

    monkeypatch.setattr(QPainter, "drawText", listening)
    return said


def said_by(window: QWidget) -> Iterator[str]:
    """Yield what is written on the window's parts in sight, said of them to a screen reader, or shown as a tip."""
    for action in window.findChildren(QAction):
        yield from (action.text().replace("&", ""), action.toolTip().replace("&", ""))
    for part in [window, *window.findChildren(QWidget)]:
        if part.isVisible() and not part.objectName().startswith("qt_"):
            yield from (part.accessibleName(), part.accessibleDescription(), part.toolTip())
            if isinstance(part, QLabel | QAbstractButton):
                yield part.text()
            if isinstance(part, QLineEdit):
                yield part.placeholderText()
            if isinstance(part, QComboBox):
                yield from (part.itemText(at) for at in range(part.count()))
            if isinstance(part, QTreeWidget):
                for row in range(part.topLevelItemCount()):
                    item = part.topLevelItem(row)
                    yield from (item.text(column) for column in range(part.columnCount()))


def of_the_core(triage) -> list[str]:
    """Return what the core says of a night: English by the contract of the report."""
    faults = [words for fault in triage.faults for words in (fault.say, fault.remedy)]
    why = [finding.why for said in triage.judgements for finding in said.findings]
    return sorted({triage.night.summary, *faults, *why}, key=len, reverse=True)


def small_letters(words: str, known: list[str]) -> str:
    for sentence in known:
        words = words.replace(sentence, "")
    left = re.findall(r"(?<![\w.])[a-z]{2,}", words)
    return "" if not left else words


SEEN = [page for page in PAGES if page != "dusk"]
"""The sheet before dusk is what the core says but for its headings."""


@pytest.mark.parametrize("page", SEEN)
def test_nothing_is_left_in_small_letters_in_a_language_of_capitals(capitals, painted, open_night, page):
    window = open_night(*NIGHT)
    window.resize(1280, 720)
    PAGES[page](window)
    settle()
    window.grab()
    known = of_the_core(window.opening.triage)
    left = {words for words in [*said_by(window), *painted] if small_letters(words, known)}
    assert left == set()
