"""Plain tables of a card, for a spreadsheet: one row for each frame, and one for each event."""

import csv
import io
from collections import Counter
from collections.abc import Iterable, Sequence

from triage.export.report import (
    BOX_DIGITS,
    CONFIDENCE_DIGITS,
    LIGHT_DIGITS,
    camera_time,
    rounded,
    told_subject,
)
from triage.export.taken_along import Export
from triage.export.words import shown
from triage.records.event import Event
from triage.records.finding import Judgement
from triage.records.frame import Frame
from triage.records.measurement import Side

Cell = str | int | float | None

FLASHES = ("flash-left", "flash-right", "flash-3", "flash-link")
FRAME_COLUMNS = (
    "path", "files", "taken", "event", "decision", "tags", "findings", "unsure",
    "subject_confidence", "x0", "y0", "x1", "y1", "cut_by", "ambient", *FLASHES,
    "exposure_s", "f_number", "iso", "temperature_c",
)  # fmt: skip
EVENT_COLUMNS = ("id", "start", "end", "kind", "frames", "lead", "kept", "rejected", "tags", "findings")

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet takes a text that begins so for a formula, and works it out."""


def csv_bytes(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """Return a table as RFC 4180 has it: commas, quotes where needed, lines ended by carriage return and line feed.

    Parameters
    ----------
    columns : sequence of str
        Their names, the first line.
    rows : iterable of sequence
        None and the empty text leave a cell empty.

    Returns
    -------
    bytes
        UTF-8.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue().encode("utf-8", "replace")


def frames_csv(export: Export) -> bytes:
    """Return the table of frames.

    Parameters
    ----------
    export : Export
        What is exported.

    Returns
    -------
    bytes
        In order of exposure; `FRAME_COLUMNS`. Times are the camera's own.
    """
    triage, event_of = export.triage, export.triage.event_of()
    pairs = zip(triage.frames, triage.judgements, strict=True)
    return csv_bytes(
        FRAME_COLUMNS, [_frame(export, frame, judged, event_of.get(frame.index)) for frame, judged in pairs]
    )


def events_csv(export: Export) -> bytes:
    """Return the table of events.

    Parameters
    ----------
    export : Export
        What is exported.

    Returns
    -------
    bytes
        In order of time; `EVENT_COLUMNS`. Times are the camera's own.
    """
    return csv_bytes(EVENT_COLUMNS, [_event(export, event) for event in export.triage.events])


def plain(text: str) -> str:
    """Return a text that a spreadsheet shows and does not work out.

    Parameters
    ----------
    text : str
        From a person or a card.

    Returns
    -------
    str
        On one line, with an apostrophe before what would be a formula.
    """
    line = shown(text)
    return f"'{line}" if line.startswith(FORMULA) else line


def _frame(export: Export, frame: Frame, judged: Judgement, event: int | None) -> list[Cell]:
    subject = told_subject(judged)
    box = [None] * 4 if subject is None else [subject.box.x0, subject.box.y0, subject.box.x1, subject.box.y1]
    light = judged.measurement.light if judged.measurement else None
    verdict = export.verdicts.get(frame.key)
    capture = frame.capture
    return [
        plain(frame.path),
        plain(" ".join(file.name for file in frame.files)),
        camera_time(capture.taken or frame.time),
        event,
        verdict.value if verdict else None,
        plain("; ".join(export.tags.get(frame.key, ()))),
        "; ".join(
            f"{found.kind.value} {rounded(found.confidence, CONFIDENCE_DIGITS)}" for found in judged.findings
        ),
        "yes" if judged.unsure else "no",
        None if subject is None else rounded(subject.confidence, CONFIDENCE_DIGITS),
        *(rounded(edge, BOX_DIGITS) for edge in box),
        None if subject is None else "; ".join(side.value for side in Side if side in subject.cut_by),
        rounded(light.ambient if light else None, LIGHT_DIGITS),
        *(rounded(light.flashes.get(part) if light else None, LIGHT_DIGITS) for part in FLASHES),
        capture.exposure_s,
        capture.f_number,
        capture.iso,
        capture.temperature_c,
    ]


def _event(export: Export, event: Event) -> list[Cell]:
    frames = [export.triage.frames[index] for index in event.frames]
    decided = Counter(export.verdicts[frame.key].value for frame in frames if frame.key in export.verdicts)
    found = Counter(
        one.kind.value for index in event.frames for one in export.triage.judgements[index].findings
    )
    return [
        event.id,
        camera_time(event.start),
        camera_time(event.end),
        event.kind.value,
        len(frames),
        plain(export.triage.frames[event.lead].path),
        decided["keep"],
        decided["reject"],
        plain("; ".join(export.tags_of(event))),
        "; ".join(f"{kind} {number}" for kind, number in found.items()),
    ]
