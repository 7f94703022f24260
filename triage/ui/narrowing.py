"""Show only some events: by what is said of them or decided on them, or as the evidence for a fault."""

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from triage.ui.filters import Evidence, Filter
from triage.ui.fittings import Fittings
from triage.ui.looking import Looking
from triage.ui.opening import Opening
from triage.ui.tongue import counted, tr
from triage.ui.views.filter_menu import FilterMenu
from triage.ui.words import fault_title

EVIDENCE_ALONE = (
    "{count} frame; Esc leads back to every event. {say}",
    "{count} frames; Esc leads back to every event. {say}",
)
EVIDENCE_BESIDE = (
    "{count} frame beside one in order; Esc leads back to every event. {say}",
    "{count} frames beside one in order; Esc leads back to every event. {say}",
)


class Narrowing(QObject):
    """The ways to show only some events."""

    said = Signal(str)
    begun = Signal()
    """Frames are to be seen now."""

    def __init__(self, fittings: Fittings, opening: Opening, looking: Looking, parent: QWidget) -> None:
        super().__init__(parent)
        self._session = fittings.session
        self._sorting = fittings.sorting
        self._page = fittings.page
        self._opening = opening
        self._looking = looking
        self._window = parent

    @Slot()
    def choose(self) -> None:
        """Offer the ways to show only some events."""
        menu = FilterMenu(self._session, self._window)
        menu.chosen.connect(self._chosen)
        anchor = self._page.filter_button if self._page.list_column.isVisible() else self._page.picture
        menu.popup(anchor.mapToGlobal(anchor.rect().topLeft()))

    @Slot(object)
    def _chosen(self, which: Filter) -> None:
        self._sorting.show_only(which)

    @Slot(int)
    def show_evidence(self, position: int) -> None:
        """Show only the frames that a fault rests on, beside one that shows the part in order."""
        triage = self._opening.triage
        if triage is None or not 0 <= position < len(triage.faults):
            return
        fault = triage.faults[position]
        self.begun.emit()
        if not fault.evidence:
            self.said.emit(tr("{say} (No frame shows it.)", say=fault.say))
            return
        self._sorting.show_only(Evidence(fault_title(fault), frozenset(fault.evidence)))
        self._sorting.go(fault.evidence[0])
        healthy = triage.review.healthy[position] if position < len(triage.review.healthy) else None
        if healthy is not None:
            self._looking.hold(healthy, tr("In order"))
        texts = EVIDENCE_ALONE if healthy is None else EVIDENCE_BESIDE
        self.said.emit(counted(len(fault.evidence), *texts, say=fault.say))
