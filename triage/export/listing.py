"""Every file below a folder, and whether two folders are apart."""

import os
import stat
from dataclasses import dataclass
from pathlib import Path

from triage.errors import CardError, UsageError
from triage.export.outcome import NotCopied
from triage.export.paths import is_folder, is_same, real
from triage.export.words import cause, shown

NOT_A_FILE = "it is not an ordinary file but a link or a device"


@dataclass(frozen=True, slots=True)
class Entry:
    """A file as it was listed.

    Attributes
    ----------
    path : str
        Relative to the root, with forward slashes.
    size : int
        Bytes.
    modified_ns : int
        Modification time.
    """

    path: str
    size: int
    modified_ns: int


@dataclass(frozen=True, slots=True)
class Listing:
    """All that lies below a root.

    Attributes
    ----------
    files : tuple of Entry
        Sorted by path.
    folders : tuple of str
        Relative paths, outer before inner; the root itself is not among them.
    refused : tuple of NotCopied
        Folders that cannot be looked into, links and devices.
    """

    files: tuple[Entry, ...]
    folders: tuple[str, ...]
    refused: tuple[NotCopied, ...]


def list_everything(root: Path) -> Listing:
    """List every file below a root, hidden ones and system litter included; links are not followed.

    Parameters
    ----------
    root : Path
        The card.

    Returns
    -------
    Listing
        Everything found.

    Raises
    ------
    CardError
        The root is not there, is not a folder, or cannot be read.
    """
    files: list[Entry] = []
    folders: list[str] = []
    refused: list[NotCopied] = []
    waiting = [""]
    while waiting:
        folder = waiting.pop()
        if folder:
            folders.append(folder)
        try:
            names = sorted(path.name for path in (root / folder).iterdir())
        except OSError as error:
            if not folder:
                msg = f"{shown(root)} cannot be read as a card: {cause(error)}."
                raise CardError(msg) from error
            refused.append(NotCopied(folder, f"the folder cannot be read: {cause(error)}"))
            continue
        for name in names:
            _sort_in(root, f"{folder}/{name}" if folder else name, (files, waiting, refused))
    files.sort(key=lambda entry: entry.path)
    refused.sort(key=lambda entry: entry.path)
    return Listing(tuple(files), tuple(sorted(folders)), tuple(refused))


def _sort_in(root: Path, path: str, into: tuple[list[Entry], list[str], list[NotCopied]]) -> None:
    files, folders, refused = into
    try:
        status = (root / path).lstat()
    except OSError as error:
        refused.append(NotCopied(path, f"it cannot be read from the card: {cause(error)}"))
        return
    if stat.S_ISDIR(status.st_mode):
        folders.append(path)
    elif stat.S_ISREG(status.st_mode):
        files.append(Entry(path, status.st_size, status.st_mtime_ns))
    else:
        refused.append(NotCopied(path, NOT_A_FILE))


def check_apart(root: Path, folder: Path) -> None:
    """Refuse a target that lies on the card.

    Parameters
    ----------
    root : Path
        The card.
    folder : Path
        Where copies are to go; it need not be there yet.

    Raises
    ------
    UsageError
        The folder is the card, lies inside of it, or elsewhere on the memory card that the root is a folder
        of.
    """
    if _lies_in(folder, root) or _lies_in(folder, _whole_card(root)):
        msg = (
            f"{shown(folder)} lies on the card itself. Nothing is ever written there; "
            "choose a folder on another disk."
        )
        raise UsageError(msg)


def _whole_card(root: Path) -> Path:
    """Return the mounted memory card that a picture folder belongs to, or the root itself."""
    for outer in real(root).parents:
        if os.path.ismount(outer) and is_folder(outer / "DCIM"):
            return outer
    return root


def _lies_in(inner: Path, outer: Path) -> bool:
    place = real(inner)
    return any(is_same(step, outer) for step in (place, *place.parents))
