"""Out of the card: the keepers, a copy of all of it, and the sample card of the welcome page."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from triage.errors import StoreError
from triage.ui.fittings import Fittings
from triage.ui.notebook import Notebook
from triage.ui.opening import Opening
from triage.ui.outputs import Outputs
from triage.ui.tongue import counted, tr
from triage.ui.views.asking import Asking


class Takeout(QObject):
    """Ask where to, then copy.

    Attributes
    ----------
    make_demo : callable or None
        Makes a sample card and returns its folder.
    """

    said = Signal(str)
    trouble = Signal(str)

    def __init__(
        self,
        fittings: Fittings,
        opening: Opening,
        outputs: Outputs,
        notebook: Notebook,
        ask: Callable[[], Asking],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._outputs = outputs
        self._session = fittings.session
        self._library = fittings.library
        self._opening = opening
        self._notebook = notebook
        self._ask = ask
        self._window = parent
        self.make_demo: Callable[[], Path] | None = None

    @Slot()
    def hand_over(self) -> None:
        """Copy the keepers to a folder of the user's choice."""
        kept = self._session.tally().kept
        root = self._opening.root
        if root is None or not kept:
            self.said.emit(tr("No frame is kept yet."))
            return
        question = counted(
            kept, "Where should the {count} keeper go?", "Where should the {count} keepers go?"
        )
        folder = self._ask().folder(self._window, question)
        if folder is None:
            return
        try:
            noted = self._notebook.event_notes(self._session.events)
            self._outputs.hand_over(root, self._session, self._library, folder, noted)
        except StoreError as error:
            self.trouble.emit(str(error))

    @Slot()
    def copy_card(self) -> None:
        """Copy the whole card to a folder of the user's choice."""
        root = self._opening.root
        if root is None:
            return
        folder = self._ask().folder(self._window, tr("Where should the copy of the whole card go?"))
        if folder is not None:
            self._outputs.copy_all(root, folder)

    @Slot()
    def make_sample(self) -> None:
        """Make the sample card."""
        if self.make_demo is not None:
            self._outputs.make(self.make_demo)
