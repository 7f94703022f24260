"""Questions about paths that a failing disk or a shut folder cannot turn into a crash."""

import os
from pathlib import Path


def is_folder(path: Path) -> bool:
    """Whether there is a folder; `Path.is_dir` raises where it may not look, or the disk fails.

    Parameters
    ----------
    path : Path
        Any path.

    Returns
    -------
    bool
        False too where it cannot be told.
    """
    return os.path.isdir(path)  # noqa: PTH112


def real(path: Path) -> Path:
    """Return the absolute path with every link followed; `Path.resolve` raises where links go in a circle.

    Parameters
    ----------
    path : Path
        Any path; it need not be there.

    Returns
    -------
    Path
        As far as it can be followed.
    """
    return Path(os.path.realpath(path))


def is_same(one: Path, other: Path) -> bool:
    """Whether two paths name the same file or folder.

    Parameters
    ----------
    one, other : Path
        Any paths.

    Returns
    -------
    bool
        False too where it cannot be told.
    """
    try:
        return one.samefile(other)
    except OSError:
        return False
