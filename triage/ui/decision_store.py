"""What the state of sorting needs of the library."""

from collections.abc import Collection, Mapping
from typing import Protocol

from triage.records.decision import Verdict


class DecisionStore(Protocol):
    """What the session needs of the library."""

    def decide_each(self, wanted: Mapping[str, Verdict | None]) -> int:
        """Decide frames in one batch, whole or not at all; return its number, or 0 where nothing changes."""

    def undo(self, scope: Collection[str]) -> tuple[str, ...]:
        """Take the last batch back; return the keys that changed."""

    def redo(self, scope: Collection[str]) -> tuple[str, ...]:
        """Make the last batch taken back again; return the keys that changed."""

    def verdicts(self, keys: Collection[str]) -> dict[str, Verdict]:
        """Return the verdicts in force."""


class Reversal(Protocol):
    """`DecisionStore.undo` or `DecisionStore.redo`."""

    def __call__(self, scope: Collection[str], /) -> tuple[str, ...]:
        """Reverse; return the keys that changed."""
