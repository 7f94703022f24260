"""The window's own state between runs. Nothing that matters to the photographer's work is kept here."""

from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings

STATE, TEXT_SCALE, LIST_SHOWN = "window/{}", "text/scale", "window/list"


class Settings:
    """Window state in one INI file.

    Parameters
    ----------
    path : Path
        The file; made on the first write. A damaged one counts as empty.
    """

    def __init__(self, path: Path) -> None:
        self._store = QSettings(str(path), QSettings.Format.IniFormat)

    @property
    def text_scale(self) -> float:
        """Text size in units of the system's."""
        try:
            return float(str(self._store.value(TEXT_SCALE, 1.0)))
        except ValueError:
            return 1.0

    @text_scale.setter
    def text_scale(self, scale: float) -> None:
        self._store.setValue(TEXT_SCALE, scale)

    @property
    def is_list_shown(self) -> bool:
        """Whether the plain list of events is shown."""
        return str(self._store.value(LIST_SHOWN, "true")) == "true"

    @is_list_shown.setter
    def is_list_shown(self, shown: bool) -> None:
        self._store.setValue(LIST_SHOWN, "true" if shown else "false")

    def state(self, name: str) -> QByteArray | None:
        """Return a saved state, or None."""
        value = self._store.value(STATE.format(name))
        return value if isinstance(value, QByteArray) and not value.isEmpty() else None

    def keep_state(self, name: str, state: QByteArray) -> None:
        """Save a state."""
        self._store.setValue(STATE.format(name), state)

    def sync(self) -> None:
        """Write it down now."""
        self._store.sync()
