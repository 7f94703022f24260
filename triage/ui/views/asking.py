"""Questions to the person at the screen; in one place, so that a test can answer them."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from triage.ui.tongue import tr


class Asking:
    """Ask with the usual dialogs."""

    def folder(self, parent: QWidget, title: str) -> Path | None:
        """Ask for a folder; None where none was chosen."""
        chosen = QFileDialog.getExistingDirectory(parent, title)
        return Path(chosen) if chosen else None

    def agree(self, parent: QWidget, question: str, detail: str, yes: str) -> bool:
        """Ask a question; the harmless answer is the one that Enter gives."""
        box = QMessageBox(QMessageBox.Icon.NoIcon, "Card Triage", question, parent=parent)
        box.setInformativeText(detail)
        agreed = box.addButton(yes, QMessageBox.ButtonRole.AcceptRole)
        no = box.addButton(tr("Leave it"), QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(no)
        box.setEscapeButton(no)
        box.exec()
        return box.clickedButton() is agreed

    def choose(
        self,
        parent: QWidget,
        question: str,
        detail: str,
        choices: Sequence[str],
        *,
        harmless: int | None = None,
    ) -> int | None:
        """Ask which of some things to do; None for none of them.

        Parameters
        ----------
        parent : QWidget
            The window.
        question : str
            In one line.
        detail : str
            What one should know to answer it.
        choices : sequence of str
            What can be done.
        harmless : int, optional
            The one that Enter chooses; by default Enter leaves it.
        """
        box = QMessageBox(QMessageBox.Icon.NoIcon, "Card Triage", question, parent=parent)
        box.setInformativeText(detail)
        buttons = [box.addButton(choice, QMessageBox.ButtonRole.AcceptRole) for choice in choices]
        no = box.addButton(tr("Leave it"), QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(no if harmless is None else buttons[harmless])
        box.setEscapeButton(no)
        box.exec()
        return next((at for at, button in enumerate(buttons) if box.clickedButton() is button), None)
