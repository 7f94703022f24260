"""How the window looks from one day to the next: text size, dark or light, what is shown, where it stood."""

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QMainWindow

from triage.ui.dressing import dress, step_scale
from triage.ui.settings import Settings
from triage.ui.tongue import tr
from triage.ui.views.sorting_page import SortingPage


class Appearance(QObject):
    """The looks of one window, kept in its settings."""

    said = Signal(str)
    dressed = Signal()
    """Colours or text size are other ones now; what was built with the old ones is to be built anew."""

    def __init__(self, window: QMainWindow, page: SortingPage, settings: Settings) -> None:
        super().__init__(window)
        self._window = window
        self._page = page
        self._settings = settings

    def step_text(self, by: int) -> None:
        """Make all text larger or smaller; by 0, as the system has it."""
        scale = step_scale(self._settings.text_scale, by)
        self._settings.text_scale = scale
        self.dress()
        self.said.emit(tr("Text at {percent}\u00a0%.", percent=f"{scale * 100:.0f}"))

    @Slot()
    def toggle_light(self) -> None:
        """Change between the dark and the light window."""
        self._settings.is_light = not self._settings.is_light
        self.dress()
        self.said.emit(tr("Light window." if self._settings.is_light else "Dark window."))

    @Slot()
    def toggle_list(self) -> None:
        """Show or hide the plain list of events."""
        self._settings.is_list_shown = not self._settings.is_list_shown
        self._page.show_list(shown=self._settings.is_list_shown)

    @Slot()
    def toggle_alone(self) -> None:
        """Show the picture alone, or all of the page again."""
        alone = self._page.toggle_alone()
        words = "The picture alone; the same key brings the rest back." if alone else "All is back."
        self.said.emit(tr(words))

    def dress(self) -> None:
        """Put on what the settings say."""
        dress(self._settings.text_scale, light=self._settings.is_light)
        self._page.fit_text()
        self.dressed.emit()

    def restore(self) -> None:
        """Make the window what it was when it was closed last; it was dressed before its widgets were made."""
        self._page.fit_text()
        self._window.resize(1280, 800)
        if (geometry := self._settings.state("geometry")) is not None:
            self._window.restoreGeometry(geometry)
        for name, splitter in (("across", self._page), ("along", self._page.below)):
            if (state := self._settings.state(name)) is not None:
                splitter.restoreState(state)
                self._page.is_shared_by_hand |= splitter is self._page
        self._page.show_list(shown=self._settings.is_list_shown)

    def keep(self) -> None:
        """Write down what the window is now."""
        self._settings.keep_state("geometry", self._window.saveGeometry())
        if self._page.is_shared_by_hand:
            self._settings.keep_state("across", self._page.saveState())
        self._settings.keep_state("along", self._page.below.saveState())
        self._settings.sync()
