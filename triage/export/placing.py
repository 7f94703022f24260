"""Files that appear under their name whole or not at all."""

import ctypes
import errno
import os
import re
import secrets
import sys
from pathlib import Path

PART_NAME = re.compile(r"\.triage-[0-9a-f]{16}\.part")
"""Names of files still being written; what a killed run leaves behind is known by it."""

_CANNOT_LINK = frozenset(
    getattr(errno, name)
    for name in ("EPERM", "EACCES", "ENOTSUP", "EOPNOTSUPP", "ENOSYS", "EMLINK", "EXDEV", "EINVAL")
    if hasattr(errno, name)
)
_AT_FDCWD = -100
_RENAME_NOREPLACE = 1
_O_BINARY = getattr(os, "O_BINARY", 0)


def open_part(folder: Path) -> tuple[int, Path]:
    """Make a new, empty file in a folder, to be placed later.

    Parameters
    ----------
    folder : Path
        Where the finished file will be: a rename works within one file system only.

    Returns
    -------
    tuple of int and Path
        Descriptor open for writing, and the file's name for now.
    """
    path = folder / f".triage-{secrets.token_hex(8)}.part"
    return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _O_BINARY, 0o666), path


def write_whole(descriptor: int, data: bytes) -> None:
    """Write all bytes; `os.write` may take only some of them.

    Parameters
    ----------
    descriptor : int
        Open for writing.
    data : bytes
        What to write.
    """
    view = memoryview(data)
    while view:
        view = view[os.write(descriptor, view) :]


def clear_parts(folder: Path) -> int:
    """Remove what a killed run left half-written in a folder.

    Parameters
    ----------
    folder : Path
        Only its own files, not those of folders inside it.

    Returns
    -------
    int
        How many files were removed.
    """
    left = [entry for entry in folder.iterdir() if PART_NAME.fullmatch(entry.name) and entry.is_file()]
    for part in left:
        part.unlink(missing_ok=True)
    return len(left)


def flush_folder(folder: Path) -> None:
    """Flush a folder's list of names, so that a new name outlives a power cut.

    Parameters
    ----------
    folder : Path
        The folder.

    Notes
    -----
    Windows cannot open a folder for that, and some network drives refuse; then there is nothing more to be
    done, as the file's contents are flushed already.
    """
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno not in {errno.EINVAL, errno.ENOTSUP, errno.EBADF}:
            raise
    finally:
        os.close(descriptor)


def place_new(part: Path, target: Path) -> None:
    """Give a finished file its name, unless that name is taken.

    Parameters
    ----------
    part : Path
        From `open_part`, flushed and closed. It is gone afterwards.
    target : Path
        In the same folder.

    Raises
    ------
    FileExistsError
        The name is taken; neither file was touched.
    OSError
        The system refused.

    Notes
    -----
    A hard link fails where the name is taken, at one stroke. Drives formatted as FAT or exFAT have none;
    there the system's own rename-without-replacing is used, and where that is missing too, a look before an
    ordinary rename.
    """
    if sys.platform == "win32":
        part.rename(target)  # Windows never replaces a file by a rename
        return
    try:
        os.link(part, target)
    except OSError as error:
        if error.errno not in _CANNOT_LINK:
            raise
    else:
        part.unlink()
        return
    if not _rename_new(part, target):
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target))
        part.rename(target)


def _rename_new(part: Path, target: Path) -> bool:
    """Rename without replacing, by the system call for it; return whether the system has one."""
    rename = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if rename is None:
        return False
    if rename(_AT_FDCWD, os.fsencode(part), _AT_FDCWD, os.fsencode(target), _RENAME_NOREPLACE) == 0:
        return True
    code = ctypes.get_errno()
    if code in {errno.EINVAL, errno.ENOSYS, errno.ENOTSUP}:
        return False
    raise OSError(code, os.strerror(code), str(target))
