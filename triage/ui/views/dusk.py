"""Before dusk: what to change at the rig, worst first, and the standing cautions."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from triage.records.diagnosis import Fault
from triage.records.result import Triage
from triage.ui import theme
from triage.ui.cautions import CAUTIONS, LAST_WORD
from triage.ui.views.parts import TITLE_SCALE, Button, Column, Heading, Words
from triage.ui.words import fault_time, fault_title, sureness

WIDEST_CHARACTERS = 116
LIKELY = 0.5
"""Faults below this are doubts, listed apart."""


class FaultCard(QFrame):
    """One fault: what, since when, how sure, why, and what to do."""

    evidence_wanted = Signal(int)

    def __init__(self, number: int, position: int, fault: Fault, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._position = position
        self.setObjectName("faultCard")
        self.setStyleSheet(
            f"#faultCard {{ background: {theme.RAISED}; border: 1px solid {theme.RULE};"
            f" border-left: 3px solid {theme.VERMILLION if fault.confidence >= LIKELY else theme.OUTLINE}; }}"
        )
        title = f"{number}. {fault_title(fault)}"
        self.setAccessibleName(title)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(16, 12, 16, 12)
        rows.addWidget(Heading(title))
        rows.addWidget(Words(f"{sureness(fault.confidence).capitalize()}; {fault_time(fault)}", quiet=True))
        rows.addWidget(Words(fault.say))
        rows.addWidget(Words(f"To do: {fault.remedy}", bright=True))
        if fault.evidence:
            button = Button("Show the first frame of it")
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
        self.setAccessibleName("Before dusk")
        self._said: list[str] = []
        self.show_triage(None)

    @property
    def text(self) -> str:
        """The words of the faults and remedies, for tests and the screen reader."""
        return "\n".join(self._said)

    def show_triage(self, triage: Triage | None) -> None:
        """Show the faults of a card; None while it is still being read."""
        self._said = []
        page = Column()
        sides = QHBoxLayout(page)
        column = QWidget()
        column.setMaximumWidth(self.fontMetrics().averageCharWidth() * WIDEST_CHARACTERS)
        rows = QVBoxLayout(column)
        rows.setContentsMargins(24, 20, 24, 24)
        rows.setSpacing(12)
        sides.addStretch(1)
        sides.addWidget(column, 20)
        sides.addStretch(1)
        self._head(rows)
        if triage is None:
            self._say(rows, "The card is still being read. What to change is known once all of it is judged.")
        else:
            self._faults(rows, triage)
        self._cautions(rows)
        rows.addStretch(1)
        self.setWidget(page)
        self.setAccessibleDescription(self.text)

    def _head(self, rows: QVBoxLayout) -> None:
        head = QHBoxLayout()
        head.addWidget(Heading("Before dusk", scale=TITLE_SCALE), 1)
        back = Button("Back to the frames (Esc)")
        back.clicked.connect(self.left)
        head.addWidget(back, 0, Qt.AlignmentFlag.AlignTop)
        rows.addLayout(head)

    def _faults(self, rows: QVBoxLayout, triage: Triage) -> None:
        self._say(rows, triage.night.summary)
        likely = [(at, fault) for at, fault in enumerate(triage.faults) if fault.confidence >= LIKELY]
        doubts = [(at, fault) for at, fault in enumerate(triage.faults) if fault.confidence < LIKELY]
        if not likely:
            self._say(rows, "Nothing to mend: no part of the rig shows a likely fault.")
        self._cards(rows, likely, 1)
        if doubts:
            rows.addWidget(Heading("Doubtful, worth a look"))
            self._cards(rows, doubts, len(likely) + 1)

    def _cards(self, rows: QVBoxLayout, faults: list[tuple[int, Fault]], first: int) -> None:
        for number, (position, fault) in enumerate(faults, first):
            card = FaultCard(number, position, fault)
            card.evidence_wanted.connect(self.evidence_wanted)
            rows.addWidget(card)
            self._said += [f"{number}. {fault_title(fault)}", fault.say, fault.remedy]

    def _cautions(self, rows: QVBoxLayout) -> None:
        rows.addSpacing(10)
        rows.addWidget(Heading("Every night"))
        grid = QGridLayout()
        grid.setHorizontalSpacing(18)
        grid.setVerticalSpacing(8)
        grid.setColumnStretch(1, 1)
        for row, caution in enumerate(CAUTIONS):
            label = Words(caution.title)
            label.setMinimumWidth(self.fontMetrics().averageCharWidth() * 18)
            grid.addWidget(label, row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(Words(caution.words, quiet=True), row, 1)
            self._said.append(f"{caution.title}: {caution.words}")
        rows.addLayout(grid)
        self._say(rows, LAST_WORD)

    def _say(self, rows: QVBoxLayout, text: str) -> None:
        rows.addWidget(Words(text))
        self._said.append(text)
