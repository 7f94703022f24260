"""Strips across the window that stay while something is being done: a line to write in, a spot check."""

from collections.abc import Sequence

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QStringListModel,
    Qt,
    Signal,
    Slot,
)
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCompleter, QHBoxLayout, QLineEdit, QListView, QVBoxLayout, QWidget

from triage.ui.tongue import tr
from triage.ui.views.parts import Button, Column, Words

OWN_KEYS = {Qt.Key.Key_Escape, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter}
"""Keys that mean something in the line or in the words it offers, and something else in the window."""


class TagCompleter(QCompleter):
    """Complete the word after the last comma, and leave those before it as they are."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._known = QStringListModel(self)
        self.setModel(self._known)
        self.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.setFilterMode(Qt.MatchFlag.MatchContains)
        self._head = ""

    def offer(self, words: Sequence[str]) -> None:
        """Offer these words."""
        self._known.setStringList(list(words))

    def splitPath(self, text: str) -> list[str]:
        """Return what is to be completed: the word after the last comma."""
        self._head = text.rpartition(",")[0]
        return [text.rpartition(",")[2].strip()]

    def pathFromIndex(self, index: QModelIndex | QPersistentModelIndex) -> str:
        """Return the whole line with a word completed."""
        word = super().pathFromIndex(index)
        return f"{self._head.strip()}, {word}" if self._head.strip() else word


class WritingStrip(QWidget):
    """One line to write in: Enter puts it down, Esc leaves everything as it was."""

    written = Signal(str)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setObjectName("strip")
        self._title = Words()
        self._title.setWordWrap(False)
        self.line = QLineEdit()
        self.line.installEventFilter(self)
        self.line.returnPressed.connect(self._put_down)
        self._completer = TagCompleter(self)
        offered = QListView()
        offered.setAccessibleName(tr("Words of earlier nights"))
        self._completer.setPopup(offered)
        offered.installEventFilter(self)
        done, leave = Button(tr("Write it down (Enter)")), Button(tr("Leave (Esc)"))
        done.clicked.connect(self._put_down)
        leave.clicked.connect(self.left)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 6, 12, 6)
        row.addWidget(self._title)
        row.addWidget(self.line, 1)
        row.addWidget(done)
        row.addWidget(leave)
        self.hide()

    def ask(self, title: str, text: str, *, hint: str, words: Sequence[str] = ()) -> None:
        """Show the line with what stands there now.

        Parameters
        ----------
        title : str
            What is written, and on what.
        text : str
            What stands there now.
        hint : str
            Said in the empty line.
        words : sequence of str
            Offered as one writes; none for a line of free text.
        """
        self._title.setText(title)
        self.line.setAccessibleName(title)
        self.line.setAccessibleDescription(hint)
        self.line.setPlaceholderText(hint)
        self._completer.offer(words)
        self.line.setCompleter(self._completer if words else None)  # type: ignore[arg-type]  # Qt takes none
        self.line.setText(text)
        self.show()
        self.line.setFocus()
        self.line.selectAll() if not words else self.line.end(False)

    @Slot()
    def _put_down(self) -> None:
        self.written.emit(self.line.text())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Leave with Esc, and keep the keys that move in the line and in what is offered from the window."""
        if isinstance(event, QKeyEvent) and event.key() in OWN_KEYS:
            if event.type() == QEvent.Type.ShortcutOverride:
                event.accept()
                return True
            leaves = watched is self.line and event.key() == Qt.Key.Key_Escape
            if leaves and event.type() == QEvent.Type.KeyPress:
                self.left.emit()
                return True
        return super().eventFilter(watched, event)


class CheckStrip(Column):
    """A spot check going on: how far it is, or what it proves, and what can be answered."""

    answered = Signal(str)
    """The name of an answer whose button was pressed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setObjectName("strip")
        self._words = Words()
        self._buttons: list[Button] = []
        self._row = QHBoxLayout()
        self._row.setSpacing(10)
        self._row.addStretch(1)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(14, 6, 12, 8)
        rows.setSpacing(6)
        rows.addWidget(self._words)
        rows.addLayout(self._row)
        self.hide()

    @property
    def text(self) -> str:
        """What it says; empty while hidden."""
        return "" if self.isHidden() else self._words.text()

    @property
    def answers(self) -> list[str]:
        """The words of the answers offered."""
        return [button.text() for button in self._buttons if not button.isHidden()]

    def show_state(self, words: str, answers: Sequence[tuple[str, str]]) -> None:
        """Show how far the check is.

        Parameters
        ----------
        words : str
            How far it is, or what it proves.
        answers : sequence of (str, str)
            What can be answered: a name, and the words of its button, with the key.
        """
        self._words.setText(words)
        self.setAccessibleName(words)
        while len(self._buttons) < len(answers):
            button = Button("")
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(self._answer)
            self._row.insertWidget(len(self._buttons), button)
            self._buttons.append(button)
        for at, button in enumerate(self._buttons):
            button.setVisible(at < len(answers))
            if at < len(answers):
                name, title = answers[at]
                button.setObjectName(name)
                button.setText(title)
        self.show()

    @Slot()
    def _answer(self) -> None:
        pressed = self.sender()
        if pressed is not None:
            self.answered.emit(pressed.objectName())
