"""One big picture, or two side by side that are zoomed and moved together."""

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QSplitter, QWidget

from triage.ui.tongue import tr
from triage.ui.views.gaze import Gaze
from triage.ui.views.picture_view import PictureView


class Pair(QSplitter):
    """The frame gone through, and on its left another one on demand.

    Attributes
    ----------
    picture : PictureView
        The frame gone through.
    beside : PictureView
        The one held for comparison; hidden while there is none.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setChildrenCollapsible(False)
        self.beside = PictureView()
        self.beside.setAccessibleName(tr("Picture held for comparison"))
        self.picture = PictureView()
        for view in (self.beside, self.picture):
            self.addWidget(view)
            self.setStretchFactor(self.indexOf(view), 1)
        self.beside.hide()
        self.beside.looked.connect(self._follow_beside)
        self.picture.looked.connect(self._follow_picture)

    @property
    def is_double(self) -> bool:
        """Whether two pictures are shown."""
        return not self.beside.isHidden()

    def show_two(self) -> None:
        """Show the second picture, as wide as the first."""
        if not self.is_double:
            self.beside.show()
            self.setSizes([self.width() // 2, self.width() // 2])
        self.picture.holds_look = self.beside.holds_look = True
        self.beside.follow(self.picture.gaze)

    def show_one(self) -> None:
        """Show the frame gone through only."""
        self.beside.hide()
        self.picture.caption = ""
        self.picture.holds_look = False
        self.picture.update()

    @Slot(object)
    def _follow_picture(self, gaze: Gaze) -> None:
        if self.is_double:
            self.beside.follow(gaze)

    @Slot(object)
    def _follow_beside(self, gaze: Gaze) -> None:
        self.picture.follow(gaze)
