"""The table of commands as Qt actions, in menus."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, Slot
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu

from triage.ui.commands import COMMANDS, Command, Group

ON_ANY_PAGE = frozenset({Command.DUSK, Command.HAND_OVER, Command.COPY_CARD, Command.STOP})
"""Commands on a card that make sense even while its frames are out of sight."""


class Actions(QObject):
    """One `QAction` for each command of the table.

    Attributes
    ----------
    by_command : dict of Command to QAction
        All of them.
    menus : dict of Group to QMenu
        Where they stand.
    """

    def __init__(self, window: QMainWindow, deeds: Mapping[Command, Callable[[], None]]) -> None:
        super().__init__(window)
        self._deeds = deeds
        self.by_command: dict[Command, QAction] = {}
        self.menus: dict[Group, QMenu] = {}
        group = QActionGroup(self)
        group.setExclusionPolicy(QActionGroup.ExclusionPolicy.None_)
        for entry in COMMANDS:
            action = QAction(entry.title, window)
            action.setObjectName(entry.command.value)
            action.setShortcuts([QKeySequence(key) for key in entry.keys])
            action.setAutoRepeat(entry.repeats)
            action.setToolTip(entry.help)
            group.addAction(action)
            self.by_command[entry.command] = action
            if entry.group not in self.menus:
                self.menus[entry.group] = window.menuBar().addMenu(entry.group.value)
            self.menus[entry.group].addAction(action)
        group.triggered.connect(self._do)

    @Slot(QAction)
    def _do(self, action: QAction) -> None:
        self._deeds[Command(action.objectName())]()

    def enable(self, *, on_card: bool, has_frames: bool) -> None:
        """Let only those be used that make sense now: none that sorts while no frame is in sight.

        Parameters
        ----------
        on_card : bool
            The page with the frames is shown.
        has_frames : bool
            A card is open.
        """
        for entry in COMMANDS:
            useful = not entry.needs_frames or (has_frames and (on_card or entry.command in ON_ANY_PAGE))
            self.by_command[entry.command].setEnabled(useful)
