"""An open data package of a card, by Camtrap DP 1.0.2 of Biodiversity Information Standards (TDWG).

Three tables and a description: the deployment (the rig, where and from when to when), its media (one row for each
frame) and observations (what was there, by event and by frame). Doi 10.5281/zenodo.10068759.

The standard's words are for animals, and this program tells only that something is there. So an event with a subject is
an animal only where the photographer gave it a tag; else it is not classified yet. A dark frame is unknown, never
blank: nobody can say that nothing was there.
"""

import json
import re
from collections.abc import Collection, Iterable
from datetime import UTC, datetime
from typing import Any

from triage import __version__
from triage.export.fault_words import LIKELY
from triage.export.privacy import names_people
from triage.export.report import BOX_DIGITS, CONFIDENCE_DIGITS, rounded, told_subject
from triage.export.tables import Cell, csv_bytes
from triage.export.taken_along import Export
from triage.export.words import shown
from triage.records.diagnosis import Part
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Frame
from triage.records.measurement import Box

VERSION = "1.0.2"
HOME = f"https://raw.githubusercontent.com/tdwg/camtrap-dp/{VERSION}/"
"""Where the standard publishes its schemas; a package names them by address, and nothing here fetches them."""

# All columns, also those never filled: a table without one of them is not valid.
DEPLOYMENTS = (
    "deploymentID", "locationID", "locationName", "latitude", "longitude", "coordinateUncertainty",
    "deploymentStart", "deploymentEnd", "setupBy", "cameraID", "cameraModel", "cameraDelay", "cameraHeight",
    "cameraDepth", "cameraTilt", "cameraHeading", "detectionDistance", "timestampIssues", "baitUse", "featureType",
    "habitat", "deploymentGroups", "deploymentTags", "deploymentComments",
)  # fmt: skip
MEDIA = (
    "mediaID", "deploymentID", "captureMethod", "timestamp", "filePath", "filePublic", "fileName", "fileMediatype",
    "exifData", "favorite", "mediaComments",
)  # fmt: skip
OBSERVATIONS = (
    "observationID", "deploymentID", "mediaID", "eventID", "eventStart", "eventEnd", "observationLevel",
    "observationType", "cameraSetupType", "scientificName", "count", "lifeStage", "sex", "behavior", "individualID",
    "individualPositionRadius", "individualPositionAngle", "individualSpeed", "bboxX", "bboxY", "bboxWidth",
    "bboxHeight", "classificationMethod", "classifiedBy", "classificationTimestamp", "classificationProbability",
    "observationTags", "observationComments",
)  # fmt: skip

CLASSIFIER = f"Card Triage {__version__}"
CLOCK = "Times are the camera's own clock, with one offset from UTC for the whole card."
GUESSED = "Nobody told the offset: it is the one whose hours fit the longitude."
WITHHELD = "The picture stays with its owner."

Row = dict[str, Cell]


def camtrap_dp(export: Export, *, gone: Collection[int] = ()) -> dict[str, bytes]:
    """Return the files of the package, but for the pictures.

    Parameters
    ----------
    export : Export
        What is exported, with a place and a zone.
    gone : collection of int
        `Frame.index` of keepers whose pictures cannot be read, and so are not in the package.

    Returns
    -------
    dict of str to bytes
        By name in the package's folder.

    Raises
    ------
    ValueError
        There is no place or no zone, without which no package is valid.
    """
    if export.place is None or export.zone is None:
        msg = "a data package needs a place and a zone"
        raise ValueError(msg)
    public = {frame.index for frame in export.shown_and_held()[0]} - set(gone)
    media = [_medium(export, frame, is_public=frame.index in public) for frame in export.triage.frames]
    return {
        "datapackage.json": _json(_package(export)),
        "deployments.csv": _table(DEPLOYMENTS, [_deployment(export)]),
        "media.csv": _table(MEDIA, media),
        "observations.csv": _table(OBSERVATIONS, _observations(export)),
    }


def media_path(frame: Frame) -> str:
    """Return where a frame's picture lies in the package.

    Parameters
    ----------
    frame : Frame
        Of the card.

    Returns
    -------
    str
        Made of its place in the order of exposure and of the harmless letters of its name, so that no name on a card
        can lead out of the package, and sorting by name sorts by time.
    """
    name = re.sub(r"[^A-Za-z0-9_-]+", "-", frame.name.rpartition(".")[0] or frame.name).strip("-")
    return f"media/{frame.index + 1:05d}_{name or 'frame'}.jpg"


