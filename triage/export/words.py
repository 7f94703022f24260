"""Causes and sizes in plain words."""

import errno
import os

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT})
GONE = frozenset(
    getattr(errno, name)
    for name in ("ENOENT", "ENODEV", "ENXIO", "ESTALE", "ENOMEDIUM")
    if hasattr(errno, name)
)

CAUSES: dict[int, str] = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the space allotted there is used up",
    errno.EACCES: "there is no permission",
    errno.EPERM: "there is no permission",
    errno.EROFS: "the disk is write-protected",
    errno.EIO: "reading or writing gave an error (a bad contact, or a failing disk or card)",
    errno.EFBIG: "the file is too large for that disk",
    errno.ENAMETOOLONG: "the name is too long for that disk",
    errno.EINVAL: "that disk does not allow such a name",
    errno.EISDIR: "a folder of that name is in the way",
    errno.ENOTDIR: "a file stands where a folder should be",
    errno.EEXIST: "something of that name is there already",
}


def cause(error: OSError) -> str:
    """Return why the system refused, as a clause in plain words.

    Parameters
    ----------
    error : OSError
        What it said.

    Returns
    -------
    str
        Without capital and full stop.
    """
    if error.errno in GONE:
        return "it is not there any more (was it pulled out?)"
    if error.errno in CAUSES:
        return CAUSES[error.errno]
    return (error.strerror or "the system gave no reason").lower()


def size(number: int) -> str:
    """Return a number of bytes as a person reads it, in powers of ten as on the label of a card.

    Parameters
    ----------
    number : int
        Bytes.

    Returns
    -------
    str
        Such as ``71.2 MB``.
    """
    for unit, scale in (("GB", 10**9), ("MB", 10**6), ("kB", 10**3)):
        if number >= scale:
            return f"{number / scale:.1f} {unit}"
    return f"{number} bytes"


def count(number: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun: ``1 frame``, ``2 frames``.

    Parameters
    ----------
    number : int
        How many.
    one : str
        The noun for one.
    many : str or None
        The noun for more; None to add an s.

    Returns
    -------
    str
        Both together.
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def shown(path: str | os.PathLike[str]) -> str:
    """Return a path that can be printed: bytes that are not UTF-8 as question marks, controls escaped.

    Parameters
    ----------
    path : str or PathLike
        Any path, surrogate escapes included.

    Returns
    -------
    str
        On one line, fit for UTF-8.
    """
    text = os.fspath(path).encode("utf-8", "replace").decode("utf-8")
    return "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in text)
