"""The page without a card: what to do, and what went wrong with the last one."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from triage.ui import theme
from triage.ui.timeline.words import sayable
from triage.ui.views.parts import TITLE_SCALE, Button, Heading, Words

RECENT = 5


class WelcomePage(QWidget):
    """Say what to do; a folder may also be dropped on it (the window takes it)."""

    open_wanted = Signal()
    demo_wanted = Signal()
    card_wanted = Signal(Path)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("No card open")
        outer = QHBoxLayout(self)
        outer.addStretch(1)
        column = QWidget()
        column.setMaximumWidth(self.fontMetrics().averageCharWidth() * 88)
        outer.addWidget(column, 6)
        outer.addStretch(1)
        rows = QVBoxLayout(column)
        rows.setSpacing(12)
        rows.addStretch(1)
        self._trouble = Words()
        self._trouble.setObjectName("plate")
        self._trouble.hide()
        rows.addWidget(self._trouble)
        rows.addWidget(Heading("What came in the night?", scale=TITLE_SCALE))
        rows.addWidget(
            Words(
                "Put the memory card into the reader and open it, or drop its folder (or a copy of it) here. "
                "The card is only ever read: nothing on it is changed, moved or deleted."
            )
        )
        rows.addLayout(self._buttons())
        self._recent = QVBoxLayout()
        rows.addLayout(self._recent)
        rows.addStretch(2)

    def _buttons(self) -> QHBoxLayout:
        buttons = QHBoxLayout()
        self.open_button = Button("Open a card or folder…")
        self.open_button.clicked.connect(self.open_wanted)
        buttons.addWidget(self.open_button)
        self.demo_button = Button("Look at a made-up night")
        self.demo_button.clicked.connect(self.demo_wanted)
        self.demo_button.hide()
        buttons.addWidget(self.demo_button)
        buttons.addStretch(1)
        return buttons

    def offer_demo(self) -> None:
        """Offer a made-up night."""
        self.demo_button.show()

    @property
    def trouble(self) -> str:
        """What is said to have gone wrong; empty where nothing did."""
        return "" if self._trouble.isHidden() else self._trouble.text()

    def show_trouble(self, words: str) -> None:
        """Say what went wrong, or take it away."""
        self._trouble.setText(words)
        self._trouble.setVisible(bool(words))

    def show_recent(self, cards: Sequence[tuple[str, str]]) -> None:
        """Offer cards opened before, as pairs of folder and words about it."""
        while (item := self._recent.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.deleteLater()
        if cards:
            self._recent.addSpacing(12)
            self._recent.addWidget(Words("Opened before:", quiet=True))
        for root, words in cards[:RECENT]:
            button = _RecentButton(Path(root), words)
            button.chosen.connect(self.card_wanted)
            self._recent.addWidget(button)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint a dashed border: here a folder may be dropped."""
        with QPainter(self) as painter:
            painter.setPen(QPen(QColor(theme.RULE), 2, Qt.PenStyle.DashLine))
            painter.drawRoundedRect(self.rect().adjusted(18, 18, -18, -18), 8, 8)


class _RecentButton(Button):
    chosen = Signal(Path)

    def __init__(self, root: Path, words: str) -> None:
        super().__init__(f"{sayable(root.name)}: {words}")
        self._root = root
        self.setToolTip(sayable(str(root)))
        self.clicked.connect(self._choose)

    def _choose(self) -> None:
        self.chosen.emit(self._root)
