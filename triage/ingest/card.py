"""List a card: every file on it is put with its exposure, or left out with the reason. Only ever reads."""

import os
import stat
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

from triage.errors import CardError
from triage.ingest import dcf, kinds
from triage.ingest.wording import reason_of, shown
from triage.records.card import PICTURE_KINDS, Card, CardFile, FileKind, LeftOut

_MAIN_FIRST = {
    kind: place
    for place, kind in enumerate(
        (
            FileKind.JPEG,
            FileKind.HEIF,
            FileKind.RAW,
            FileKind.SIDECAR,
            FileKind.SOUND,
            FileKind.FILM,
            FileKind.OTHER,
        )
    )
}
_RIDERS = frozenset({FileKind.SIDECAR, FileKind.SOUND})

Group = tuple[CardFile, ...]


class _Listing:
    """What one walk over a card found."""

    def __init__(self, root: str) -> None:
        self.root = root
        self.files: list[CardFile] = []
        self.left_out: list[LeftOut] = []
        self.found = 0
        self.size = 0
        self._seen: set[tuple[int, int]] = set()

    def leave_out(self, path: str, reason: str) -> None:
        """Note something that is not triaged."""
        self.left_out.append(LeftOut(path, reason))

    def entered_before(self, folder: str) -> bool:
        """Whether the very same folder was walked already (a junction or mount that leads back)."""
        info = os.stat(folder)  # noqa: PTH116 - a path with undecodable bytes stays a plain str here
        identity = (info.st_dev, info.st_ino)
        if info.st_ino and identity in self._seen:
            return True
        self._seen.add(identity)
        return False


def list_card(root: Path) -> Card:
    """List every file on a card, or in any folder.

    The standard camera layout (``DCIM``, folders such as ``100ABCDE``, files such as ``ABCD0001.JPG``) is
    recognised and not required.

    Parameters
    ----------
    root : Path
        The card's folder.

    Returns
    -------
    Card
        Exposures in file order: folders in natural order, in each the DCF numbers ascending, then the rest.

    Raises
    ------
    CardError
        No such folder, not a folder, no permission, or no picture anywhere in it.

    Notes
    -----
    Files that make one exposure, after CIPA DC-009: in one DCF folder the files that share the four-digit
    number, even where the four leading characters differ; elsewhere the files whose names differ in the
    extension only (capital letters do not matter). Departures, so that no picture hides behind another one:

    - Different leading characters are joined only while no kind of picture (JPEG, HEIF, raw) occurs twice.
    - Two pictures of one kind (``IMG_0001.JPG`` and ``img_0001.jpg``) are two frames. A second raw file with
      another extension rides along.

    Links to files count as files, wherever they point. Links to folders are not followed.
    """
    start = os.path.abspath(root)  # noqa: PTH100 - Path.absolute() keeps ".." in the text shown to the user
    _check_root(start)
    listing = _Listing(start)
    _walk(listing)
    groups, alone = _group(listing.files)
    for file in alone:
        listing.leave_out(file.path, kinds.reason_alone(file.name, file.kind))
    if not groups:
        raise CardError(_no_pictures(listing))
    left_out = sorted(listing.left_out, key=lambda left: dcf.path_key(*_split(left.path)))
    return Card(start, tuple(groups), tuple(left_out), listing.found, listing.size)


def _check_root(start: str) -> None:
    name = shown(start)
    try:
        mode = os.stat(start).st_mode  # noqa: PTH116 - as above
        if stat.S_ISDIR(mode):
            with os.scandir(start):
                return
    except (FileNotFoundError, NotADirectoryError) as error:
        msg = f"There is no folder {name}. Check that the card is in its reader, and the path."
        raise CardError(msg) from error
    except OSError as error:
        msg = f"The folder {name} cannot be opened: {reason_of(error)}."
        raise CardError(msg) from error
    msg = f"{name} is a file, not a folder. Give the card, or the folder it was copied to."
    raise CardError(msg)


def _no_pictures(listing: _Listing) -> str:
    closed = sum(": permission denied" in left.reason for left in listing.left_out)
    found = (
        "nothing in it"
        if not listing.found
        else f"{listing.found} files in it, none of them JPEG, HEIF or raw"
    )
    if listing.found == 1:
        found = "one file in it, neither JPEG, HEIF nor raw"
    more = f"; {closed} folders or files could not be opened" if closed else ""
    return f"There are no pictures in {shown(listing.root)}: {found}{more}."


def _split(path: str) -> tuple[str, str]:
    folder, _, name = path.rpartition("/")
    return folder, name


def _walk(listing: _Listing) -> None:
    pending: list[tuple[str, str | None]] = [("", None)]
    while pending:
        folder, litter = pending.pop()
        for entry in _entries(listing, folder):
            path = f"{folder}/{entry.name}" if folder else entry.name
            if _is_folder(entry):
                pending.append((path, litter or kinds.folder_litter(entry.name)))
            else:
                _add(listing, entry, path, litter)


