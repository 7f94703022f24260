"""The window's own state between runs. Nothing that matters to the photographer's work is kept here."""

from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings

STATE, TEXT_SCALE, LIST_SHOWN = "window/{}", "text/scale", "window/list"
LIGHT_ROOM, BY_TIME = "window/light", "window/by-time"


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

    @property
    def is_light(self) -> bool:
        """Whether the light theme is worn."""
        return self._yes(LIGHT_ROOM)

    @is_light.setter
    def is_light(self, light: bool) -> None:
        self._say(LIGHT_ROOM, light)

    @property
    def goes_by_time(self) -> bool:
        """Whether undecided frames are gone through by time alone, not the most promising first."""
        return self._yes(BY_TIME)

    @goes_by_time.setter
    def goes_by_time(self, by_time: bool) -> None:
        self._say(BY_TIME, by_time)

    def _yes(self, name: str) -> bool:
        return str(self._store.value(name, "false")) == "true"

    def _say(self, name: str, yes: bool) -> None:
        self._store.setValue(name, "true" if yes else "false")

    def beside(self, name: str) -> Path:
        """Return the path of another file in the same folder."""
        return Path(self._store.fileName()).with_name(name)

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
