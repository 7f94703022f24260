"""A folder that appears under its name whole or not at all."""

import os
import secrets
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from triage.errors import OutputError
from triage.export.paths import real
from triage.export.placing import flush_folder, write_whole
from triage.export.words import cause, shown


def check_empty(folder: Path) -> None:
    """Refuse a folder that holds anything.

    Parameters
    ----------
    folder : Path
        It need not be there.

    Raises
    ------
    OutputError
        It is a file, holds something, or cannot be looked into.
    """
    try:
        is_taken = os.path.lexists(folder) and (not folder.is_dir() or any(folder.iterdir()))
    except OSError as error:
        msg = f"{shown(folder)} cannot be looked into: {cause(error)}."
        raise OutputError(msg) from error
    if is_taken:
        msg = f"{shown(folder)} is there already and is not an empty folder; nothing there was touched. Give a new one."
        raise OutputError(msg)


@contextmanager
def new_folder(folder: Path) -> Iterator[Path]:
    """Make a folder under a name of its own beside its place, and give it its name at the end.

    Parameters
    ----------
    folder : Path
        Not there yet, or empty.

    Yields
    ------
    Path
        The folder to write in, for now. What is in it leaves with it where anything goes wrong.

    Raises
    ------
    OutputError
        The folder holds something, or cannot be made or named.
    """
    check_empty(folder)
    place = real(folder)
    making = place.with_name(f".triage-{secrets.token_hex(8)}.part")
    made = _make(making, folder)
    try:
        yield making
        _name(making, place, folder)
    except BaseException:
        for one in made:
            shutil.rmtree(one, ignore_errors=True)
        raise


def make_inside(making: Path, name: str) -> None:
    """Make a folder inside one that is being made, with those between.

    Parameters
    ----------
    making : Path
        From `new_folder`.
    name : str
        Relative, with forward slashes.

    Raises
    ------
    OutputError
        It cannot be made.
    """
    try:
        (making / name).mkdir(parents=True)
    except OSError as error:
        msg = f"The export could not be written: {cause(error)}. Nothing of it was left."
        raise OutputError(msg) from error


def write_file(path: Path, data: bytes) -> None:
    """Write a new file and flush it.

    Parameters
    ----------
    path : Path
        In a folder of `new_folder`.
    data : bytes
        What to write.

    Raises
    ------
    OutputError
        It cannot be written.
    """
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
        try:
            write_whole(descriptor, data)
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
    except OSError as error:
        msg = f"The export could not be written: {cause(error)}. Nothing of it was left."
        raise OutputError(msg) from error


def _make(making: Path, folder: Path) -> list[Path]:
    """Make the folder, and those above that are missing; return them, the outermost last."""
    missing = [outer for outer in making.parents if not os.path.lexists(outer)]
    made: list[Path] = []
    try:
        for one in (*reversed(missing), making):
            one.mkdir()
            made.insert(0, one)
    except OSError as error:
        for one in made:
            one.rmdir()
        msg = f"The folder {shown(folder)} cannot be made: {cause(error)}."
        raise OutputError(msg) from error
    return made


def _name(making: Path, place: Path, folder: Path) -> None:
    try:
        for inner, _folders, _files in os.walk(making):
            flush_folder(Path(inner))
        if sys.platform == "win32" and place.is_dir():
            place.rmdir()  # elsewhere a rename takes the place of an empty folder at one stroke
        making.rename(place)
        flush_folder(place.parent)
    except OSError as error:
        msg = (
            f"The export could not be put into {shown(folder)}: {cause(error)}. Nothing of it was left; "
            "give a new folder."
        )
        raise OutputError(msg) from error
