"""What can go wrong in a way the user can act on.

The tree, with the exit code each branch carries (see README, "Exit codes")::

    TriageError                 known: the message names the file and what to do
    ├── UsageError          2   the words of a command make no sense
    ├── CardError           3   no card there: missing, unreadable, no pictures
    ├── PictureError        1   one file could not be read whole (becomes a record, never a stop)
    ├── StoreError          4   the library of decisions could not be read or written
    ├── OutputError         4   an output could not be written
    └── Stopped           130   the user stopped the work

Anything that is not a `TriageError` is a bug and surfaces with its traceback.
"""

from typing import ClassVar


class TriageError(Exception):
    """Base of every known error; its text is a sentence a photographer can act on."""

    exit_code: ClassVar[int] = 1


class UsageError(TriageError):
    """The command's words make no sense."""

    exit_code = 2


class CardError(TriageError):
    """There is no card to triage: missing, unreadable, or without pictures."""

    exit_code = 3


class PictureError(TriageError):
    """One file cannot be read whole."""

    exit_code = 1


class StoreError(TriageError):
    """The library of decisions cannot be read or written."""

    exit_code = 4


class OutputError(TriageError):
    """A copy, sidecar, report or other output cannot be written."""

    exit_code = 4


class Stopped(TriageError):  # noqa: N818 - the user stopping is not an error in the user's eyes
    """The user stopped the work."""

    exit_code = 130
