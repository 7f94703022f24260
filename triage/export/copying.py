"""Copying a card off, so that it is known when the card may be wiped."""

import os
import shutil
from collections.abc import Generator, Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from triage.errors import CardError, OutputError, UsageError
from triage.export.listing import Listing, check_apart, list_everything
from triage.export.manifest import NAME, write_manifest
from triage.export.outcome import CopyOutcome, CopyProgress, NotCopied
from triage.export.paths import is_folder, real
from triage.export.placing import clear_parts, flush_folder
from triage.export.verified import CopyError, Stop, heed, never, verified_copy
from triage.export.words import cause, shown, size

CHANGED = "it appeared or changed on the card while the rest was copied; copy again"


@dataclass(frozen=True, slots=True)
class Job:
    """One file to copy.

    Attributes
    ----------
    path : str
        Of the source, relative to the card's root.
    target : str
        Of the copy, relative to its folder; forward slashes.
    size : int
        Bytes, as listed.
    """

    path: str
    target: str
    size: int


@dataclass(slots=True)
class Tally:
    """What is verified and what failed, so far.

    Attributes
    ----------
    digests : dict of str to str
        SHA-256 of verified copies by `Job.target`.
    copied, already : int
        Files copied now, and before.
    size : int
        Bytes verified.
    failed : list of NotCopied
        Files not copied.
    hopeless : bool
        No later file can be copied either, for the reason of the last failure.
    """

    digests: dict[str, str] = field(default_factory=dict)
    copied: int = 0
    already: int = 0
    size: int = 0
    failed: list[NotCopied] = field(default_factory=list)
    hopeless: bool = False


def copy_card(card_root: Path, folder: Path, *, stop: Stop = never) -> Iterator[CopyProgress | CopyOutcome]:
    """Copy every file of a card, verified; never overwrite, and go on where an earlier copy ended.

    Parameters
    ----------
    card_root : Path
        The card; it is only read.
    folder : Path
        Where to copy to; made where it is not there. The card's own layout is kept below it.
    stop : callable
        Asked between pieces of files; true stops the work.

    Yields
    ------
    CopyProgress or CopyOutcome
        Progress, and the outcome last.

    Raises
    ------
    CardError
        There is no card to read.
    UsageError
        The folder lies on the card, or holds it.
    OutputError
        The folder cannot be made, or has too little room.
    Stopped
        As asked. What is copied and verified stays.
    """
    listing = list_everything(card_root)
    check_apart(card_root, folder)
    if real(folder) in real(card_root).parents:
        msg = f"{shown(folder)} holds the card's folder itself; choose a folder of its own for the copy."
        raise UsageError(msg)
    jobs = [Job(entry.path, entry.path, entry.size) for entry in listing.files]
    check_room(jobs, folder)
    make_folders(card_root, folder, listing.folders)
    tally = Tally(failed=list(listing.refused))
    yield from copy_jobs(card_root, folder, jobs, tally, stop=stop)
    tally.failed += _changed_meanwhile(card_root, listing, tally)
    manifest = list_digests(folder, tally)
    yield CopyOutcome(
        copied=tally.copied,
        already=tally.already,
        failed=tuple(tally.failed),
        manifest=manifest,
        safe_to_wipe=not tally.failed and len(tally.digests) == len(jobs),
        size=tally.size,
    )


def copy_jobs(
    root: Path, folder: Path, jobs: list[Job], tally: Tally, *, stop: Stop
) -> Generator[CopyProgress, None, None]:
    """Copy files one after the other; a file that fails is listed, and the rest goes on where it can.

    Parameters
    ----------
    root : Path
        The card.
    folder : Path
        Where to copy to; folders inside are there already.
    jobs : list of Job
        The files.
    tally : Tally
        Filled as the work goes on.
    stop : callable
        Asked between pieces of files.

    Yields
    ------
    CopyProgress
        After each piece and after each file.

    Raises
    ------
    Stopped
        As asked.
    """
    total = sum(job.size for job in jobs)
    done = 0
    for number, job in enumerate(jobs):
        heed(stop)
        read = 0
        for piece in _copy_one(root, folder, job, tally, stop=stop):
            read += piece
            yield CopyProgress(number, len(jobs), done + read, total, job.path)
        done += job.size
        yield CopyProgress(number + 1, len(jobs), done, total, job.path)


