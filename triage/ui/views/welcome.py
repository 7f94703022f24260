"""The page without a card: what to do, and what went wrong with the last one."""

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QColor, QHideEvent, QPainter, QPaintEvent, QPen, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from triage.ui import theme
from triage.ui.mounts import cards_in_readers
from triage.ui.timeline.words import sayable
from triage.ui.tongue import tr
from triage.ui.views.night_sketch import NightSketch
from triage.ui.views.parts import TITLE_SCALE, Button, Heading, Words

RECENT = 5
LOOK_MS = 2_000
"""How often the reader is looked into while the page is seen."""


class WelcomePage(QWidget):
    """Say what to do; a folder may also be dropped on it (the window takes it)."""

    open_wanted = Signal()
    demo_wanted = Signal()
    card_wanted = Signal(Path)

    def __init__(
        self,
        parent: QWidget | None = None,
        *,
        find_cards: Callable[[], tuple[Path, ...]] = cards_in_readers,
    ) -> None:
        super().__init__(parent)
        self._find_cards = find_cards
        self._in_reader: tuple[Path, ...] = ()
        self._looking = QTimer(self)
        self._looking.setInterval(LOOK_MS)
        self._looking.timeout.connect(self.look_for_cards)
        self.setAccessibleName(tr("No card open"))
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
        rows.addWidget(NightSketch())
        rows.addSpacing(6)
        rows.addWidget(Heading(tr("What came in the night?"), scale=TITLE_SCALE))
        rows.addWidget(
            Words(
                tr(
                    "Put the memory card into the reader and open it, or drop its folder (or a copy of it) here. "
                    "The card is only ever read: nothing on it is changed, moved or deleted."
                )
            )
        )
        self._cards = QVBoxLayout()
        rows.addLayout(self._cards)
        rows.addLayout(self._buttons())
        self._recent = QVBoxLayout()
        self._recent.setSpacing(4)
        rows.addLayout(self._recent)
        rows.addStretch(2)

    def _buttons(self) -> QHBoxLayout:
        buttons = QHBoxLayout()
        self.open_button = Button(tr("Open a card or folder…"))
        self.open_button.clicked.connect(self.open_wanted)
        buttons.addWidget(self.open_button)
        self.demo_button = Button(tr("Look at a made-up night"))
        self.demo_button.clicked.connect(self.demo_wanted)
        self.demo_button.hide()
        buttons.addWidget(self.demo_button)
        buttons.addStretch(1)
        return buttons

    def showEvent(self, event: QShowEvent) -> None:
        """Look for cards in the reader, now and while the page is seen."""
        super().showEvent(event)
        self.look_for_cards()
        self._looking.start()

    def hideEvent(self, event: QHideEvent) -> None:
        """Stop looking."""
        super().hideEvent(event)
        self._looking.stop()

    @Slot()
    def look_for_cards(self) -> None:
        """Offer every card that is in the reader now."""
        found = self._find_cards()
        if found == self._in_reader:
            return
        self._in_reader = found
        while (item := self._cards.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.deleteLater()
        for root in found:
            button = _RecentButton(
                root, tr("Open the card in the reader: {name}", name=sayable(root.name or str(root)))
            )
            button.chosen.connect(self.card_wanted)
            self._cards.addWidget(button)

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
            self._recent.addWidget(Words(tr("Opened before"), quiet=True))
            self._recent.addSpacing(2)
        for root, words in cards[:RECENT]:
            place = Path(root)
            text = "{name}: {words}" if place.is_dir() else "{name}: {words} (not there now)"
            button = _RecentButton(place, tr(text, name=sayable(place.name), words=words))
            button.setObjectName("row")
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.chosen.connect(self.card_wanted)
            self._recent.addWidget(button)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint a dashed border: here a folder may be dropped."""
        with QPainter(self) as painter:
            painter.setPen(QPen(QColor(theme.RULE), 1, Qt.PenStyle.DashLine))
            painter.drawRect(self.rect().adjusted(18, 18, -19, -19))


class _RecentButton(Button):
    chosen = Signal(Path)

    def __init__(self, root: Path, words: str) -> None:
        super().__init__(words)
        self._root = root
        self.setToolTip(sayable(str(root)))
        self.clicked.connect(self._choose)

    def _choose(self) -> None:
        self.chosen.emit(self._root)
