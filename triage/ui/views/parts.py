"""Small widgets shared by the pages."""

import re

from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from triage.ui import theme

HEADING_SCALE = 1.25
TITLE_SCALE = 1.7
WIDEST_CHARACTERS = 116
"""Lines longer than this are hard to read."""
TABLE_CHARACTERS = 190
"""A page of columns side by side may be so wide."""
LONG_WORD = re.compile(r"\S{29,}")
PIECE = re.compile(r"(\S{8,19}[_.-]|\S{20})(?=\S)")
"""A piece of a long word, ended by a sign of its own where there is one."""


def breakable(text: str) -> str:
    """Return a text whose very long words, such as names of files, may break; the break itself is not seen."""
    return LONG_WORD.sub(lambda word: PIECE.sub("\\1\N{ZERO WIDTH SPACE}", word[0]), text)


class _Middle(QWidget):
    """No wider than so many letters of its text, whatever the text's size."""

    def __init__(self, letters: int) -> None:
        super().__init__()
        self._letters = letters
        self._fit_text()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the text size."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit_text()

    def _fit_text(self) -> None:
        self.setMaximumWidth(self.fontMetrics().averageCharWidth() * self._letters)


def centred_rows(page: QWidget, *, widest: int = WIDEST_CHARACTERS) -> QVBoxLayout:
    """Return rows in the middle of a page, no wider than so many letters."""
    sides = QHBoxLayout(page)
    sides.setContentsMargins(0, 0, 0, 0)
    column = _Middle(widest)
    rows = QVBoxLayout(column)
    rows.setContentsMargins(24, 20, 24, 24)
    rows.setSpacing(12)
    sides.addStretch(1)
    sides.addWidget(column, 20)
    sides.addStretch(1)
    return rows


class Words(QLabel):
    """Text that wraps and can be selected with the mouse; quiet text is secondary, bright text stands out.

    Colours are roles of the palette: a style sheet for each label made a panel three times as slow to build.
    """

    def __init__(
        self, text: str = "", parent: QWidget | None = None, *, quiet: bool = False, bright: bool = False
    ) -> None:
        super().__init__(text, parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        if quiet:
            self.setForegroundRole(QPalette.ColorRole.PlaceholderText)
        elif bright:
            self.setForegroundRole(QPalette.ColorRole.BrightText)


class Column(QWidget):
    """The inside of a scroll area: as tall as its wrapped text needs at the width it has, and no taller."""

    def minimumSizeHint(self) -> QSize:
        """Return the height that the present width needs."""
        layout = self.layout()
        if layout is None or not layout.hasHeightForWidth():
            return super().minimumSizeHint()
        least = super().minimumSizeHint().width()
        return QSize(least, layout.heightForWidth(max(least, self.width())))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Need another height at another width."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()


class Heading(QLabel):
    """A heading, larger by a factor than the text around it, whatever that is."""

    def __init__(self, text: str, parent: QWidget | None = None, *, scale: float = HEADING_SCALE) -> None:
        super().__init__(text, parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self._scale = scale
        self.follow_text_size()

    def follow_text_size(self) -> None:
        """Take the application's text size anew; a font of its own does not follow by itself."""
        self.setFont(theme.scaled_font(QApplication.font(), self._scale))


class Elided(QLabel):
    """One line that ends in an ellipsis where it has no room, and then says all of it as a tip."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    @property
    def is_cut(self) -> bool:
        """Whether some of it is not seen."""
        return self.fontMetrics().horizontalAdvance(self.text()) > self.contentsRect().width()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint as much as there is room for."""
        room = self.contentsRect()
        words = self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, room.width())
        self.setToolTip(self.text() if self.is_cut else "")
        with QPainter(self) as painter:
            painter.setPen(self.palette().color(self.foregroundRole()))
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter, words)


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


class MenuButton(Button):
    """A button that opens a menu, and shows so."""

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint a small arrow at the right of what the button says."""
        super().paintEvent(event)
        size = self.fontMetrics().ascent() * 0.32
        tip = QPointF(self.width() - 3.5 * size - 4, self.height() / 2 + size / 2)
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(theme.QUIET))
            painter.drawPolygon([tip, tip - QPointF(size, size), tip + QPointF(size, -size)])


def _presses(event: QKeyEvent) -> bool:
    keys = {Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter}
    return event.key() in keys and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
