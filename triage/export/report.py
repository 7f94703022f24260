"""The report other programs rely on: one card's whole answer as JSON, the same bytes for the same answer."""

import json
import math
import re
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from triage.records.diagnosis import Fault, Part
from triage.records.event import Event, Travel
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Frame
from triage.records.measurement import Side, Subject
from triage.records.result import Triage
from triage.records.rig import FlashRecord, Outlook, RigReview

FORMAT = "triage-report"
VERSION = 1

CONFIDENCE_DIGITS = 3
LIGHT_DIGITS = 3
SPEED_DIGITS = 3
BOX_DIGITS = 4
SLOPE_DIGITS = 5
HOURS_DIGITS = 1

LONE_SURROGATE = re.compile("[\ud800-\udfff]")


def report(triage: Triage) -> dict[str, Any]:
    """Return the report of a card.

    Parameters
    ----------
    triage : Triage
        The whole answer.

    Returns
    -------
    dict
        Plain values only, keys in a fixed order. What cannot be told is None; no value is NaN.
    """
    return {
        "format": FORMAT,
        "version": VERSION,
        "card": _card(triage),
        "night": _night(triage),
        "frames": _frames(triage),
        "events": [_event(event, triage.frames) for event in triage.events],
        "diagnosis": [_fault(fault, triage.frames) for fault in triage.faults],
        "accounted": _accounted(triage),
        "rig": _rig(triage.review, triage.frames),
    }


def report_json(triage: Triage) -> str:
    """Return the report as text that can be written as UTF-8.

    Parameters
    ----------
    triage : Triage
        The whole answer.

    Returns
    -------
    str
        JSON, ended by a line break. Bytes of file names that are not UTF-8 appear as escaped lone surrogates,
        which Python's `json` and `os.fsencode` turn back into the name.
    """
    text = json.dumps(report(triage), ensure_ascii=False, allow_nan=False, indent=1)
    return LONE_SURROGATE.sub(lambda match: f"\\u{ord(match.group()):04x}", text) + "\n"


def camera_time(moment: datetime) -> str:
    """Return a camera time in ISO 8601 without zone, with milliseconds where there are any.

    Parameters
    ----------
    moment : datetime
        A zone, if any, is dropped.

    Returns
    -------
    str
        Such as ``2026-10-03T22:00:05.480``.
    """
    naive = moment.replace(tzinfo=None)
    return naive.isoformat(timespec="milliseconds" if naive.microsecond else "seconds")


def is_damaged(frame: Frame, judgement: Judgement) -> bool:
    """Whether a frame's file cannot be read whole.

    Parameters
    ----------
    frame : Frame
        The frame.
    judgement : Judgement
        What is said of it.

    Returns
    -------
    bool
        By either of them.
    """
    return frame.problem is not None or judgement.has(FindingKind.DAMAGED)


def rounded(value: float | None, digits: int) -> float | None:
    """Return a number fit for a report: None where it cannot be told, and never minus zero.

    Parameters
    ----------
    value : float or None
        Any number, NaN included.
    digits : int
        Decimals to keep.

    Returns
    -------
    float or None
        Finite.
    """
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), digits) + 0.0


def _taken(frame: Frame) -> datetime:
    return frame.capture.taken or frame.time


def optional_time(moment: datetime | None) -> str | None:
    """Return a camera time as `camera_time` does, or None.

    Parameters
    ----------
    moment : datetime or None
        None where it is not known.

    Returns
    -------
    str or None
        As given.
    """
    return None if moment is None else camera_time(moment)


def _paths(indexes: Iterable[int], frames: tuple[Frame, ...]) -> list[str]:
    return [frames[index].path for index in indexes]


def _card(triage: Triage) -> dict[str, Any]:
    card, frames = triage.card, triage.frames
    return {
        "root": card.root,
        "first": camera_time(_taken(frames[0])) if frames else None,
        "last": camera_time(_taken(frames[-1])) if frames else None,
        "frames": len(frames),
        "files": card.files,
        "bytes": card.size,
        "other_files": [entry.path for entry in card.left_out],
    }


def _night(triage: Triage) -> dict[str, Any]:
    night = triage.night
    sky = night.sky
    return {
        "start": camera_time(night.start),
        "end": camera_time(night.end),
        "setup_windows": [
            [camera_time(window.start), camera_time(window.end)] for window in night.setup_windows
        ],
        "setup_windows_source": night.setup_source.value,
        "sunset": optional_time(sky.sunset) if sky else None,
        "sunrise": optional_time(sky.sunrise) if sky else None,
        "moon_lit": rounded(sky.moon_lit, LIGHT_DIGITS) if sky else None,
        "summary": night.summary,
    }


def _frames(triage: Triage) -> list[dict[str, Any]]:
    event_of = triage.event_of()
    measured = [judgement.measurement for judgement in triage.judgements if judgement.measurement]
    parts = {part for measurement in measured for part in measurement.light.flashes}
    flashes = sorted(parts, key=[part.value for part in Part].index)
    return [
        _frame(frame, judgement, event=event_of.get(frame.index), flashes=flashes)
        for frame, judgement in zip(triage.frames, triage.judgements, strict=True)
    ]


