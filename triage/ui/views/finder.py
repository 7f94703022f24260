"""Find a command: write a word or two, choose among the commands that have them."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from triage.ui.command import Command, Entry
from triage.ui.commands import COMMANDS
from triage.ui.keymap import Keymap, keys_words
from triage.ui.tongue import tr

MOVES = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_PageUp: -8, Qt.Key.Key_PageDown: 8}
"""How many of the commands that can be used now each key goes on."""


def find(words: str) -> list[Entry]:
    """Return the commands that have every word in their title, menu or help; titles count most.

    Parameters
    ----------
    words : str
        As written, in any order and case; parts of words count.

    Returns
    -------
    list of Entry
        Those with all words in the title first, else in the order of the menus.
    """
    wanted = words.casefold().split()
    rows = [row for row in COMMANDS if all(word in _said(row) for word in wanted)]
    return sorted(rows, key=lambda row: not all(word in tr(row.title).casefold() for word in wanted))


def _said(row: Entry) -> str:
    return f"{tr(row.title)} {tr(row.group.value)} {tr(row.help)}".casefold()


class Finder(QDialog):
    """The line with its list; goes away once a command is chosen."""

    chosen = Signal(object)
    """A `Command`."""

    def __init__(self, keymap: Keymap, enabled: set[Command], parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("Find a command"))
        self._keymap = keymap
        self._enabled = enabled
        self._ready: list[QTreeWidgetItem] = []
        self.line = QLineEdit()
        self.line.setPlaceholderText(tr("A word of what you want to do, such as shadows or reject"))
        self.line.setAccessibleName(tr("Find a command"))
        self.line.installEventFilter(self)
        self.line.textChanged.connect(self._fill)
        self.line.returnPressed.connect(self._choose)
        self.found = QTreeWidget()
        self.found.setColumnCount(2)
        self.found.setHeaderHidden(True)
        self.found.setRootIsDecorated(False)
        self.found.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.found.header().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.found.header().setStretchLastSection(False)
        self.found.setAccessibleName(tr("Commands found"))
        self.found.itemActivated.connect(self._choose)
        self.found.itemClicked.connect(self._choose)
        self.found.itemSelectionChanged.connect(self._tell)
        self._help = QLabel()
        self._help.setWordWrap(True)
        self._help.setObjectName("quiet")
        # A dialog takes no border from the style sheet, and not every desktop draws one around it.
        ground = QFrame()
        ground.setObjectName("sheet")
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(ground)
        rows = QVBoxLayout(ground)
        rows.addWidget(self.line)
        rows.addWidget(self.found, 1)
        rows.addWidget(self._help)
        letters = self.fontMetrics().averageCharWidth()
        self.resize(letters * 68, self.fontMetrics().height() * 24)
        self._fill("")

    @Slot(str)
    def _fill(self, words: str) -> None:
        self.found.clear()
        self._ready.clear()
        for row in find(words):
            keys = keys_words(self._keymap.keys(row.command))
            item = QTreeWidgetItem([tr(row.title), keys])
            item.setData(0, Qt.ItemDataRole.UserRole, row.command.value)
            item.setData(0, Qt.ItemDataRole.StatusTipRole, tr(row.help))
            if row.command in self._enabled:
                self._ready.append(item)
            else:
                item.setFlags(Qt.ItemFlag.NoItemFlags)
                item.setText(1, tr("{keys} (not now)", keys=keys))
            self.found.addTopLevelItem(item)
        if self._ready:
            self.found.setCurrentItem(self._ready[0])
        else:
            self._help.setText(tr("No command that can be used now has these words. Try one word less."))

    def _step(self, by: int) -> None:
        """Go on among the commands that can be used now."""
        here = self.found.currentItem()
        if here in self._ready:
            at = self._ready.index(here) + by
            self.found.setCurrentItem(self._ready[max(0, min(at, len(self._ready) - 1))])

    @Slot()
    def _tell(self) -> None:
        for item in self.found.selectedItems():
            self._help.setText(item.data(0, Qt.ItemDataRole.StatusTipRole))

    @Slot()
    def _choose(self) -> None:
        for item in self.found.selectedItems():
            command = Command(item.data(0, Qt.ItemDataRole.UserRole))
            self.close()
            self.chosen.emit(command)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Move in the list while the line keeps the focus; the window has other uses for the same keys."""
        kinds = {QEvent.Type.KeyPress, QEvent.Type.ShortcutOverride}
        if watched is self.line and isinstance(event, QKeyEvent) and event.type() in kinds:
            step = MOVES.get(Qt.Key(event.key()), 0)
            leaves = event.key() == Qt.Key.Key_Escape
            if event.type() == QEvent.Type.KeyPress and leaves:
                self.close()
            elif event.type() == QEvent.Type.KeyPress and step:
                self._step(step)
            if step or leaves:
                event.accept()
                return True
        return super().eventFilter(watched, event)
