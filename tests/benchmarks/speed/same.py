"""Whether a card says the same when it is measured from embedded previews."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.benchmarks.accuracy.boxes import overlap
from tests.benchmarks.speed.cards import night, with_preview
from triage.export.report import report_json
from triage.pipeline.run import run
from triage.pipeline.steps import Finished
from triage.records.result import Options

PREVIEW = (600, 400)


@dataclass(frozen=True, slots=True)
class Sameness:
    """How two reports of one night compare.

    Attributes
    ----------
    frames : int
        Frames compared.
    other_words : int
        Frames of which other words are said, or doubt in one and none in the other.
    boxes : int
        Frames outlined in both.
    overlap : float
        Of these boxes, mean.
    same_diagnosis : bool
        The same faults of the same parts.
    """

    frames: int
    other_words: int
    boxes: int
    overlap: float
    same_diagnosis: bool


def sameness(cache: Path) -> Sameness:
    """Triage the bundled night with and without previews, and compare."""
    plain, previews = cache / "same-plain", cache / "same-previews"
    for path in night():
        data = path.read_bytes()
        for root, content in ((plain, data), (previews, with_preview(data, PREVIEW))):
            target = root / "DCIM" / "100NIGHT" / path.name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
    return compared(_report(plain), _report(previews))


def _report(root: Path) -> dict[str, Any]:
    (triage,) = (step.triage for step in run(root, Options()) if isinstance(step, Finished))
    told: dict[str, Any] = json.loads(report_json(triage))
    return told


def compared(first: dict[str, Any], second: dict[str, Any]) -> Sameness:
    """Compare two reports of the same frames."""
    pairs = list(zip(first["frames"], second["frames"], strict=True))
    other = sum(_words(one) != _words(two) for one, two in pairs)
    overlaps = [
        overlap(tuple(one["subject"]["box"]), tuple(two["subject"]["box"]))
        for one, two in pairs
        if one["subject"] and two["subject"]
    ]
    faults = [
        {(fault["component"], fault["fault"]) for fault in each["diagnosis"]} for each in (first, second)
    ]
    mean = sum(overlaps) / len(overlaps) if overlaps else 0.0
    return Sameness(len(pairs), other, len(overlaps), mean, faults[0] == faults[1])


def _words(frame: dict[str, Any]) -> tuple[object, ...]:
    return (sorted(finding["kind"] for finding in frame["findings"]), frame["unsure"])
