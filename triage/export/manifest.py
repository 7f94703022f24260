"""The list of digests beside a copy, in the form that ``sha256sum -c`` checks."""

import os
import re
from collections.abc import Collection, Mapping
from pathlib import Path

from triage.errors import OutputError
from triage.export.atomic_write import atomic_write
from triage.export.words import cause, shown

NAME = "SHA256SUMS"

LINE = re.compile(rb"(\\?)([0-9a-f]{64}) [ *](.+)", re.DOTALL)
ESCAPES = ((b"\\", b"\\\\"), (b"\n", b"\\n"), (b"\r", b"\\r"))
ESCAPED = {b"\\\\": b"\\", b"\\n": b"\n", b"\\r": b"\r"}


def manifest_bytes(digests: Mapping[str, str]) -> bytes:
    """Return the list, sorted by path.

    Parameters
    ----------
    digests : mapping of str to str
        SHA-256 by path relative to the list, with forward slashes; surrogate escapes give back their bytes.

    Returns
    -------
    bytes
        One line for each file. A name with a backslash or a line break in it is escaped and its line marked
        by a leading backslash, as coreutils do.
    """
    lines = sorted((os.fsencode(path), digest.encode("ascii")) for path, digest in digests.items())
    return b"".join(_line(path, digest) for path, digest in lines)


def read_manifest(data: bytes) -> dict[str, str] | None:
    """Return the digests by path, or None where the bytes are not such a list.

    Parameters
    ----------
    data : bytes
        What may be a list.

    Returns
    -------
    dict of str to str, or None
        As given to `manifest_bytes`.
    """
    digests: dict[str, str] = {}
    lines = data.split(b"\n")
    if not lines[-1]:  # what follows the last line break
        lines.pop()
    for line in lines:
        match = LINE.fullmatch(line)
        if match is None:
            return None
        mark, digest, name = match.groups()
        if mark:
            name = re.sub(rb"\\[\\nr]", lambda found: ESCAPED[found.group()], name)
        digests[os.fsdecode(name)] = digest.decode("ascii")
    return digests


def write_manifest(folder: Path, digests: Mapping[str, str], *, taken: Collection[str] = ()) -> Path:
    """Write the list into a folder, joined with what an earlier copy into the same folder listed.

    Parameters
    ----------
    folder : Path
        Where the copies are.
    digests : mapping of str to str
        SHA-256 by path relative to the folder.
    taken : collection of str
        Paths of copied files; where one of them has the list's own name, the list gets another.

    Returns
    -------
    Path
        The list.

    Raises
    ------
    OutputError
        It cannot be read or written.
    """
    lowered = {path.casefold() for path in taken}
    number = 1
    name = NAME
    while True:
        path = folder / name
        earlier = None if name.casefold() in lowered else _earlier(path)
        if earlier is not None:
            atomic_write(path, manifest_bytes({**earlier, **digests}))
            return path
        number += 1
        name = f"{NAME}-{number}"


def _earlier(path: Path) -> dict[str, str] | None:
    """Return what a list already there says; None where the name is taken by something else."""
    if not os.path.lexists(path):
        return {}
    try:
        if not path.is_file():
            return None
        return read_manifest(path.read_bytes())
    except OSError as error:
        msg = f"{shown(path)} could not be read: {cause(error)}."
        raise OutputError(msg) from error


def _line(path: bytes, digest: bytes) -> bytes:
    escaped = path
    for plain, escape in ESCAPES:
        escaped = escaped.replace(plain, escape)
    return (b"\\" if escaped != path else b"") + digest + b"  " + escaped + b"\n"