def _entries(listing: _Listing, folder: str) -> Iterator[os.DirEntry[str]]:
    full = os.path.join(listing.root, *folder.split("/"))  # noqa: PTH118 - plain str keeps undecodable bytes
    try:
        if listing.entered_before(full):
            listing.leave_out(folder, "a folder that leads back to one already listed")
            return
        with os.scandir(full) as found:
            entries = list(found)
    except OSError as error:
        listing.leave_out(folder, f"this folder cannot be opened: {reason_of(error)}")
        return
    yield from entries


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir(follow_symlinks=False)
    except OSError:  # some file systems have to look at the entry itself; `_add` then says why that failed
        return False


def _add(listing: _Listing, entry: os.DirEntry[str], path: str, litter: str | None) -> None:
    listing.found += 1
    try:
        info = entry.stat()
    except OSError as error:
        listing.leave_out(path, _broken_link(entry) or f"it cannot be looked at: {reason_of(error)}")
        return
    if stat.S_ISDIR(info.st_mode):
        listing.leave_out(path, f"a link to the folder {_target(entry)}; links to folders are not followed")
        return
    if not stat.S_ISREG(info.st_mode):
        listing.leave_out(path, "not a file that holds data (a device, a pipe or a socket)")
        return
    listing.size += info.st_size
    reason = litter or kinds.file_litter(entry.name)
    if reason:
        listing.leave_out(path, reason)
    else:
        listing.files.append(CardFile(path, kinds.kind_of(entry.name), info.st_size, info.st_mtime_ns))


def _target(entry: os.DirEntry[str]) -> str:
    try:
        return shown(os.readlink(entry.path))  # noqa: PTH115 - as above
    except OSError:
        return "elsewhere"


def _broken_link(entry: os.DirEntry[str]) -> str | None:
    if not entry.is_symlink():
        return None
    return f"a link to {_target(entry)}, where there is no file"


def _group(files: Iterable[CardFile]) -> tuple[list[Group], list[CardFile]]:
    by_folder: defaultdict[str, list[CardFile]] = defaultdict(list)
    for file in files:
        by_folder[file.folder].append(file)
    groups: list[Group] = []
    alone: list[CardFile] = []
    for folder, inside in by_folder.items():
        is_dcf = dcf.dcf_folder_number(_split(folder)[1]) is not None
        for together in _objects(inside, is_dcf=is_dcf):
            frames, rest = _frames_of(together)
            groups += frames
            alone += rest
    groups.sort(key=lambda group: dcf.path_key(group[0].folder, group[0].name))
    return groups, alone


def _objects(files: list[CardFile], *, is_dcf: bool) -> Iterator[list[CardFile]]:
    """Put together the files of one folder that belong to one exposure."""
    by_stem: defaultdict[str, list[CardFile]] = defaultdict(list)
    for file in files:
        by_stem[_stem(file)].append(file)
    if not is_dcf:
        yield from by_stem.values()
        return
    by_number: defaultdict[int | str, list[list[CardFile]]] = defaultdict(list)
    for stem, together in by_stem.items():
        name = dcf.dcf_name(f"{stem}.x")
        by_number[name.number if name else stem].append(together)
    for stems in by_number.values():
        joined = [file for together in stems for file in together]
        pictures = [file.kind for file in joined if file.kind in PICTURE_KINDS]
        if len(stems) == 1 or len(set(pictures)) == len(pictures):
            yield joined
        else:
            yield from stems


def _stem(file: CardFile) -> str:
    """Return the name without its extension; of ``IMG_0001.CR2.xmp`` both extensions go."""
    stem = file.name.rpartition(".")[0] or file.name
    if file.kind in _RIDERS:
        inner, dot, extension = stem.rpartition(".")
        if dot and kinds.KIND_BY_EXTENSION.get(extension.lower()) in PICTURE_KINDS:
            stem = inner
    return stem.casefold()


def _frames_of(together: list[CardFile]) -> tuple[list[Group], list[CardFile]]:
    """Make frames of the files of one object; return them and the files that belong to none."""
    together.sort(key=lambda file: (_MAIN_FIRST[file.kind], dcf.natural_key(file.name)))
    frames: list[list[CardFile]] = []
    rest: list[CardFile] = []
    for file in together:
        if file.kind in PICTURE_KINDS:
            if not frames or any(_same_kind(file, other) for other in frames[0]):
                frames.append([file])
            else:
                frames[0].append(file)
        elif file.kind in _RIDERS and frames:
            frames[0].append(file)
        else:
            rest.append(file)
    return [tuple(frame) for frame in frames], rest


def _same_kind(file: CardFile, other: CardFile) -> bool:
    if file.kind is FileKind.RAW and other.kind is FileKind.RAW:
        return file.name.rpartition(".")[2].lower() == other.name.rpartition(".")[2].lower()
    return file.kind is other.kind
