"""How long a test waits for what the window must do: long, since a test that passes does not wait so long."""

from collections.abc import Callable
from typing import Any

from pytestqt.qtbot import QtBot

PATIENCE_S = 120
"""For what comes from a thread or another program; five seconds, as pytest-qt has it, are too few on a busy machine."""
PATIENCE_MS = PATIENCE_S * 1000


class PatientBot(QtBot):
    """pytest-qt's own, but for how long it waits where a test says nothing of it."""

    def waitSignal(  # noqa: N802 - pytest-qt's name
        self, signal: Any, *, timeout: int = PATIENCE_MS, **others: Any
    ) -> Any:
        """Wait for a signal."""
        return super().waitSignal(signal, timeout=timeout, **others)

    def waitUntil(  # noqa: N802 - pytest-qt's name
        self, callback: Callable[[], bool | None], *, timeout: int = PATIENCE_MS
    ) -> None:
        """Wait until something is so."""
        super().waitUntil(callback, timeout=timeout)
