"""Copying one file so that the copy is known to be whole and true."""

import contextlib
import hashlib
import os
import stat
from collections.abc import Callable, Generator
from dataclasses import dataclass
from pathlib import Path

from triage.errors import Stopped, TriageError
from triage.export.placing import flush_folder, open_part, place_new, write_whole
from triage.export.words import NO_ROOM, cause

CHUNK = 4 << 20
"""Bytes read at a time: large enough for a card reader's full speed, small enough to stop at once."""

_O_BINARY = getattr(os, "O_BINARY", 0)
_O_NOFOLLOW = getattr(os, "O_NOFOLLOW", 0)

TAKEN = "another file of that name is there already; it was left as it is"

ITSELF = "the file there is the card's own, not a copy"

Stop = Callable[[], bool]


def never() -> bool:
    """Go on to the end."""
    return False


class CopyError(TriageError):
    """One file could not be copied; the text says why as a clause. Becomes a line of an outcome.

    Parameters
    ----------
    words : str
        Why, as a clause.
    no_room : bool
        The target's disk is full, so that no later file can be copied either.
    unread : bool
        The card's file is the trouble, not its copy.
    """

    exit_code = 4

    def __init__(self, words: str, *, no_room: bool = False, unread: bool = False) -> None:
        super().__init__(words)
        self.no_room = no_room
        self.unread = unread


@dataclass(frozen=True, slots=True)
class Verified:
    """A copy that was read back from the disk and found true.

    Attributes
    ----------
    digest : str
        SHA-256 of the contents, hexadecimal.
    size : int
        Bytes.
    already : bool
        It was there before, with the same contents.
    """

    digest: str
    size: int
    already: bool


