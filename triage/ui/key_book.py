"""Keys that a person has changed: kept in a small file of their own, conflicts said in words; no widgets."""

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from triage.export.atomic_write import atomic_write
from triage.ui.command import Command, Entry
from triage.ui.commands import COMMANDS, entry
from triage.ui.keymap import KeyClashError, Keymap, parse_key
from triage.ui.tongue import tr

FIXED = {
    "Esc": "{key} cannot be changed: it always leads back.",
    "Tab": "{key} cannot be changed: it goes from one thing to the next.",
    "Enter": "{key} cannot be changed: it presses.",
}


class KeyBook:
    """The keys in force.

    Parameters
    ----------
    path : Path
        The file, made on the first change; a damaged one counts as empty.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._changed = _read(path)
        self.keymap = Keymap(_entries(self._changed))

    @property
    def changed(self) -> frozenset[Command]:
        """The commands whose keys are not the standard ones."""
        return frozenset(self._changed)

    def spoken(self, command: Command) -> str:
        """Return the first key of a command as written for a person."""
        return self.keymap.spoken(command)

    def conflict(self, command: Command, key: str) -> str:
        """Return in words why a command cannot have a key; empty where it can."""
        wanted = parse_key(key)
        if wanted.name in FIXED and not wanted.modifiers:
            return tr(FIXED[wanted.name], key=wanted.spoken)
        other = self.keymap.command(key)
        if other is None or other is command:
            return ""
        return tr(
            "{key} already means \u201c{command}\u201d. Press another key, or change that one first.",
            key=wanted.spoken,
            command=tr(entry(other).title),
        )

    def change(self, command: Command, key: str) -> None:
        """Give a command one key of its own, in place of those it had.

        Raises
        ------
        KeyClashError
            Another command has it; nothing is changed.
        OutputError
            It cannot be written down; nothing is changed.
        """
        if words := self.conflict(command, key):
            raise KeyClashError(words)
        self._take(self._changed | {command: (parse_key(key).text,)})

    def reset(self, command: Command | None = None) -> None:
        """Give a command, or all of them, the standard keys again.

        Raises
        ------
        KeyClashError
            Another command has one of its standard keys now; nothing is changed.
        OutputError
            It cannot be written down; nothing is changed.
        """
        kept = (
            {} if command is None else {at: keys for at, keys in self._changed.items() if at is not command}
        )
        if command is not None:
            for key in entry(command).keys:
                if words := self.conflict(command, key):
                    raise KeyClashError(words)
        self._take(kept)

    def _take(self, changed: Mapping[Command, tuple[str, ...]]) -> None:
        keymap = Keymap(_entries(changed))
        text = json.dumps({command.value: list(keys) for command, keys in changed.items()}, indent=1)
        atomic_write(self._path, text.encode())
        self._changed, self.keymap = dict(changed), keymap


def _entries(changed: Mapping[Command, tuple[str, ...]]) -> tuple[Entry, ...]:
    return tuple(replace(row, keys=changed.get(row.command, row.keys)) for row in COMMANDS)


def _read(path: Path) -> dict[Command, tuple[str, ...]]:
    """Return what is written down, as far as it makes sense with today's commands."""
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    found = {}
    for command in Command:
        keys = told.get(command.value) if isinstance(told, dict) else None
        if isinstance(keys, list) and keys and all(_is_key(key) for key in keys):
            found[command] = tuple(keys)
    try:
        Keymap(_entries(found))
    except KeyClashError:
        return {}
    return found


def _is_key(text: object) -> bool:
    if not isinstance(text, str):
        return False
    try:
        parse_key(text)
    except ValueError:
        return False
    return True
