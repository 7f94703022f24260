"""Frames and answers in the words of the truth file and of the report."""

from typing import Any


def told_frame(number: int = 1, **changes: Any) -> dict[str, Any]:
    """Give a frame of a truth file: a healthily lit night frame with nobody in it, but for the changes."""
    return {
        "path": f"DCIM/100NIGHT/NGT_{number:04}.JPG",
        "taken": f"2026-10-03T22:{number // 60:02}:{number % 60:02}.000",
        "setup": False,
        "subjects": [],
        "flashes": {"flash-left": 1.0, "flash-right": 0.98},
        "ambient": 0.001,
        "dark": False,
        "half_lit": False,
        "empty": not changes.get("subjects"),
        "damaged": False,
    } | changes


def told_subject(**changes: Any) -> dict[str, Any]:
    """Give a subject of a truth file: a fox in plain view."""
    return {
        "species": "fox",
        "box": [0.4, 0.4, 0.6, 0.6],
        "visible_area": 0.02,
        "inside": 1.0,
        "cut_by": [],
        "tonal_difference": 40.0,
    } | changes


def told_night(
    frames: list[dict[str, Any]], faults: tuple[tuple[str, str, str, bool], ...] = ()
) -> dict[str, Any]:
    """Give a truth file; a fault is its part, its kind, its start and whether it is minor."""
    names = ("component", "fault", "from", "minor")
    return {"frames": frames, "faults": [dict(zip(names, fault, strict=True)) for fault in faults]}


def said_frame(
    number: int = 1, *, box: list[float] | None = None, sure: float = 0.9, event: int = 1, **found: float
) -> dict[str, Any]:
    """Give a frame of a report, with findings and their confidence (``half_lit`` stands for ``half-lit``)."""
    return {
        "path": f"DCIM/100NIGHT/NGT_{number:04}.JPG",
        "findings": [
            {"kind": kind.replace("_", "-"), "confidence": level, "why": "because"}
            for kind, level in found.items()
        ],
        "subject": None if box is None else {"box": box, "confidence": sure, "cut_by": []},
        "unsure": False,
        "event": event,
        "light": {"ambient": 0.002, "flash-left": 0.97, "flash-right": None},
    }


def said_fault(component: str, fault: str, start: str | None, confidence: float) -> dict[str, Any]:
    """Give an entry of a report's diagnosis."""
    return {"component": component, "fault": fault, "from": start, "to": None, "confidence": confidence}
