"""A card and the files on it."""

from dataclasses import dataclass
from enum import StrEnum


class FileKind(StrEnum):
    """What a file on the card is."""

    JPEG = "jpeg"
    HEIF = "heif"
    RAW = "raw"
    FILM = "film"
    SOUND = "sound"
    SIDECAR = "sidecar"
    OTHER = "other"


PICTURE_KINDS = frozenset({FileKind.JPEG, FileKind.HEIF, FileKind.RAW})
"""The kinds that make a frame; every other file is listed, or rides along with a frame."""


@dataclass(frozen=True, slots=True)
class CardFile:
    """One file on the card.

    Attributes
    ----------
    path : str
        Relative to the card's root, with forward slashes. Names that are not valid UTF-8 keep their bytes
        through surrogate escapes.
    kind : FileKind
        What the file is, by its name.
    size : int
        Bytes.
    modified_ns : int
        The file system's modification time, nanoseconds since 1970 (FAT keeps two seconds only).
    """

    path: str
    kind: FileKind
    size: int
    modified_ns: int

    @property
    def name(self) -> str:
        """The last part of the path."""
        return self.path.rpartition("/")[2]

    @property
    def folder(self) -> str:
        """The path without its last part; empty at the root."""
        return self.path.rpartition("/")[0]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A file or folder that is not triaged, and why.

    Attributes
    ----------
    path : str
        Relative to the card's root, with forward slashes.
    reason : str
        Plain words.
    """

    path: str
    reason: str


@dataclass(frozen=True, slots=True)
class Card:
    """A memory card, or a folder copied from one, as listed.

    Attributes
    ----------
    root : str
        Absolute path of the folder.
    groups : tuple of tuple of CardFile
        The files of each exposure, the main picture first (the JPEG where there is one); in file order.
    left_out : tuple of LeftOut
        Everything else found, each with its reason: films, other files, unreadable folders, links.
    files : int
        All files found, triaged or not.
    size : int
        Their bytes together.
    """

    root: str
    groups: tuple[tuple[CardFile, ...], ...]
    left_out: tuple[LeftOut, ...]
    files: int
    size: int
