"""Writing a small output whole or not at all."""

import errno
import os
from pathlib import Path

from triage.errors import OutputError
from triage.export.paths import is_folder, real
from triage.export.placing import flush_folder, open_part, write_whole
from triage.export.words import cause, shown


def atomic_write(path: Path, data: bytes) -> None:
    """Write a file so that, whatever happens, either the old or the new contents are there whole.

    Parameters
    ----------
    path : Path
        The file, replaced where it is there. A link is followed. A pipe or device is written to directly.
    data : bytes
        The new contents.

    Raises
    ------
    OutputError
        The file cannot be written; nothing half-written is left, and an old file is as it was.
    """
    try:
        if path.exists() and not path.is_file() and not path.is_dir():
            path.write_bytes(data)
        else:
            _replace(real(path), data)
    except OSError as error:
        msg = f"{shown(path)} could not be written: {_why(path, error)}."
        raise OutputError(msg) from error


def _replace(path: Path, data: bytes) -> None:
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    descriptor, part = open_part(path.parent)
    try:
        try:
            write_whole(descriptor, data)
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    flush_folder(path.parent)


def _why(path: Path, error: OSError) -> str:
    if not is_folder(path.parent):
        return f"there is no folder {shown(path.parent)}; make it first"
    return cause(error)