def _json(value: dict[str, Any]) -> bytes:
    return (json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode(
        "utf-8", "replace"
    )


def _table(columns: tuple[str, ...], rows: Iterable[Row]) -> bytes:
    return csv_bytes(columns, [[row.get(column) for column in columns] for row in rows])


def _stamp(export: Export, moment: datetime) -> str:
    """Return a time with its zone and without a fraction, as the standard has it."""
    return moment.replace(microsecond=0, tzinfo=export.zone).isoformat()


def _deployment_id(export: Export) -> str:
    return f"card-{export.digest[:16]}"


def _event_id(export: Export, event: Event) -> str:
    return f"{_deployment_id(export)}-event-{event.id:04d}"


def _media_id(export: Export, frame: Frame) -> str:
    return f"{_deployment_id(export)}-{frame.index + 1:05d}"


def _package(export: Export) -> dict[str, Any]:
    assert export.place is not None  # noqa: S101 - `camtrap_dp` looked
    night = export.triage.night
    title = f"Camera records from {night.start:%Y-%m-%d} to {night.end:%Y-%m-%d}"
    step = export.place.step_deg
    return {
        "profile": f"{HOME}camtrap-dp-profile.json",
        "name": _deployment_id(export),
        "title": title,
        "description": _description(export),
        "created": export.made.astimezone(UTC).isoformat(timespec="seconds"),
        "contributors": [{"title": "Not named", "role": "contributor"}],
        "project": {
            "title": title,
            "samplingDesign": "targeted",
            "captureMethod": ["activityDetection"],
            "individualAnimals": False,
            "observationLevel": ["media", "event"],
        },
        **({} if step is None else {"coordinatePrecision": step}),
        "spatial": {"type": "Point", "coordinates": [float(export.place.lon), float(export.place.lat)]},
        "temporal": {"start": f"{night.start:%Y-%m-%d}", "end": f"{night.end:%Y-%m-%d}"},
        "taxonomic": [],
        "resources": [
            {
                "name": name,
                "path": f"{name}.csv",
                "profile": "tabular-data-resource",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "schema": f"{HOME}{name}-table-schema.json",
            }
            for name in ("deployments", "media", "observations")
        ],
    }


def _description(export: Export) -> str:
    said = [
        "One still camera beside an animal's path, tripped by a sensor.",
        "What was seen was worked out by a program that tells that something is there, not what.",
        "Where a person gave tags, they stand in observationTags.",
    ]
    if export.place is not None and export.place.step_deg is not None:
        said.append(
            f"The place is generalised: rounded to {export.place.step_deg:g} degrees, about "
            f"{export.place.uncertainty_m} m; the exact one is withheld, since the site may be sensitive."
        )
    said.append(
        "Pictures of people are in it, as its owner asked for."
        if export.with_people
        else "Pictures of people, and all that nobody chose, are withheld; filePublic is false for them."
    )
    return " ".join(said)


def _deployment(export: Export) -> Row:
    assert export.place is not None  # noqa: S101 - `camtrap_dp` looked
    triage, place = export.triage, export.place
    capture = triage.frames[0].capture
    wrong = any(fault.part is Part.CLOCK and fault.confidence >= LIKELY for fault in triage.faults)
    moments = [frame.time for frame in triage.frames]
    return {
        "deploymentID": _deployment_id(export),
        "locationName": None if export.site is None else shown(export.site),
        "latitude": place.lat,
        "longitude": place.lon,
        "coordinateUncertainty": place.uncertainty_m,
        "deploymentStart": _stamp(export, min(triage.night.start, *moments)),
        "deploymentEnd": _stamp(export, max(triage.night.end, *moments)),
        "cameraModel": _camera(capture.make, capture.model),
        "timestampIssues": "true" if wrong else "false",
        "deploymentComments": CLOCK if export.is_zone_told else f"{CLOCK} {GUESSED}",
    }


def _camera(make: str | None, model: str | None) -> str | None:
    """Return maker and model joined as the standard asks; many makers write their name into both."""
    if make and model and model.casefold().startswith(make.casefold()):
        model = model[len(make) :].strip()
    return "-".join(shown(word) for word in (make, model) if word) or None


def _medium(export: Export, frame: Frame, *, is_public: bool) -> Row:
    path = media_path(frame)
    said = "; ".join(
        f"{found.kind.value} {rounded(found.confidence, CONFIDENCE_DIGITS)}"
        for found in export.triage.judgements[frame.index].findings
    )
    comments = [said, "" if is_public else WITHHELD]
    return {
        "mediaID": _media_id(export, frame),
        "deploymentID": _deployment_id(export),
        "captureMethod": "activityDetection",
        "timestamp": _stamp(export, frame.time),
        "filePath": path,
        "filePublic": "true" if is_public else "false",
        "fileName": path.rpartition("/")[2],
        "fileMediatype": "image/jpeg",
        "exifData": _exif(frame),
        "favorite": "true" if export.kept(frame) else "false",
        "mediaComments": ". ".join(filter(None, comments)),
    }


def _exif(frame: Frame) -> str:
    """Return what the camera wrote of the exposure: nothing of the place, nor which body it was."""
    capture = frame.capture
    told = {
        "SubSecTimeOriginal": f"{frame.time.microsecond:06d}".rstrip("0") or None,
        "ExposureTime": capture.exposure_s,
        "FNumber": capture.f_number,
        "PhotographicSensitivity": capture.iso,
        "Flash": capture.flash,
    }
    return json.dumps({name: value for name, value in told.items() if value is not None})


def _observations(export: Export) -> list[Row]:
    rows = []
    for event in export.triage.events:
        rows.append(_event_row(export, event))
        rows += [_frame_row(export, event, export.triage.frames[index]) for index in event.frames]
    return rows


def _event_row(export: Export, event: Event) -> Row:
    judged = [export.triage.judgements[index] for index in event.frames]
    tags = export.tags_of(event)
    kind = _type(
        {EventKind.SUBJECT: "unclassified", EventKind.EMPTY: "blank"}.get(event.kind, "unknown"), tags
    )
    is_setup = event.kind is EventKind.SETUP
    row = _row(
        export,
        event,
        "human" if is_setup else kind,
        (event.kind.value, *tags),
        is_setup=is_setup,
        by_hand=bool(tags),
    )
    row["observationID"] = f"{_event_id(export, event)}-seen"
    row["observationLevel"] = "event"
    if row["observationType"] == "blank":
        row["classificationProbability"] = _least(judged, FindingKind.EMPTY)
    return row


def _frame_row(export: Export, event: Event, frame: Frame) -> Row:
    judged = export.triage.judgements[frame.index]
    tags = tuple(export.tags.get(frame.key, ()))
    is_setup = judged.has(FindingKind.SETUP)
    subject = None if judged.unsure else told_subject(judged)
    kind = "human" if is_setup else _type(_seen(judged, has_subject=subject is not None), tags)
    words = (*(found.kind.value for found in judged.findings), *tags)
    row = _row(export, event, kind, words, is_setup=is_setup, by_hand=bool(tags))
    moment = _stamp(export, frame.time)
    row |= {
        "observationID": f"{_media_id(export, frame)}-seen",
        "mediaID": _media_id(export, frame),
        "eventStart": moment,
        "eventEnd": moment,
        "observationLevel": "media",
    }
    if kind == "blank":
        row["classificationProbability"] = _least([judged], FindingKind.EMPTY)
    elif subject is not None:
        row |= _box(subject.box)
    return row


def _row(
    export: Export, event: Event, kind: str, words: Iterable[str], *, is_setup: bool, by_hand: bool
) -> Row:
    """Return what rows of events and of frames have in common."""
    return {
        "deploymentID": _deployment_id(export),
        "eventID": _event_id(export, event),
        "eventStart": _stamp(export, event.start),
        "eventEnd": _stamp(export, event.end),
        "observationType": kind,
        "cameraSetupType": "setup" if is_setup else None,
        "classificationMethod": "human" if by_hand else "machine",
        "classifiedBy": None if by_hand else CLASSIFIER,
        "classificationTimestamp": None
        if by_hand
        else export.made.astimezone(UTC).isoformat(timespec="seconds"),
        "observationTags": " | ".join(shown(word).replace("|", "/") for word in dict.fromkeys(words)) or None,
    }


def _type(seen: str, tags: Iterable[str]) -> str:
    """Return the standard's word: what the photographer said goes first."""
    said = tuple(tags)
    if not said:
        return seen
    return "human" if names_people(said) else "animal"


def _seen(judged: Judgement, *, has_subject: bool) -> str:
    if judged.has(FindingKind.EMPTY):
        return "blank"
    if judged.has(FindingKind.DAMAGED) or has_subject:
        return "unclassified"
    return "unknown"


def _least(judged: Iterable[Judgement], kind: FindingKind) -> float | None:
    said = [found.confidence for one in judged for found in one.findings if found.kind is kind]
    return rounded(min(said), CONFIDENCE_DIGITS) if said else None


def _box(box: Box) -> Row:
    """Return a box by its upper left corner and its size, which must not be nothing nor lead out of the picture."""
    least = 10.0**-BOX_DIGITS
    x, y = (min(max(round(edge, BOX_DIGITS), 0.0), 1.0 - least) for edge in (box.x0, box.y0))
    width, height = (
        round(min(max(end - start, least), 1.0 - start), BOX_DIGITS)
        for start, end in ((x, box.x1), (y, box.y1))
    )
    return {
        "bboxX": round(x, BOX_DIGITS),
        "bboxY": round(y, BOX_DIGITS),
        "bboxWidth": width,
        "bboxHeight": height,
    }
