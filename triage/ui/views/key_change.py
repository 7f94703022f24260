"""Change keys: choose a command, press its new key; conflicts are said in words."""

from PySide6.QtCore import QEvent, QKeyCombination, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QHBoxLayout, QTreeWidget, QTreeWidgetItem, QWidget

from triage.errors import OutputError
from triage.ui.command import Command
from triage.ui.commands import COMMANDS, entry
from triage.ui.key_book import KeyBook
from triage.ui.keymap import KeyClashError, keys_words
from triage.ui.tongue import tr
from triage.ui.views.parts import TABLE_CHARACTERS, TITLE_SCALE, Button, Heading, Words, centred_rows

MODIFIER_KEYS = {
    Qt.Key.Key_Shift,
    Qt.Key.Key_Control,
    Qt.Key.Key_Alt,
    Qt.Key.Key_AltGr,
    Qt.Key.Key_Meta,
    Qt.Key.Key_CapsLock,
}
HOW = "Choose a command, press Enter, then the key it shall have. Esc leaves it as it is."


class KeyChangePage(QWidget):
    """The sheet as a page of its own; Esc goes back."""

    left = Signal()
    changed = Signal()

    def __init__(self, book: KeyBook, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._book = book
        self._waiting: Command | None = None
        self.setAccessibleName(tr("Change keys"))
        self.list = _Rows()
        self.list.setAccessibleName(tr("Commands with their keys"))
        self.list.itemActivated.connect(self._wait)
        self.list.pressed_key.connect(self._take)
        self._words = Words()
        rows = centred_rows(self, widest=TABLE_CHARACTERS)
        head = QHBoxLayout()
        head.addWidget(Heading(tr("Change keys"), scale=TITLE_SCALE), 1)
        back = Button(tr("Back (Esc)"))
        back.clicked.connect(self.left)
        head.addWidget(back, 0, Qt.AlignmentFlag.AlignTop)
        rows.addLayout(head)
        rows.addWidget(self._words)
        rows.addWidget(self.list, 1)
        buttons = QHBoxLayout()
        for title, deed in (
            ("Change this key (Enter)", self._wait),
            ("Standard key for this one", self._reset_one),
            ("Standard keys for all", self._reset_all),
        ):
            button = Button(tr(title))
            button.clicked.connect(deed)
            buttons.addWidget(button)
        buttons.addStretch(1)
        rows.addLayout(buttons)
        self.setFocusProxy(self.list)
        self._fill()
        self._say(tr(HOW))

    @property
    def text(self) -> str:
        """What it says above the list."""
        return self._words.text()

    def _say(self, words: str) -> None:
        self._words.setText(words)
        self.list.setAccessibleDescription(self._words.text())

    def _fill(self) -> None:
        row = max(0, self.list.currentIndex().row())
        self.list.clear()
        for at in COMMANDS:
            keys = keys_words(self._book.keymap.keys(at.command))
            mark = tr("changed") if at.command in self._book.changed else ""
            item = QTreeWidgetItem([tr(at.group.value), tr(at.title), keys, mark])
            item.setData(0, Qt.ItemDataRole.UserRole, at.command.value)
            item.setToolTip(1, tr(at.help))
            self.list.addTopLevelItem(item)
        for column in range(self.list.columnCount()):
            self.list.resizeColumnToContents(column)
        self.list.setCurrentIndex(self.list.model().index(row, 0))

    def choose(self, command: Command) -> None:
        """Go to the row of a command."""
        at = [row.command for row in COMMANDS].index(command)
        self.list.setCurrentIndex(self.list.model().index(at, 0))

    def _chosen(self) -> Command:
        return Command(self.list.currentIndex().siblingAtColumn(0).data(Qt.ItemDataRole.UserRole))

    @Slot()
    def _wait(self) -> None:
        self._waiting = self._chosen()
        self.list.is_listening = True
        self.list.setFocus()
        title = tr(entry(self._waiting).title)
        self._say(tr("Press the new key for \u201c{command}\u201d. Esc leaves it as it is.", command=title))

    @Slot(str)
    def _take(self, key: str) -> None:
        """Take the key pressed; after a conflict, wait for another."""
        command = self._waiting
        if command is None:
            return
        if key == "Esc":
            self._end_waiting(tr(HOW))
            return
        try:
            self._book.change(command, key)
        except KeyClashError as error:
            self._say(str(error))
            return
        except (OutputError, ValueError) as error:
            self._end_waiting(str(error))
            return
        self._end_waiting(
            tr(
                "{key} now means \u201c{command}\u201d.",
                key=self._book.spoken(command),
                command=tr(entry(command).title),
            )
        )
        self._fill()
        self.changed.emit()

    def _end_waiting(self, words: str) -> None:
        self._waiting = None
        self.list.is_listening = False
        self._say(words)

    @Slot()
    def _reset_one(self) -> None:
        self._reset(self._chosen())

    @Slot()
    def _reset_all(self) -> None:
        self._reset(None)

    def _reset(self, command: Command | None) -> None:
        try:
            self._book.reset(command)
        except (KeyClashError, OutputError) as error:
            self._end_waiting(str(error))
            return
        if command is None:
            self._end_waiting(tr("Every command has its standard keys again."))
        else:
            title = tr(entry(command).title)
            self._end_waiting(tr("\u201c{command}\u201d has its standard keys again.", command=title))
        self._fill()
        self.changed.emit()


class _Rows(QTreeWidget):
    """A list that, while it listens, takes any key for the one that was asked for."""

    pressed_key = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.is_listening = False
        self.setHeaderLabels([tr(title) for title in ("Menu", "Command", "Keys", "")])
        self.setRootIsDecorated(False)

    def event(self, event: QEvent) -> bool:
        """Claim every key while listening, before a command of the window gets it."""
        if self.is_listening and event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Tell the key while listening; else move in the list, and leave letters alone."""
        if self.is_listening:
            if Qt.Key(event.key()) not in MODIFIER_KEYS:
                self.pressed_key.emit(_portable(event))
            return
        if event.text().isprintable() and event.text() and event.key() != Qt.Key.Key_Return:
            event.ignore()
            return
        super().keyPressEvent(event)


def _portable(event: QKeyEvent) -> str:
    """Return a key's portable text; shift is part of a sign such as ``?`` and not named with it."""
    modifiers = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
    text = event.text()
    if len(text) == 1 and text.isprintable() and not text.isalnum() and not text.isspace():
        modifiers &= ~Qt.KeyboardModifier.ShiftModifier
    combination = QKeyCombination(modifiers, Qt.Key(event.key()))
    return QKeySequence(combination).toString(QKeySequence.SequenceFormat.PortableText)
