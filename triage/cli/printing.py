"""Results to standard output, remarks and progress to standard error."""

import os
import sys
import time

from triage.errors import OutputError


class ReaderGone(OutputError):  # noqa: N818 - the reader closing the pipe early is not an error in the user's eyes
    """Whatever read the standard output closed it (``triage report … | head``); nothing is to be said."""


def print_result(text: str) -> None:
    """Write a result to standard output, as UTF-8 where it is piped into a file or another program.

    Parameters
    ----------
    text : str
        With its last newline.

    Raises
    ------
    ReaderGone
        The reader closed the pipe.
    OutputError
        Standard output cannot be written, for example because the disk is full.
    """
    try:
        if sys.stdout.isatty():
            # A terminal shows what it can; a file name's odd bytes must not stop the account.
            sys.stdout.write(text.encode(sys.stdout.encoding, "replace").decode(sys.stdout.encoding))
        else:
            sys.stdout.flush()
            sys.stdout.buffer.write(text.encode("utf-8", "surrogateescape"))
        sys.stdout.flush()
    except BrokenPipeError as error:
        _forget_stdout()
        raise ReaderGone from error
    except OSError as error:
        _forget_stdout()
        msg = f"The result could not be written to standard output: {error.strerror}."
        raise OutputError(msg) from error


def _forget_stdout() -> None:
    """Keep the interpreter from writing to the dead output once more as it ends."""
    with open(os.devnull, "wb") as nowhere:  # noqa: PTH123 - os.devnull is a name, not a path, on Windows
        os.dup2(nowhere.fileno(), 1)


def remark(text: str) -> None:
    """Say something beside the result: one line on standard error.

    Parameters
    ----------
    text : str
        Without a newline.
    """
    print(text.encode("utf-8", "replace").decode("utf-8"), file=sys.stderr, flush=True)


class ProgressLine:
    """One line on a terminal that tells how far the work is; silent where standard error is no terminal."""

    _PAUSE_S = 0.1  # redrawing more often than ten times a second costs time and shows nothing

    def __init__(self) -> None:
        self._shows = sys.stderr.isatty()
        self._drawn = ""
        self._next = 0.0

    def show(self, text: str) -> None:
        """Replace the line, not more often than the eye can follow.

        Parameters
        ----------
        text : str
            Without a newline; where empty, the line stays.
        """
        now = time.monotonic()
        if not text or not self._shows or now < self._next:
            return
        self._next = now + self._PAUSE_S
        self._draw(text)

    def clear(self) -> None:
        """Take the line away, before anything else is said."""
        if self._drawn:
            self._draw("")

    def _draw(self, text: str) -> None:
        sys.stderr.write("\r" + text.ljust(len(self._drawn)) + ("\r" if not text else ""))
        sys.stderr.flush()
        self._drawn = text

    def __enter__(self) -> "ProgressLine":
        """Start without drawing anything."""
        return self

    def __exit__(self, *_details: object) -> None:
        """Take the line away, also after a failure."""
        self.clear()
