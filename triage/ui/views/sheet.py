"""Some frames side by side, each large enough to tell whether something is there: the sheet of a spot check."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QGridLayout, QWidget

from triage.ui import theme
from triage.ui.spot_check import SHEET
from triage.ui.tongue import tr
from triage.ui.views.overlay import Overlay
from triage.ui.views.picture_view import NOTHING, PictureView

MOST_COLUMNS = 3
GAP_PX = 6
MARKED, MARKED_TOO = "something is there", "Something is there."


class Tile(PictureView):
    """One frame of the sheet.

    Attributes
    ----------
    place : int
        Which of them, from 0.
    """

    reached = Signal(int)
    """It has the focus now."""
    pressed = Signal(int)
    """It was pressed, with the mouse or with the space bar or Enter."""

    def __init__(self, place: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.place = place
        self._is_marked = False
        self._is_here = False

    @property
    def is_marked(self) -> bool:
        """Whether the person saw something in it."""
        return self._is_marked

    def show_state(self, *, is_here: bool, is_marked: bool) -> None:
        """Show whether it is the one that the keys are about, and whether something was seen in it."""
        self._is_here, self._is_marked = is_here, is_marked
        words = [self.shown.title, tr(MARKED_TOO) if is_marked else ""]
        self.setAccessibleDescription(" ".join(part for part in words if part))
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take a press for a mark; a picture this small is not dragged."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.pressed.emit(self.place)

    def mouseMoveEvent(self, _event: QMouseEvent) -> None:
        """Drag nothing."""

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Take the second press like the first."""
        self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel alone: one looks closer at one frame, not at all of them."""
        event.ignore()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take the space bar and Enter for a mark."""
        if event.key() in {Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.pressed.emit(self.place)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Be the one that the keys are about."""
        super().focusInEvent(event)
        self.reached.emit(self.place)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the frame, then its mark and a border around the one that the keys are about."""
        super().paintEvent(event)
        with QPainter(self) as painter:
            if self._is_marked:
                room = QRectF(self.rect())
                Overlay(painter, room, self._picture_rect()).sign(theme.SUBJECT_MARK, tr(MARKED))
            if self._is_here:
                painter.setPen(QPen(QColor(theme.ACCENT), 3))
                painter.drawRect(self.rect().adjusted(1, 1, -2, -2))


class CheckSheet(QWidget):
    """The frames of one sheet, in rows."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("Frames of the spot check"))
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(GAP_PX, GAP_PX, GAP_PX, GAP_PX)
        self._grid.setSpacing(GAP_PX)
        self.tiles = tuple(Tile(place, self) for place in range(SHEET))
        self._columns = MOST_COLUMNS
        for tile in self.tiles:
            tile.setMinimumSize(120, 80)
            tile.hide()

    @property
    def columns(self) -> int:
        """How many frames stand in a row."""
        return self._columns

    def lay_out(self, names: Sequence[str]) -> None:
        """Make room for so many frames, each with a name for the screen reader."""
        count = len(names)
        self._columns = 2 if count == 4 else max(1, min(MOST_COLUMNS, count))
        for tile in self.tiles:
            self._grid.removeWidget(tile)
            tile.setVisible(tile.place < count)
            if tile.place >= count:
                tile.show_frame(NOTHING, None)
        for place, name in enumerate(names):
            tile = self.tiles[place]
            tile.setAccessibleName(name)
            self._grid.addWidget(tile, place // self._columns, place % self._columns)
        for row in range(self._grid.rowCount()):
            self._grid.setRowStretch(row, int(row * self._columns < count))
        for column in range(self._grid.columnCount()):
            self._grid.setColumnStretch(column, int(column < self._columns))
