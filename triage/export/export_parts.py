"""What an export may hold, how far it is, and what came of it."""

from dataclasses import dataclass
from enum import StrEnum

from triage.export.outcome import NotCopied


class ExportPart(StrEnum):
    """What an export may hold."""

    PACKAGE = "package"
    TABLES = "tables"
    PAGE = "page"


@dataclass(frozen=True, slots=True)
class ExportProgress:
    """How far an export is.

    Attributes
    ----------
    done, total : int
        Pictures.
    """

    done: int
    total: int


@dataclass(frozen=True, slots=True)
class ExportOutcome:
    """What came of an export.

    Attributes
    ----------
    files : tuple of str
        Names in the folder, but for the pictures.
    pictures : int
        Keepers whose pictures went along.
    held : int
        Keepers whose pictures were held back.
    failed : tuple of NotCopied
        Keepers whose pictures cannot be read.
    """

    files: tuple[str, ...]
    pictures: int
    held: int
    failed: tuple[NotCopied, ...]