def check_room(jobs: list[Job], folder: Path) -> None:
    """Refuse to start a copy that cannot fit.

    Parameters
    ----------
    jobs : list of Job
        The files; those already there need no room.
    folder : Path
        Where to copy to; it need not be there yet.

    Raises
    ------
    OutputError
        With figures.
    """
    there = real(folder)
    while not is_folder(there) and there != there.parent:
        there = there.parent
    needed = sum(job.size for job in jobs if not os.path.lexists(folder / job.target))
    try:
        free = shutil.disk_usage(there).free
    except OSError as error:
        msg = f"{shown(there)} cannot be asked for its free space: {cause(error)}."
        raise OutputError(msg) from error
    if needed > free:
        msg = (
            f"The copy needs {size(needed)}, and the disk that holds {shown(folder)} has {size(free)} free. "
            f"Free at least {size(needed - free)}, or choose another disk. Nothing was copied."
        )
        raise OutputError(msg)


def make_folders(root: Path, folder: Path, inside: Iterable[str] = ()) -> None:
    """Make the folders of a copy, and clear away what a killed copy left half-written in them.

    Parameters
    ----------
    root : Path
        The card.
    folder : Path
        The copy's own folder.
    inside : iterable of str
        Folders inside it, outer before inner.

    Raises
    ------
    OutputError
        One of them cannot be made.
    UsageError
        One of them is a link that leads to the card.
    """
    for place in (folder, *(folder / name for name in inside)):
        try:
            place.mkdir(parents=True, exist_ok=True)
            check_apart(root, place)
            clear_parts(place)
            flush_folder(place.parent)
        except OSError as error:
            msg = f"The folder {shown(place)} cannot be made or written: {cause(error)}."
            raise OutputError(msg) from error


def list_digests(folder: Path, tally: Tally) -> Path | None:
    """Write the list of digests of a copy.

    Parameters
    ----------
    folder : Path
        The copy's own folder.
    tally : Tally
        What was verified; gets an entry in `Tally.failed` where the list cannot be written.

    Returns
    -------
    Path or None
        The list; None where there is nothing to list, or it cannot be written.
    """
    if not tally.digests:
        return None
    try:
        return write_manifest(folder, tally.digests, taken=tally.digests)
    except OutputError as error:
        tally.failed.append(NotCopied(NAME, f"the list of digests is missing: {error}", unwritten=True))
        return None


def _copy_one(root: Path, folder: Path, job: Job, tally: Tally, *, stop: Stop) -> Generator[int, None, None]:
    if tally.hopeless:
        tally.failed.append(replace(tally.failed[-1], path=job.path))
        return
    try:
        verified = yield from verified_copy(root / job.path, folder / job.target, stop=stop)
    except CopyError as error:
        tally.failed.append(NotCopied(job.path, str(error), unwritten=not error.unread))
        if error.no_room or not is_folder(root):
            tally.hopeless = True
        return
    tally.digests[job.target] = verified.digest
    tally.size += verified.size
    tally.already += verified.already
    tally.copied += not verified.already


def _changed_meanwhile(root: Path, listing: Listing, tally: Tally) -> list[NotCopied]:
    """List the card again: cameras and other programs may have written since."""
    if tally.failed:
        return []
    try:
        now = list_everything(root)
    except CardError as error:
        return [NotCopied(".", f"whether anything was added meanwhile is not known: {error}")]
    before = set(listing.files)
    return [NotCopied(entry.path, CHANGED) for entry in now.files if entry not in before]
