"""Handing the keepers over for editing: every file of each kept frame, verified, with a sidecar beside it."""

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from pathlib import Path

from triage.export.copying import Job, Tally, check_room, copy_jobs, list_digests, make_folders
from triage.export.listing import check_apart
from triage.export.naming import file_names, stems
from triage.export.outcome import CopyProgress, NotCopied
from triage.export.placing import flush_folder, open_part, place_new, write_whole
from triage.export.sidecar import Remarks, UnmergeableError, same_but_for_date, sidecar
from triage.export.verified import Stop, heed, never
from triage.export.words import cause, count, size
from triage.records.card import CardFile, FileKind
from triage.records.decision import Verdict
from triage.records.event import Event
from triage.records.finding import Finding, FindingKind
from triage.records.frame import Frame

KEPT_RATING = 3
"""Stars of a keeper: above unrated, with room above it for the photographer's own choice; chosen here."""

SAID_FROM = 0.5
"""Findings below this confidence are not handed on; chosen here."""

LARGEST_SIDECAR = 16 << 20
"""Bytes; a larger one is no sidecar a camera or editor wrote, and is copied as it is. Chosen here."""

KEYWORDS: dict[FindingKind, str] = {
    FindingKind.SETUP: "at the rig",
    FindingKind.DARK: "dark",
    FindingKind.HALF_LIT: "half-lit",
    FindingKind.DIM: "dim",
    FindingKind.EDGE: "cut by the frame",
    FindingKind.SOFT: "soft",
    FindingKind.FOGGED: "fogged",
    FindingKind.CLIPPED: "burnt out",
}
"""Words for an editor to filter by; `empty` says nothing of use on a keeper, and `damaged` the editor sees
itself."""


@dataclass(frozen=True, slots=True)
class Keepers:
    """What is to be handed over.

    Attributes
    ----------
    root : Path
        The card; it is only read.
    frames : tuple of Frame
        All frames of the card; the kept ones are picked by their verdict.
    events : tuple of Event
        All events of the card.
    verdicts : mapping of str to Verdict
        By `Frame.key`.
    made : datetime
        Aware; written into the sidecars as their date.
    tags : mapping of str to sequence of str
        By `Frame.key`.
    notes : mapping of str to str
        By `Frame.key`.
    findings : mapping of int to sequence of Finding
        By `Frame.index`.
    """

    root: Path
    frames: tuple[Frame, ...]
    events: tuple[Event, ...]
    verdicts: Mapping[str, Verdict]
    made: datetime
    tags: Mapping[str, Sequence[str]] = field(default_factory=dict)
    notes: Mapping[str, str] = field(default_factory=dict)
    findings: Mapping[int, Sequence[Finding]] = field(default_factory=dict)

    def kept(self) -> tuple[Frame, ...]:
        """Return the kept frames in order of exposure."""
        return tuple(frame for frame in self.frames if self.verdicts.get(frame.key) is Verdict.KEEP)


@dataclass(frozen=True, slots=True)
class KeepersOutcome:
    """What came of handing keepers over.

    Attributes
    ----------
    frames : int
        Kept frames.
    copied, already : int
        Files copied now, and found copied before; each was read back and compared.
    failed : tuple of NotCopied
        Files missing from the folder.
    sidecars : int
        Sidecars written now.
    sidecars_left : tuple of str
        Names of sidecars that were there already with other contents, and were left as they are.
    manifest : Path or None
        The list of digests of the pictures and the files that ride along; sidecars are not in it, since
        editors change them.
    size : int
        Bytes verified.
    """

    frames: int
    copied: int
    already: int
    failed: tuple[NotCopied, ...]
    sidecars: int
    sidecars_left: tuple[str, ...]
    manifest: Path | None
    size: int

    @property
    def complete(self) -> bool:
        """Whether every file of every kept frame is there, verified."""
        return not self.failed

    @property
    def say(self) -> str:
        """The outcome in a sentence or two."""
        if not self.frames:
            return "No frame is kept yet, so there is nothing to hand over."
        verified = count(self.copied + self.already, "file")
        said = (
            f"{count(self.frames, 'keeper')}: {verified} ({size(self.size)}) copied, read back and compared"
        )
        if self.already:
            said += f", {self.already} of them by an earlier run"
        said += f"; {count(self.sidecars, 'sidecar')} written."
        if self.sidecars_left:
            said += f" {count(len(self.sidecars_left), 'sidecar')} already there left as edited."
        if self.failed:
            said += f" {count(len(self.failed), 'file')} could not be handed over."
        return said


