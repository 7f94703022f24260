"""Turn names and errors of the operating system into words a photographer can read."""

import errno

from triage.records.percent import percent

_REASONS = {
    errno.EACCES: "permission denied",
    errno.EPERM: "permission denied",
    errno.ENOENT: "it is not there any more",
    errno.ENODEV: "the card is not there any more",
    errno.ENXIO: "the card is not there any more",
    errno.ESTALE: "the card is not there any more",
    errno.EIO: "the card cannot be read at this place",
    errno.ENAMETOOLONG: "its path is too long for this computer",
    errno.ELOOP: "its links lead back to themselves",
    errno.EISDIR: "it is a folder",
    errno.ENOTDIR: "a part of its path is not a folder",
}


def shown(name: str) -> str:
    """Return a name that can be printed anywhere.

    Parameters
    ----------
    name : str
        A file name or path; bytes that are not UTF-8 may stand in it as surrogate escapes.

    Returns
    -------
    str
        The same, with every byte that is no text replaced by the sign U+FFFD.
    """
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def ends_early(missing: float, of_what: str) -> str:
    """Say that a file ends too early.

    Parameters
    ----------
    missing : float
        Share that is missing, above 0.
    of_what : str
        Of what: "its picture", "its data".

    Returns
    -------
    str
        Goes on from the file's name; never says 100 %, which would sound whole.
    """
    return f"ends after {percent(min(99, int(100 * (1 - missing))) / 100)} of {of_what}"


def reason_of(error: OSError) -> str:
    """Say in plain words why the operating system refused.

    Parameters
    ----------
    error : OSError
        As raised.

    Returns
    -------
    str
        A clause without a full stop.
    """
    return _REASONS.get(error.errno or 0) or (error.strerror or "the reason is not known").lower()
