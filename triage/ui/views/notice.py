"""A strip that says what went wrong or what came of long work, until it is put away."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QWidget

from triage.ui.tongue import tr
from triage.ui.views.parts import Button, Words


class Notice(QWidget):
    """The strip; hidden while there is nothing to say."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setObjectName("notice")
        self._words = Words()
        self._close = Button(tr("Close"))
        self._close.clicked.connect(self.hide)
        line = QHBoxLayout(self)
        line.setContentsMargins(14, 6, 12, 6)
        line.addWidget(self._words, 1)
        line.addWidget(self._close, 0, Qt.AlignmentFlag.AlignTop)
        self.hide()

    @property
    def text(self) -> str:
        """What it says; empty while hidden."""
        return "" if self.isHidden() else self._words.text()

    def say(self, words: str, *, bad: bool = False) -> None:
        """Say something; bad news has a border and a word in front that good news has not."""
        self._words.setText(tr("Trouble: {words}", words=words) if bad else words)
        self.setProperty("bad", bad)
        self.style().unpolish(self)
        self.style().polish(self)
        self.setAccessibleName(self._words.text())
        self.show()