def verified_copy(source: Path, target: Path, *, stop: Stop = never) -> Generator[int, None, Verified]:
    """Copy a file under a name not taken yet, read the copy back from the disk and compare the digests.

    Parameters
    ----------
    source : Path
        An ordinary file; it is only read.
    target : Path
        Its folder must be there. A file of that name with the same contents counts as copied already; one
        with other contents is never touched.
    stop : callable
        Asked between pieces; true stops the work.

    Returns
    -------
    Verified
        The digest, and whether the copy was there before.

    Yields
    ------
    int
        Bytes read from the source since the last time.

    Raises
    ------
    CopyError
        The source cannot be read whole, the target cannot be written, what was read back differs, or another
        file has the name.
    Stopped
        As asked; nothing half-written is left.
    """
    if os.path.lexists(target):
        return (yield from _compare_existing(source, target, stop))
    try:
        descriptor, part = open_part(target.parent)
    except OSError as error:
        raise _cannot_write(error) from error
    try:
        digest, size = yield from _pour(source, (descriptor, part), stop)
        check_read_back(part, digest, stop)
        _place(part, target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return Verified(digest, size, already=False)


def check_read_back(path: Path, digest: str, stop: Stop = never) -> None:
    """Read a file from the disk, not from memory where the system allows, and compare it.

    Parameters
    ----------
    path : Path
        The copy.
    digest : str
        What its SHA-256 must be.
    stop : callable
        Asked between pieces.

    Raises
    ------
    CopyError
        It cannot be read back, or differs.
    Stopped
        As asked.
    """
    try:
        read_back = file_digest(path, stop)
    except OSError as error:
        msg = f"the copy cannot be read back: {cause(error)}"
        raise CopyError(msg) from error
    if read_back != digest:
        msg = "the copy read back from the disk is not what was on the card (a failing disk or cable)"
        raise CopyError(msg)


def file_digest(path: Path, stop: Stop = never) -> str:
    """Return the SHA-256 of a file as it stands on the disk, hexadecimal.

    Parameters
    ----------
    path : Path
        An ordinary file.
    stop : callable
        Asked between pieces.

    Returns
    -------
    str
        64 digits.

    Raises
    ------
    OSError
        It cannot be read.
    Stopped
        As asked.
    """
    digest = hashlib.sha256()
    descriptor = os.open(path, os.O_RDONLY | _O_BINARY | _O_NOFOLLOW)
    try:
        forget_cached(descriptor)
        while piece := os.read(descriptor, CHUNK):
            digest.update(piece)
            heed(stop)
    finally:
        os.close(descriptor)
    return digest.hexdigest()


def forget_cached(descriptor: int) -> None:
    """Make the next read come from the disk: flush what is not there yet, drop the system's memory of it.

    Parameters
    ----------
    descriptor : int
        Open for reading.
    """
    if hasattr(os, "posix_fadvise"):
        os.fsync(descriptor)  # only what is on the disk can be dropped
        os.posix_fadvise(descriptor, 0, 0, os.POSIX_FADV_DONTNEED)


def heed(stop: Stop) -> None:
    """Stop where asked to.

    Parameters
    ----------
    stop : callable
        True stops the work.

    Raises
    ------
    Stopped
        As asked.
    """
    if stop():
        msg = "Stopped. What was copied and checked stays; the same command goes on from there."
        raise Stopped(msg)


def _cannot_read(error: OSError) -> CopyError:
    return CopyError(f"it cannot be read from the card: {cause(error)}", unread=True)


def _cannot_write(error: OSError) -> CopyError:
    return CopyError(f"the copy cannot be written: {cause(error)}", no_room=error.errno in NO_ROOM)


def _pieces(source: Path, stop: Stop) -> Generator[bytes, None, os.stat_result]:
    """Yield the contents of a file; return its status, once all of it was read."""
    size = 0
    try:
        descriptor = os.open(source, os.O_RDONLY | _O_BINARY | _O_NOFOLLOW)
    except OSError as error:
        raise _cannot_read(error) from error
    try:
        status = os.fstat(descriptor)
        while piece := os.read(descriptor, CHUNK):
            size += len(piece)
            yield piece
            heed(stop)
    except OSError as error:
        raise _cannot_read(error) from error
    finally:
        os.close(descriptor)
    if size != status.st_size:
        msg = f"{size} of its {status.st_size} bytes could be read from the card"
        raise CopyError(msg, unread=True)
    return status


def _pour(source: Path, part: tuple[int, Path], stop: Stop) -> Generator[int, None, tuple[str, int]]:
    """Copy contents and time into a part, flush and close it; return digest and size."""
    descriptor, path = part
    digest = hashlib.sha256()
    try:
        with contextlib.closing(_pieces(source, stop)) as pieces:
            status = yield from _write_pieces(pieces, descriptor, digest)
        with contextlib.suppress(OSError):  # some network drives keep no times; the contents matter more
            os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))
        try:
            os.fsync(descriptor)
        except OSError as error:
            raise _cannot_write(error) from error
    finally:
        os.close(descriptor)
    return digest.hexdigest(), status.st_size


def _write_pieces(
    pieces: Generator[bytes, None, os.stat_result], descriptor: int, digest: "hashlib._Hash"
) -> Generator[int, None, os.stat_result]:
    while True:
        try:
            piece = next(pieces)
        except StopIteration as end:
            status: os.stat_result = end.value
            return status
        digest.update(piece)
        try:
            write_whole(descriptor, piece)
        except OSError as error:
            raise _cannot_write(error) from error
        yield len(piece)


def _place(part: Path, target: Path) -> None:
    try:
        place_new(part, target)
        flush_folder(target.parent)
    except FileExistsError as error:
        raise CopyError(TAKEN) from error
    except OSError as error:
        raise _cannot_write(error) from error


def _compare_existing(source: Path, target: Path, stop: Stop) -> Generator[int, None, Verified]:
    """Find out whether the file that has the name already is the same."""
    try:
        original = source.lstat()
    except OSError as error:
        raise _cannot_read(error) from error
    try:
        status = target.lstat()
        if os.path.samestat(status, original):
            raise CopyError(ITSELF)
        if not stat.S_ISREG(status.st_mode) or status.st_size != original.st_size:
            raise CopyError(TAKEN)
        there = file_digest(target, stop)
    except OSError as error:
        msg = f"a file of that name is there already and cannot be compared: {cause(error)}"
        raise CopyError(msg) from error
    digest = hashlib.sha256()
    for piece in _pieces(source, stop):
        digest.update(piece)
        yield len(piece)
    if digest.hexdigest() != there:
        raise CopyError(TAKEN)
    return Verified(there, status.st_size, already=True)
