"""Small widgets shared by the pages."""

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QSizePolicy, QWidget

from triage.ui import theme

HEADING_SCALE = 1.25
TITLE_SCALE = 1.7


class Words(QLabel):
    """Text that wraps and can be selected with the mouse; quiet text is secondary."""

    def __init__(self, text: str = "", parent: QWidget | None = None, *, quiet: bool = False) -> None:
        super().__init__(text, parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        if quiet:
            self.setStyleSheet(f"color: {theme.QUIET};")


class Heading(QLabel):
    """A heading, larger by a factor than the text around it, whatever that is."""

    def __init__(self, text: str, parent: QWidget | None = None, *, scale: float = HEADING_SCALE) -> None:
        super().__init__(text, parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self._scale = scale
        self._resize()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the text size."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ApplicationFontChange:
            self._resize()

    def _resize(self) -> None:
        self.setFont(theme.scaled_font(QApplication.font(), self._scale))


class Button(QPushButton):
    """A button that keeps the space bar and Enter for itself while it has the focus."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setAutoDefault(False)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)

    def event(self, event: QEvent) -> bool:
        """Claim the keys that press a button before a window-wide shortcut gets them."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and _presses(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Press with Enter too."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.click()
            return
        super().keyPressEvent(event)


def _presses(event: QKeyEvent) -> bool:
    keys = {Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter}
    return event.key() in keys and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