def _frame(frame: Frame, judgement: Judgement, *, event: int | None, flashes: list[str]) -> dict[str, Any]:
    return {
        "path": frame.path,
        "files": [file.path for file in frame.files],
        "taken": camera_time(_taken(frame)),
        # The order of a wrong clock's frames is known, but not by how much it is wrong.
        "true_time": None,
        "findings": [
            {
                "kind": finding.kind.value,
                "confidence": rounded(finding.confidence, CONFIDENCE_DIGITS),
                "why": finding.why,
            }
            for finding in judgement.findings
        ],
        "subject": _subject(judgement),
        "unsure": judgement.unsure,
        "event": event,
        "light": _light(judgement, flashes),
    }


def told_subject(judgement: Judgement) -> Subject | None:
    """Return the subject, unless nothing stands out or the frame was found empty all the same.

    Parameters
    ----------
    judgement : Judgement
        Of one frame.

    Returns
    -------
    Subject or None
        With finite edges.
    """
    measurement = judgement.measurement
    if measurement is None or measurement.subject is None or judgement.has(FindingKind.EMPTY):
        return None
    subject = measurement.subject
    return subject if all(map(math.isfinite, _edges(subject))) else None


def _edges(subject: Subject) -> tuple[float, float, float, float]:
    box = subject.box
    return box.x0, box.y0, box.x1, box.y1


def _subject(judgement: Judgement) -> dict[str, Any] | None:
    subject = told_subject(judgement)
    if subject is None:
        return None
    return {
        "box": [rounded(edge, BOX_DIGITS) for edge in _edges(subject)],
        "confidence": rounded(subject.confidence, CONFIDENCE_DIGITS),
        "cut_by": [side.value for side in Side if side in subject.cut_by],
    }


def _light(judgement: Judgement, flashes: list[str]) -> dict[str, float | None]:
    """Return the light with the same keys for every frame of the card, damaged ones included."""
    light = judgement.measurement.light if judgement.measurement else None
    values: dict[str, float | None] = {"ambient": rounded(light.ambient if light else None, LIGHT_DIGITS)}
    for part in flashes:
        values[part] = rounded(light.flashes.get(part) if light else None, LIGHT_DIGITS)
    return values


def _event(event: Event, frames: tuple[Frame, ...]) -> dict[str, Any]:
    return {
        "id": event.id,
        "start": camera_time(event.start),
        "end": camera_time(event.end),
        "frames": _paths(event.frames, frames),
        "lead": frames[event.lead].path,
        "kind": event.kind.value,
        "travel": _travel(event.travel),
    }


def _travel(travel: Travel | None) -> dict[str, Any] | None:
    if travel is None:
        return None
    return {
        "toward": travel.toward.value if travel.toward else None,
        "widths_per_s": rounded(travel.widths_per_s, SPEED_DIGITS),
    }


def _fault(fault: Fault, frames: tuple[Frame, ...]) -> dict[str, Any]:
    return {
        "component": fault.part.value,
        "fault": fault.kind.value,
        "from": optional_time(fault.start),
        "to": optional_time(fault.end),
        "confidence": rounded(fault.confidence, CONFIDENCE_DIGITS),
        "evidence": _paths(fault.evidence, frames),
        "say": fault.say,
        "remedy": fault.remedy,
    }


def _accounted(triage: Triage) -> dict[str, Any]:
    damaged = sum(map(is_damaged, triage.frames, triage.judgements))
    return {
        "triaged": len(triage.frames) - damaged,
        "damaged": damaged,
        "ignored": [{"path": entry.path, "reason": entry.reason} for entry in triage.card.left_out],
    }


def _rig(review: RigReview, frames: tuple[Frame, ...]) -> dict[str, Any]:
    """Return what went right; ``healthy`` goes with the entries of ``diagnosis``, in their order."""
    framing = review.framing
    return {
        "flashes": [_flash(record) for record in review.flashes],
        "trips": {"all": review.trips, "subject": review.trips_with_subject, "empty": review.trips_empty},
        "visits": {"all": review.visits, "whole": review.visits_whole},
        "framing": None
        if framing is None
        else {"visits": framing.visits}
        | {
            name: rounded(getattr(framing, name), BOX_DIGITS)
            for name in ("across", "down", "turn_deg", "tilt_deg", "across_cm", "down_cm")
        },
        "notes": list(review.notes),
        "advice": list(review.advice),
        "untold": list(review.untold),
        "healthy": [None if index is None else frames[index].path for index in review.healthy],
    }


def _flash(record: FlashRecord) -> dict[str, Any]:
    return {
        "component": record.part.value,
        "asked": record.asked,
        "fired": record.fired,
        "given": rounded(record.given, LIGHT_DIGITS),
        "outlook": outlook_values(record.outlook),
    }


def outlook_values(outlook: Outlook | None) -> dict[str, Any] | None:
    """Return how a flash's output changed as plain values.

    Parameters
    ----------
    outlook : Outlook or None
        None where too little tells about it.

    Returns
    -------
    dict or None
        Rounded; what cannot be told is None.
    """
    if outlook is None:
        return None
    return {
        "now": rounded(outlook.now, LIGHT_DIGITS),
        "change_per_h": rounded(outlook.change_per_h, SLOPE_DIGITS),
        "interval_per_h": [rounded(end, SLOPE_DIGITS) for end in (outlook.low_per_h, outlook.high_per_h)],
        "hours_left": rounded(outlook.hours_left, HOURS_DIGITS),
        "hours_least": rounded(outlook.hours_least, HOURS_DIGITS),
    }
