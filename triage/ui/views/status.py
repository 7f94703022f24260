"""One line at the bottom: work going on, how far sorting is, and what the last key did."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QSizePolicy, QWidget

from triage.ui.outcome import Tally
from triage.ui.tongue import tr
from triage.ui.views.parts import Button, Elided


class StatusLine(QWidget):
    """The line; `stop_wanted` when its button is pressed."""

    stop_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("Status"))
        line = QHBoxLayout(self)
        line.setContentsMargins(12, 2, 12, 2)
        line.setSpacing(14)
        self._work = QLabel()
        self._bar = QProgressBar()
        self._bar.setTextVisible(False)
        self._bar.setFixedWidth(120)
        self._stop = Button(tr("Stop"))
        self._stop.setObjectName("low")
        self._stop.clicked.connect(self.stop_wanted)
        self._tally = QLabel()
        self._last = Elided()
        self._last.setForegroundRole(QPalette.ColorRole.PlaceholderText)
        for label in (self._work, self._tally, self._last):
            label.setContentsMargins(0, 2, 0, 2)
        for guest in (self._bar, self._stop):  # as high as the words, or the page would jump when work ends
            guest.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Ignored)
        for widget in (self._work, self._bar, self._stop, self._tally):
            line.addWidget(widget)
        line.addWidget(self._last, 1)
        self.end_work()

    @property
    def text(self) -> str:
        """Everything it says."""
        parts = (self._work, self._tally, self._last)
        return " | ".join(part.text() for part in parts if part.text())

    @property
    def last(self) -> str:
        """What it says of the last key."""
        return self._last.text()

    @property
    def is_working(self) -> bool:
        """Whether it shows work going on."""
        return self._bar.isVisibleTo(self)

    def show_work(self, words: str, done: int, total: int) -> None:
        """Show work going on; a `total` of 0 where its end is not known."""
        self._work.setText(words)
        # Else the bar paints at once, and with it all that waits in the window: once for every step of the work.
        self._bar.setUpdatesEnabled(False)
        self._bar.setMaximum(total)
        self._bar.setValue(done)
        self._bar.setUpdatesEnabled(True)
        for widget in (self._work, self._bar, self._stop):
            widget.show()
        self._bar.setAccessibleName(words)

    def end_work(self) -> None:
        """Show no work."""
        self._work.clear()
        for widget in (self._work, self._bar, self._stop):
            widget.hide()

    def show_tally(self, tally: Tally | None) -> None:
        """Show how far sorting is."""
        if tally is None:
            self._tally.clear()
            return
        self._tally.setText(
            tr(
                "{undecided} undecided, {kept} kept, {rejected} rejected",
                undecided=f"{tally.undecided:,}",
                kept=f"{tally.kept:,}",
                rejected=f"{tally.rejected:,}",
            )
        )

    def say(self, words: str) -> None:
        """Say what the last key did."""
        self._last.setText(words)
