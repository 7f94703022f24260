"""Ctrl-C and a polite request to end, as a question the work asks between its steps."""

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from triage.errors import Stopped


class StopFlag:
    """Whether the user asked to stop.

    The first request lets the step at hand finish, so that no half-written output stays; the second does not
    wait.
    """

    def __init__(self) -> None:
        self._asked = False

    def __call__(self) -> bool:
        """Whether the user asked to stop."""
        return self._asked

    def ask(self) -> None:
        """Ask the work to stop; ask twice to interrupt it where it stands."""
        if self._asked:
            raise KeyboardInterrupt
        self._asked = True

    def check(self) -> None:
        """Raise where the user asked to stop.

        Raises
        ------
        Stopped
            The user asked to stop.
        """
        if self._asked:
            msg = "Stopped."
            raise Stopped(msg)


def end_at_once_on_signals() -> None:
    """Let Ctrl-C end the process where it stands.

    For the window: its loop runs outside Python, where a flag would not be seen before the next event, and
    whatever was decided is on the disk already.
    """
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_DFL)


@contextmanager
def stop_on_signals() -> Iterator[StopFlag]:
    """Turn Ctrl-C and a polite request to end into a flag, for the length of a command.

    Yields
    ------
    StopFlag
        Asked between the steps of the work.
    """
    flag = StopFlag()

    def asked(_number: int, _frame: FrameType | None) -> None:
        flag.ask()

    before: dict[signal.Signals, Callable[[int, FrameType | None], object] | int | None] = {}
    for number in (signal.SIGINT, signal.SIGTERM):
        before[number] = signal.signal(number, asked)
    try:
        yield flag
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