def hand_over(
    keepers: Keepers, folder: Path, *, stop: Stop = never
) -> Iterator[CopyProgress | KeepersOutcome]:
    """Copy all files of each kept frame, verified, and write a sidecar beside them; never overwrite.

    Parameters
    ----------
    keepers : Keepers
        What to hand over.
    folder : Path
        Where to; made where it is not there.
    stop : callable
        Asked between pieces of files; true stops the work.

    Yields
    ------
    CopyProgress or KeepersOutcome
        Progress, and the outcome last.

    Raises
    ------
    UsageError
        The folder lies on the card.
    OutputError
        The folder cannot be made or has too little room.
    Stopped
        As asked. What is copied and verified stays.
    """
    check_apart(keepers.root, folder)
    kept = keepers.kept()
    tally = Tally()
    sidecars = _Sidecars()
    if kept:
        named = stems(keepers.frames, keepers.events)
        plans = [_plan(keepers, frame, named[frame.index]) for frame in kept]
        jobs = [job for plan in plans for job in plan.jobs]
        check_room(jobs, folder)
        make_folders(keepers.root, folder)
        yield from copy_jobs(keepers.root, folder, jobs, tally, stop=stop)
        for plan in plans:
            heed(stop)
            _write_sidecar(folder, plan, sidecars, tally)
    yield KeepersOutcome(
        frames=len(kept),
        copied=tally.copied,
        already=tally.already,
        manifest=list_digests(folder, tally),
        failed=tuple(tally.failed),
        sidecars=sidecars.written,
        sidecars_left=tuple(sidecars.left),
        size=tally.size,
    )


@dataclass(frozen=True, slots=True)
class _Plan:
    """One frame: files to copy as they are, and what its sidecar holds."""

    jobs: tuple[Job, ...]
    path: str
    name: str
    contents: bytes


@dataclass(slots=True)
class _Sidecars:
    written: int = 0
    left: list[str] = field(default_factory=list)


def _plan(keepers: Keepers, frame: Frame, stem: str) -> _Plan:
    """Decide what happens to each file of a frame, its own sidecar being merged where that can be done."""
    names = file_names(frame, stem)
    name = f"{stem}.xmp"
    own = next((file for file in frame.files if names[file.path].casefold() == name.casefold()), None)
    remarks = _remarks(keepers, frame)
    contents = _merged(keepers.root, own, remarks) if own else sidecar(remarks)
    if own and contents is None:
        # What cannot be merged is handed over untouched, under a name that an editor does not take for its
        # sidecar.
        names[own.path] = f"{stem}_{own.name}.original"
    jobs = [
        Job(file.path, names[file.path], file.size)
        for file in frame.files
        if file is not own or contents is None
    ]
    return _Plan(tuple(jobs), frame.path, name, contents or sidecar(remarks))


def _merged(root: Path, own: CardFile, remarks: Remarks) -> bytes | None:
    """Return the card's own sidecar with our remarks in it; None where it cannot be merged."""
    if own.kind is not FileKind.SIDECAR or own.size > LARGEST_SIDECAR:
        return None
    try:
        return sidecar(remarks, (root / own.path).read_bytes())
    except (OSError, UnmergeableError):
        return None  # then it is copied as it is, and a copy that fails is listed


def _remarks(keepers: Keepers, frame: Frame) -> Remarks:
    said = [
        finding
        for finding in keepers.findings.get(frame.index, ())
        if finding.confidence >= SAID_FROM and finding.kind in KEYWORDS
    ]
    event = next((event for event in keepers.events if frame.index in event.frames), None)
    sentences = [keepers.notes.get(frame.key, "")]
    if event:
        place = event.frames.index(frame.index) + 1
        sentences.append(
            f"Visit {event.id}, begun {event.start:%Y-%m-%d %H:%M:%S} camera time, "
            f"frame {place} of {len(event.frames)}."
        )
    sentences += [f"{finding.kind.value}: {finding.why}" for finding in said]
    return Remarks(
        rating=KEPT_RATING,
        keywords=(*keepers.tags.get(frame.key, ()), *(KEYWORDS[finding.kind] for finding in said)),
        description="\n".join(filter(None, sentences)),
        taken=_taken(frame),
        made=keepers.made,
    )


def _taken(frame: Frame) -> datetime | None:
    """Return the camera's own time, with its zone where the camera recorded one."""
    capture = frame.capture
    if capture.taken is None or capture.offset_min is None:
        return capture.taken
    return capture.taken.replace(tzinfo=timezone(timedelta(minutes=capture.offset_min)))


def _write_sidecar(folder: Path, plan: _Plan, sidecars: _Sidecars, tally: Tally) -> None:
    """Write a sidecar under a name not taken yet; one that is there may have been edited since."""
    target = folder / plan.name
    try:
        if os.path.lexists(target):
            if not same_but_for_date(target.read_bytes(), plan.contents):
                sidecars.left.append(plan.name)
            return
        _write_new(target, plan.contents)
        sidecars.written += 1
    except OSError as error:
        reason = f"its sidecar {plan.name} cannot be written: {cause(error)}"
        tally.failed.append(NotCopied(plan.path, reason, unwritten=True))


def _write_new(target: Path, data: bytes) -> None:
    descriptor, part = open_part(target.parent)
    try:
        try:
            write_whole(descriptor, data)
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        place_new(part, target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    flush_folder(target.parent)
