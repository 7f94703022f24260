"""The ways to show only some events, each with how many there are."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from triage.records.finding import FindingKind
from triage.ui.filters import Evidence, Filter, Only
from triage.ui.session import Session
from triage.ui.tongue import tr
from triage.ui.words import finding_title

ONLY_WORDS = {
    Only.UNDECIDED: "Undecided",
    Only.KEPT: "Kept",
    Only.SUBJECT: "With a subject",
    Only.UNSURE: "Unsure",
}


def filter_words(which: Filter) -> str:
    """Return which events are shown, for a button or a menu."""
    if which is None:
        return tr("Every event")
    if isinstance(which, Evidence):
        return which.title
    return finding_title(which) if isinstance(which, FindingKind) else tr(ONLY_WORDS[which])


class FilterMenu(QMenu):
    """A menu that goes away once closed."""

    chosen = Signal(object)
    """A `Filter`."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setTitle(tr("Show only"))
        self._choices: list[Filter] = [None, *Only, *FindingKind]
        if isinstance(session.shown, Evidence):
            self._choices.append(session.shown)
        for place, which in enumerate(self._choices):
            number = session.count_events(which)
            action = self.addAction(
                tr("{filter} ({number})", filter=filter_words(which), number=f"{number:,}")
            )
            action.setCheckable(True)
            action.setChecked(which == session.shown)
            action.setEnabled(number > 0 or which is None)
            action.setData(place)
            if which is None or which is Only.UNSURE:
                self.addSeparator()
        self.triggered.connect(self._choose)

    @Slot(QAction)
    def _choose(self, action: QAction) -> None:
        self.chosen.emit(self._choices[action.data()])
