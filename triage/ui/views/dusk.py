"""Before dusk: what to change at the rig, worst first, and the standing cautions."""

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from triage.errors import OutputError
from triage.export import sheet as sheets
from triage.export.cautions import CAUTIONS, LAST_WORD
from triage.records.result import Triage
from triage.ui import theme
from triage.ui.paper import save_page
from triage.ui.sunset import UNKNOWN
from triage.ui.timeline.words import sayable
from triage.ui.tongue import tr
from triage.ui.views.parts import TITLE_SCALE, Button, Column, Heading, Words, centred_rows


def where_to_save(parent: QWidget) -> Path | None:
    """Ask for a file; None where none was chosen."""
    name, _ = QFileDialog.getSaveFileName(parent, tr("Save the page"), "before-dusk.pdf", "PDF (*.pdf)")
    return Path(name) if name else None


def numbered(entry: sheets.Entry) -> str:
    """Return a fault's title with its place among them."""
    return tr("{number}. {title}", number=entry.number, title=entry.title)


class FaultCard(QFrame):
    """One fault: what, since when, how sure, why, and what to do."""

    evidence_wanted = Signal(int)

    def __init__(self, entry: sheets.Entry, *, evidence: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._position = entry.position
        self.setObjectName("faultCard")
        self.setStyleSheet(
            f"#faultCard {{ background: {theme.RAISED}; border: 1px solid {theme.RULE};"
            f" border-left: 3px solid {theme.VERMILLION if entry.is_likely else theme.OUTLINE}; }}"
        )
        title = numbered(entry)
        self.setAccessibleName(title)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(16, 12, 16, 12)
        rows.addWidget(Heading(title))
        rows.addWidget(Words(entry.when, quiet=True))
        rows.addWidget(Words(entry.say))
        rows.addWidget(Words(tr("To do: {remedy}", remedy=entry.remedy), bright=True))
        if evidence:
            button = Button(tr("Show its frames"))
            button.setAccessibleDescription(title)
            button.clicked.connect(self._want)
            rows.addWidget(button)

    def _want(self) -> None:
        self.evidence_wanted.emit(self._position)


class DuskPage(QScrollArea):
    """The sheet as a page of its own; Esc goes back."""

    left = Signal()
    evidence_wanted = Signal(int)
    """Position in `Triage.faults`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName(tr("Before dusk"))
        self._said: list[str] = []
        self.sunset = ""
        self._triage: Triage | None = None
        self._is_built = False
        self._sheet: sheets.Sheet | None = None
        self._outcome = Words(quiet=True)
        self.where = where_to_save

    @property
    def sheet(self) -> sheets.Sheet | None:
        """What is shown, in words; None while the card is still being read."""
        self._build()
        return self._sheet

    @property
    def outcome(self) -> str:
        """What came of saving the page; empty before."""
        return self._outcome.text()

    @property
    def text(self) -> str:
        """The words of the faults and remedies, for tests and the screen reader."""
        self._build()
        return "\n".join(self._said)

    def show_triage(self, triage: Triage | None) -> None:
        """Show the faults of a card; None while it is still being read."""
        self._triage, self._is_built = triage, False
        if self.isVisible():
            self._build()

    def showEvent(self, event: QShowEvent) -> None:
        """Build the page only now: nobody waits for it while a card is read."""
        self._build()
        super().showEvent(event)

    def _build(self) -> None:
        if self._is_built:
            return
        self._is_built = True
        triage, self._said = self._triage, []
        self._sheet = None if triage is None else sheets.before_dusk(triage)
        page = Column()
        rows = centred_rows(page)
        self._head(rows)
        if triage is None or self._sheet is None:
            self._say(
                rows, tr("The card is still being read. What to change is known once all of it is judged.")
            )
        else:
            self._faults(rows, triage, self._sheet)
        self._cautions(rows)
        rows.addStretch(1)
        self.setWidget(page)
        self.setAccessibleDescription(self.text)

    @Slot()
    def save_page(self) -> None:
        """Save the sheet as a PDF of one page, after asking where."""
        if self.sheet is None:
            return
        path = self.where(self)
        if path is None:
            return
        # Paper cannot be asked where the camera stood.
        known = "" if self.sunset == tr(UNKNOWN) else self.sunset
        try:
            save_page(replace(self.sheet, sunset=known), path)
        except OutputError as error:
            self._outcome.setText(tr("The page was not saved. {cause}", cause=error))
        else:
            self._outcome.setText(
                tr("The page is saved as {path}; print it from there.", path=sayable(str(path)))
            )
        self._outcome.show()

    def _head(self, rows: QVBoxLayout) -> None:
        head = QHBoxLayout()
        head.addWidget(Heading(tr(sheets.TITLE), scale=TITLE_SCALE), 1)
        if self._sheet is not None:
            save = Button(tr("Save as a page to print…"))
            save.clicked.connect(self.save_page)
            head.addWidget(save, 0, Qt.AlignmentFlag.AlignTop)
        back = Button(tr("Back to the frames (Esc)"))
        back.clicked.connect(self.left)
        head.addWidget(back, 0, Qt.AlignmentFlag.AlignTop)
        rows.addLayout(head)
        self._outcome = Words(quiet=True)
        self._outcome.hide()
        rows.addWidget(self._outcome)

    def _faults(self, rows: QVBoxLayout, triage: Triage, told: sheets.Sheet) -> None:
        self._say(rows, told.night)
        if self.sunset:
            self._say(rows, self.sunset)
        if not told.likely:
            self._say(rows, tr(sheets.NOTHING_FAILED))
        self._cards(rows, triage, told.likely)
        if told.doubts:
            rows.addWidget(Heading(tr(sheets.DOUBTS)))
            self._cards(rows, triage, told.doubts)
        for heading, sentences in (
            (sheets.ADVICE, told.advice),
            (sheets.WENT_RIGHT, told.notes),
            (sheets.UNTOLD, told.untold),
        ):
            if sentences:
                rows.addSpacing(10)
                rows.addWidget(Heading(tr(heading)))
            for sentence in sentences:
                self._say(rows, sentence)

    def _cards(self, rows: QVBoxLayout, triage: Triage, entries: tuple[sheets.Entry, ...]) -> None:
        for entry in entries:
            card = FaultCard(entry, evidence=bool(triage.faults[entry.position].evidence))
            card.evidence_wanted.connect(self.evidence_wanted)
            rows.addWidget(card)
            self._said += [numbered(entry), entry.say, entry.remedy]

    def _cautions(self, rows: QVBoxLayout) -> None:
        rows.addSpacing(10)
        rows.addWidget(Heading(tr(sheets.EVERY_NIGHT)))
        grid = QGridLayout()
        grid.setHorizontalSpacing(18)
        grid.setVerticalSpacing(8)
        grid.setColumnStretch(1, 1)
        for row, caution in enumerate(CAUTIONS):
            label = Words(tr(caution.title))
            label.setMinimumWidth(self.fontMetrics().averageCharWidth() * 18)
            grid.addWidget(label, row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(Words(tr(caution.words), quiet=True), row, 1)
            self._said += [tr(caution.title), tr(caution.words)]
        rows.addLayout(grid)
        self._say(rows, tr(LAST_WORD))

    def _say(self, rows: QVBoxLayout, text: str) -> None:
        rows.addWidget(Words(text))
        self._said.append(text)
