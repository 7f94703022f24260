"""The sheet of keys: the hand's rows drawn as they lie, then every command with its help."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QScrollArea, QWidget

from triage.ui.command import Command, Entry, Group
from triage.ui.commands import COMMANDS
from triage.ui.keymap import Keymap, keys_words
from triage.ui.tongue import tr
from triage.ui.views.parts import TABLE_CHARACTERS, TITLE_SCALE, Button, Column, Heading, Words, centred_rows

HAND: tuple[tuple[str, tuple[tuple[Command, str], ...]], ...] = (
    (
        "Write",
        (
            (Command.TAG_EVENT, "tag event"),
            (Command.TAG_FRAME, "tag frame"),
            (Command.NOTE_EVENT, "event note"),
            (Command.NOTE_NIGHT, "night note"),
            (Command.FIND, "find"),
        ),
    ),
    (
        "Event",
        (
            (Command.EVENT_BACK, "back"),
            (Command.KEEP_BEST, "keep best"),
            (Command.REJECT_EVENT, "reject all"),
            (Command.EVENT_ON, "on"),
            (Command.CLEAR_EVENT, "undecide"),
        ),
    ),
    (
        "Frame",
        (
            (Command.FRAME_BACK, "back"),
            (Command.KEEP_FRAME, "keep"),
            (Command.REJECT_FRAME, "reject"),
            (Command.FRAME_ON, "on"),
            (Command.CLEAR_FRAME, "undecide"),
        ),
    ),
    (
        "Look",
        (
            (Command.UNDO, "undo"),
            (Command.COMPARE, "compare"),
            (Command.CLOSER, "full size"),
            (Command.SHADOWS, "shadows"),
            (Command.OUTLINE, "outline"),
        ),
    ),
)

FIXED = (
    "Where the time line has the focus (Tab leads there): + and - look closer or from farther, 0 shows the whole "
    "night, Alt with the arrows moves along, the arrows alone go from one event to the next. Where the picture has "
    "it: Alt with the arrows moves what is seen of a picture larger than its place."
)
"""Keys that belong to a place and cannot be changed."""


class KeysPage(QScrollArea):
    """The sheet as a page of its own; Esc goes back."""

    left = Signal()
    change_wanted = Signal()

    def __init__(self, keymap: Keymap, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName(tr("Keys"))
        self._keymap = keymap
        self._said: list[str] = []
        self.show_keys(keymap)

    def show_keys(self, keymap: Keymap) -> None:
        """Show these keys; the same ones again cost nothing."""
        if keymap is self._keymap and self._said:
            return
        self._keymap, self._said = keymap, []
        page = Column()
        rows = centred_rows(page, widest=TABLE_CHARACTERS)
        head = QHBoxLayout()
        head.addWidget(Heading(tr("Keys"), scale=TITLE_SCALE), 1)
        back = Button(tr("Back (Esc)"))
        back.clicked.connect(self.left)
        change = Button(tr("Change keys…"))
        change.clicked.connect(self.change_wanted)
        head.addWidget(change, 0, Qt.AlignmentFlag.AlignTop)
        head.addWidget(back, 0, Qt.AlignmentFlag.AlignTop)
        rows.addLayout(head)
        rows.addWidget(
            Words(
                tr(
                    "One hand at rest on the left of the keyboard sorts a whole card: each row is a "
                    "scope, each column an act, and the thumb goes on."
                )
            )
        )
        rows.addLayout(self._hand())
        rows.addLayout(self._commands())
        rows.addWidget(Words(tr(FIXED), quiet=True))
        rows.addStretch(1)
        self.setWidget(page)

    @property
    def text(self) -> str:
        """Every command as a line of title, keys and help."""
        return "\n".join(self._said)

    def _hand(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(6)
        for row, (scope, keys) in enumerate(HAND):
            grid.addWidget(Words(tr(scope), quiet=True), row, 0)
            for column, key in enumerate(keys, 1):
                command, act = key
                grid.addWidget(self._cap(self._keymap.spoken(command), tr(act)), row, column)
        grid.addWidget(Words(tr("Thumb"), quiet=True), len(HAND), 0)
        space = self._cap(self._keymap.spoken(Command.NEXT_UNDECIDED), tr("next undecided"))
        grid.addWidget(space, len(HAND), 1, 1, 5)
        grid.setColumnStretch(6, 1)
        return grid

    def _cap(self, key: str, act: str) -> QLabel:
        cap = QLabel(f"{key}\n{act}")
        cap.setAlignment(Qt.AlignmentFlag.AlignCenter)
        cap.setMinimumWidth(self.fontMetrics().averageCharWidth() * 13)
        cap.setObjectName("cap")
        return cap

    def _commands(self) -> QGridLayout:
        """Return all commands in one grid, so that the columns of every group stand in line."""
        grid = QGridLayout()
        grid.setHorizontalSpacing(24)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(2, 1)
        row = 0
        for group in Group:
            grid.addWidget(Heading(tr(group.value)), row, 0, 1, 3)
            grid.setRowMinimumHeight(row, self.fontMetrics().height() * 3)
            for entry in (entry for entry in COMMANDS if entry.group is group):
                row += 1
                keys = self._keys(entry)
                for column, label in enumerate(
                    (QLabel(keys), QLabel(tr(entry.title)), Words(tr(entry.help), quiet=True))
                ):
                    grid.addWidget(label, row, column, Qt.AlignmentFlag.AlignTop)
                self._said.append(
                    tr("{command}: {keys}. {help}", command=tr(entry.title), keys=keys, help=tr(entry.help))
                )
            row += 1
        return grid

    def _keys(self, entry: Entry) -> str:
        return keys_words(self._keymap.keys(entry.command))
