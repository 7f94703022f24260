"""The table of commands as Qt actions, in menus."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu

from triage.ui.command import Command, Group
from triage.ui.commands import COMMANDS
from triage.ui.keymap import Keymap
from triage.ui.tongue import tr

ON_ANY_PAGE = frozenset(
    {Command.NIGHT, Command.DUSK, Command.PAPER, Command.HAND_OVER, Command.COPY_CARD, Command.STOP}
)
"""Commands on a card that make sense even while its frames are out of sight."""


IN_A_CHECK = frozenset(
    {
        Command.KEEP_FRAME,
        Command.REJECT_FRAME,
        Command.REJECT_EVENT,
        Command.PUT_UNSEEN,
        Command.UNDO,
        Command.FRAME_BACK,
        Command.FRAME_ON,
        Command.EVENT_BACK,
        Command.EVENT_ON,
        Command.CLOSE,
        Command.KEYS,
        Command.FIND,
    }
)
"""What can be used during a spot check, beside what only looks; most of them answer or go about there."""
NOT_IN_A_CHECK = frozenset({Command.COMPARE, Command.BEFORE_AFTER, Command.ALONE, Command.LIST})
"""What looks at one frame, or lays the page out, and has no place beside a sheet of them."""


class Actions(QObject):
    """One `QAction` for each command of the table.

    Attributes
    ----------
    by_command : dict of Command to QAction
        All of them.
    menus : dict of Group to QMenu
        Where they stand.
    """

    used = Signal()
    """A command is about to be done."""

    def __init__(
        self, window: QMainWindow, deeds: Mapping[Command, Callable[[], object]], keymap: Keymap
    ) -> None:
        super().__init__(window)
        self._deeds = deeds
        self.by_command: dict[Command, QAction] = {}
        self.menus: dict[Group, QMenu] = {}
        group = QActionGroup(self)
        group.setExclusionPolicy(QActionGroup.ExclusionPolicy.None_)
        for entry in COMMANDS:
            action = QAction(tr(entry.title), window)
            action.setObjectName(entry.command.value)
            action.setAutoRepeat(entry.repeats)
            action.setToolTip(tr(entry.help))
            group.addAction(action)
            self.by_command[entry.command] = action
            if entry.group not in self.menus:
                self.menus[entry.group] = window.menuBar().addMenu(f"&{tr(entry.group.value)}")
            self.menus[entry.group].addAction(action)
        group.triggered.connect(self._do)
        self.set_keys(keymap)

    def set_keys(self, keymap: Keymap) -> None:
        """Give every action its keys."""
        for command, action in self.by_command.items():
            action.setShortcuts([QKeySequence(key.text) for key in keymap.keys(command)])

    @property
    def enabled(self) -> set[Command]:
        """The commands that can be used now."""
        return {command for command, action in self.by_command.items() if action.isEnabled()}

    @Slot(QAction)
    def _do(self, action: QAction) -> None:
        self.used.emit()
        self._deeds[Command(action.objectName())]()

    def enable(self, *, on_card: bool, has_frames: bool, is_checking: bool = False) -> None:
        """Let only those be used that make sense now: none that sorts while no frame is in sight.

        Parameters
        ----------
        on_card : bool
            The page with the frames is shown.
        has_frames : bool
            A card is open.
        is_checking : bool
            A spot check is going on: one only answers and looks.
        """
        for entry in COMMANDS:
            useful = not entry.needs_frames or (has_frames and (on_card or entry.command in ON_ANY_PAGE))
            if is_checking:
                looks = entry.group is Group.LOOK and entry.command not in NOT_IN_A_CHECK
                useful = useful and (entry.command in IN_A_CHECK or looks)
            elif entry.command is Command.PUT_UNSEEN:
                useful = False
            self.by_command[entry.command].setEnabled(useful)
