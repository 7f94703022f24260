"""Keys by name, without widgets: which command a key means, and how a key is written for a person."""

from collections.abc import Iterable
from dataclasses import dataclass

from triage.ui.command import Command, Entry
from triage.ui.commands import COMMANDS
from triage.ui.tongue import tr

MODIFIERS = ("Ctrl", "Alt", "Shift")
SPOKEN = {"Left": "←", "Right": "→", "Up": "↑", "Down": "↓", "Space": "space bar", "Esc": "Esc"}


class KeyClashError(ValueError):
    """Two commands want one key; a mistake in the table."""


@dataclass(frozen=True, slots=True)
class Key:
    """A key with its modifiers.

    Attributes
    ----------
    name : str
        Upper-case letter, sign, or name such as ``Space``.
    modifiers : frozenset of str
        Out of `MODIFIERS`.
    """

    name: str
    modifiers: frozenset[str]

    @property
    def text(self) -> str:
        """The portable text, modifiers in a fixed order."""
        return "+".join([*(word for word in MODIFIERS if word in self.modifiers), self.name])

    @property
    def spoken(self) -> str:
        """As written for a person, for instance ``Shift + W``."""
        words = [tr(word) for word in MODIFIERS if word in self.modifiers]
        return " + ".join([*words, tr(SPOKEN.get(self.name, self.name))])


def keys_words(keys: Iterable[Key]) -> str:
    """Return the keys of one command as written for a person: ``A or Left``."""
    first, *others = (key.spoken for key in keys)
    for other in others:
        first = tr("{key} or {other}", key=first, other=other)
    return first


def parse_key(text: str) -> Key:
    """Return the key that a text such as ``ctrl+shift+z`` or ``Ctrl++`` names.

    Raises
    ------
    ValueError
        The text names no key.
    """
    head, name = ("", text) if len(text) == 1 else _split(text)
    modifiers = [word.capitalize() for word in head.split("+") if word]
    unknown = [word for word in modifiers if word not in MODIFIERS]
    if unknown or not name:
        msg = f"{text!r} names no key"
        raise ValueError(msg)
    return Key(name.upper() if len(name) == 1 else name.capitalize(), frozenset(modifiers))


def _split(text: str) -> tuple[str, str]:
    if text.endswith("++"):
        return text[:-2], "+"
    head, _plus, name = text.rpartition("+")
    return head, name


class Keymap:
    """Which command each key means.

    Raises
    ------
    KeyClashError
        Two commands want one key.
    """

    def __init__(self, entries: Iterable[Entry] = COMMANDS) -> None:
        self._commands: dict[Key, Command] = {}
        self._keys: dict[Command, tuple[Key, ...]] = {}
        for row in entries:
            keys = tuple(parse_key(text) for text in row.keys)
            self._keys[row.command] = keys
            for key in keys:
                if key in self._commands:
                    msg = f"{key.text} means both {self._commands[key]} and {row.command}"
                    raise KeyClashError(msg)
                self._commands[key] = row.command

    def command(self, text: str) -> Command | None:
        """Return what a key means, or None."""
        return self._commands.get(parse_key(text))

    def keys(self, command: Command) -> tuple[Key, ...]:
        """Return the keys of a command, the one to be shown first."""
        return self._keys[command]

    def spoken(self, command: Command) -> str:
        """Return the first key of a command as written for a person."""
        return self._keys[command][0].spoken
