"""Small records with known content, so that a test can say what must come out."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from triage.records.card import Card, CardFile, FileKind, LeftOut
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.event import Event, EventKind
from triage.records.finding import Finding, FindingKind, Judgement
from triage.records.frame import Capture, Frame
from triage.records.measurement import Box, Light, Measurement, Side, Subject
from triage.records.night import Night, SetupSource, Window
from triage.records.result import Triage

EVENING = datetime(2026, 10, 3, 17, 25, 10)
MIB = 1 << 20

MakeTriage = Callable[..., Triage]


def make_file(path: str, *, size: int = MIB, kind: FileKind | None = None) -> CardFile:
    """Return a card file whose kind follows from its name."""
    kinds = {
        "jpg": FileKind.JPEG,
        "heic": FileKind.HEIF,
        "nef": FileKind.RAW,
        "mov": FileKind.FILM,
        "wav": FileKind.SOUND,
        "xmp": FileKind.SIDECAR,
    }
    ending = path.rpartition(".")[2].lower()
    return CardFile(path, kind or kinds.get(ending, FileKind.OTHER), size, 1_790_000_000_000_000_000)


def make_frame(
    index: int,
    *,
    taken: datetime | None = None,
    names: tuple[str, ...] = (),
    problem: str | None = None,
    offset_min: int | None = None,
) -> Frame:
    """Return a frame; by default number `index` + 1 in the folder 100NIGHT, one minute after the one
    before."""
    moment = taken or EVENING + timedelta(minutes=index)
    paths = names or (f"DCIM/100NIGHT/NGT_{index + 1:04d}.JPG",)
    return Frame(
        index=index,
        key=f"{index:032x}",
        files=tuple(make_file(path) for path in paths),
        capture=Capture(taken=moment, offset_min=offset_min, file_number=index + 1),
        time=moment,
        problem=problem,
    )


def make_judgement(
    index: int, *kinds: FindingKind, subject: Subject | None = None, light: Light | None = None
) -> Judgement:
    """Return a judgement with a finding of each kind, said at 0.9."""
    findings = tuple(Finding(kind, 0.9, f"{kind.value}, with figures") for kind in kinds)
    if FindingKind.DAMAGED in kinds:
        return Judgement(index, findings, None)
    measured = Measurement(
        light=light or Light(0.01, {"flash-left": 1.0, "flash-right": 1.0}, 0.2),
        subject=subject,
        presence=subject.confidence if subject else 0.02,
        blind=0.05,
    )
    return Judgement(index, findings, measured)


def make_small_triage(root: str | Path = "/cards/night") -> Triage:
    """Return the answer for a card of five frames and six files.

    Frame 0 is the operator, 1 and 2 an animal's visit (2 cut by the left border, its right flash gone), 3 is
    empty, 4 damaged. Frame 1 has a raw file, and a text file is left out.
    """
    pair = ("DCIM/100NIGHT/NGT_0002.JPG", "DCIM/100NIGHT/NGT_0002.NEF")
    at = datetime(2026, 10, 3, 22, 0, 5, 480_000)
    frames = (
        make_frame(0, taken=EVENING),
        make_frame(1, taken=at, names=pair),
        make_frame(2, taken=at + timedelta(seconds=2)),
        make_frame(3, taken=datetime(2026, 10, 4, 1, 0)),
        make_frame(4, taken=datetime(2026, 10, 4, 6, 30), problem="the file ends too early"),
    )
    judgements = (
        make_judgement(0, FindingKind.SETUP),
        make_judgement(1, subject=Subject(Box(0.40, 0.50, 0.612345, 0.80), 0.98, ())),
        make_judgement(
            2,
            FindingKind.EDGE,
            FindingKind.HALF_LIT,
            subject=Subject(Box(0.0, 0.52, 0.2, 0.80), 0.99123, (Side.BOTTOM, Side.LEFT)),
            light=Light(0.01, {"flash-right": float("nan"), "flash-left": 0.98765}, 0.1),
        ),
        make_judgement(3, FindingKind.EMPTY),
        make_judgement(4, FindingKind.DAMAGED),
    )
    groups = tuple(frame.files for frame in frames)
    left_out = (LeftOut("readme.txt", "not a picture"),)
    return Triage(
        card=Card(str(root), groups, left_out, files=7, size=6 * MIB + 12),
        frames=frames,
        night=Night(
            start=EVENING,
            end=frames[-1].time,
            setup_windows=(Window(EVENING, EVENING + timedelta(minutes=10)),),
            setup_source=SetupSource.WORKED_OUT,
            sky=None,
            summary="One visit in 13 hours; the right flash stopped at 22:00.",
        ),
        judgements=judgements,
        events=(
            Event(1, frames[0].time, frames[0].time, (0,), 0, EventKind.SETUP),
            Event(2, frames[1].time, frames[2].time, (1, 2), 1, EventKind.SUBJECT),
            Event(3, frames[3].time, frames[3].time, (3,), 3, EventKind.EMPTY),
            Event(4, frames[4].time, frames[4].time, (4,), 4, EventKind.MIXED),
        ),
        faults=(
            Fault(
                Part.FLASH_RIGHT,
                FaultKind.STOPPED,
                start=frames[2].time,
                end=None,
                confidence=0.96,
                evidence=(2,),
                say="The right flash gave its last light at 22:00.",
                remedy="Put fresh cells into the right flash.",
            ),
        ),
    )


def make_triage(root: str | Path = "/cards/night", **changes: object) -> Triage:
    """Return `make_small_triage`, with fields of `Triage` replaced."""
    return replace(make_small_triage(root), **changes)  # type: ignore[arg-type]


def lay_out_card(root: Path, triage: Triage) -> dict[str, bytes]:
    """Write a file for every path a triage names, each with content of its own; return the contents by
    path."""
    paths = [file.path for frame in triage.frames for file in frame.files]
    paths += [entry.path for entry in triage.card.left_out]
    contents: dict[str, bytes] = {}
    for number, path in enumerate(paths):
        data = f"{path}\n".encode("utf-8", "surrogateescape") * (number * 997 + 1)
        target = root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
        contents[path] = data
    return contents
