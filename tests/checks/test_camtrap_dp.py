"""The data package for others against the published schemas of the standard, and what those schemas refuse.

The schemas lie in ../shared/reference/camtrap-dp (MIT licence, as its NOTICE says); where that folder is absent, the
checks by them skip. What is known of them here is checked in `tests/unit/export/test_camtrap_dp.py` all the same.
"""

import csv
import io
import json
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import jsonschema
import pytest
from frictionless import Package
from referencing import Registry, Resource

from tests.factories import make_triage
from triage.export.camtrap_dp import camtrap_dp
from triage.export.privacy import public_place
from triage.export.taken_along import Export
from triage.records.decision import Verdict

SCHEMAS = Path(__file__).resolve().parents[3] / "shared" / "reference" / "camtrap-dp"
STANDARD = "Camtrap DP 1.0.2 (TDWG), doi 10.5281/zenodo.10068759"
BY = "frictionless 5.21, which reads the schemas"
TABLES = ("deployments", "media", "observations")

pytestmark = pytest.mark.skipif(
    not SCHEMAS.is_dir(), reason="the standard's schemas are not here: shared/reference/camtrap-dp"
)


@pytest.fixture(scope="module")
def package():
    """Give the package of a small card: the operator, a visit of two frames tagged, an empty and a damaged frame."""
    triage = make_triage()
    keys = [frame.key for frame in triage.frames]
    return camtrap_dp(
        Export(
            triage=triage,
            digest="0123456789abcdef" * 2,
            made=datetime(2026, 10, 4, 9, 0, tzinfo=UTC),
            verdicts={keys[1]: Verdict.KEEP, keys[2]: Verdict.REJECT},
            tags={keys[1]: ("fox", 'odd | "tag", = 狐')},
            place=public_place(51.2345, -7.3456, 0.1),
            zone=timezone(timedelta(hours=2)),
        )
    )


def rows_of(package, table):
    return list(csv.DictReader(io.StringIO(package[f"{table}.csv"].decode("utf-8"), newline="")))


def validate(package, folder, table=None, row=0, *, drop=None, **changes):
    """Validate a package with one row changed, or one column left out; give what is wrong with it."""
    resources = []
    for name in TABLES:
        rows = rows_of(package, name)
        columns = list(rows[0])
        if name == table:
            rows[row] |= changes
            columns = [column for column in columns if column != drop]
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, columns, extrasaction="ignore")
            writer.writeheader()
            writer.writerows(rows)
        schema = json.loads((SCHEMAS / f"{name}-table-schema.json").read_text("utf-8"))
        resources.append(
            {"name": name, "path": f"{name}.csv", "profile": "tabular-data-resource", "schema": schema}
        )
    found = Package.from_descriptor({"name": "one", "resources": resources}, basepath=str(folder)).validate()
    return {kind for (kind,) in found.flatten(["type"])}


@pytest.mark.source("standard", STANDARD)
@pytest.mark.source("library", BY)
def test_the_package_is_valid(package, tmp_path):
    for name in TABLES:
        schema = json.loads((SCHEMAS / f"{name}-table-schema.json").read_text("utf-8"))
        (first, *_rest) = package[f"{name}.csv"].decode("utf-8").splitlines()
        assert first.split(",") == [field["name"] for field in schema["fields"]]
    assert validate(package, tmp_path) == set()


REFUSED = [
    ("observations", {"observationType": "setup"}, "constraint-error"),
    ("observations", {"observationLevel": "sequence"}, "constraint-error"),
    ("observations", {"cameraSetupType": "other"}, "constraint-error"),
    ("observations", {"count": "0"}, "constraint-error"),
    ("observations", {"bboxX": "1.2"}, "constraint-error"),
    ("observations", {"bboxWidth": "0"}, "constraint-error"),
    ("observations", {"mediaID": "nobody's"}, "foreign-key"),
    ("media", {"captureMethod": "motionDetection"}, "constraint-error"),
    ("media", {"deploymentID": "nobody's"}, "foreign-key"),
    ("media", {"timestamp": "2026-10-03T22:00:05"}, "type-error"),
    ("media", {"timestamp": "2026-10-03 22:00:05+02:00"}, "type-error"),
    ("media", {"timestamp": "2026-10-03T22:00:05.480+02:00"}, "type-error"),
    ("media", {"filePath": "../NGT_0001.JPG"}, "constraint-error"),
    ("media", {"filePath": "/card/NGT_0001.JPG"}, "constraint-error"),
    ("media", {"filePublic": ""}, "constraint-error"),
    ("media", {"filePublic": "yes"}, "type-error"),
    ("media", {"fileMediatype": "application/octet-stream"}, "constraint-error"),
    ("deployments", {"latitude": "95"}, "constraint-error"),
    ("deployments", {"coordinateUncertainty": "0"}, "constraint-error"),
    ("deployments", {"coordinateUncertainty": "12.5"}, "type-error"),
]
TAKEN = [
    ("media", {"captureMethod": ""}),
    ("media", {"timestamp": "2026-10-03T20:00:05Z"}),
    ("media", {"timestamp": "2026-10-03T22:00:05+0200"}),
    ("media", {"filePath": "E:\\DCIM\\100NIGHT\\NGT_0001.JPG"}),  # so the program must never write one
    ("media", {"filePublic": "1"}),
    ("media", {"fileMediatype": "image/x-canon-cr3"}),
    ("media", {"exifData": "no JSON"}),  # so the program must see to it itself
    ("observations", {"observationType": "vehicle"}),
]


@pytest.mark.source("standard", STANDARD)
@pytest.mark.source("library", BY)
@pytest.mark.parametrize(("table", "changes", "wrong"), REFUSED, ids=str)
def test_what_the_schemas_refuse_is_refused(package, tmp_path, table, changes, wrong):
    assert wrong in validate(package, tmp_path, table, **changes)


@pytest.mark.source("standard", STANDARD)
@pytest.mark.source("library", BY)
@pytest.mark.parametrize(("table", "changes"), TAKEN, ids=str)
def test_what_the_schemas_take_is_taken(package, tmp_path, table, changes):
    assert validate(package, tmp_path, table, **changes) == set()


@pytest.mark.source("standard", STANDARD)
@pytest.mark.source("library", BY)
def test_a_number_given_twice_and_a_column_left_out_are_refused(package, tmp_path):
    first = rows_of(package, "media")[0]["mediaID"]
    assert validate(package, tmp_path, "media", 1, mediaID=first) & {"primary-key", "unique-error"}
    for table, column in (("deployments", "cameraTilt"), ("media", "filePublic")):
        assert validate(package, tmp_path, table, drop=column) & {"missing-label", "incorrect-label"}


@pytest.mark.source(
    "standard", STANDARD + ", the profile; Data Package and GeoJSON, which it names by address, in outline"
)
@pytest.mark.source("library", "jsonschema 4.26, draft 4")
def test_the_description_is_valid_by_the_profile(package):
    outline = {
        "https://specs.frictionlessdata.io/schemas/data-package.json": {
            "required": ["resources"],
            "properties": {
                "name": {"pattern": "^([-a-z0-9._/])+$"},
                "resources": {"minItems": 1},
                "contributors": {"minItems": 1, "items": {"required": ["title"]}},
            },
        },
        "http://json.schemastore.org/geojson.json": {
            "required": ["type", "coordinates"],
            "properties": {"type": {"enum": ["Point", "Polygon"]}, "coordinates": {"minItems": 2}},
        },
    }
    known = Registry().with_resources(
        (address, Resource.from_contents({"$schema": "http://json-schema.org/draft-04/schema#"} | schema))
        for address, schema in outline.items()
    )
    profile = json.loads((SCHEMAS / "camtrap-dp-profile.json").read_text("utf-8"))
    judge = jsonschema.Draft4Validator(profile, registry=known)
    told = json.loads(package["datapackage.json"])
    assert list(judge.iter_errors(told)) == []
    for broken in (
        {"project": {}},
        {"resources": told["resources"][:2]},
        {"temporal": {"start": "2026-10-03"}},
    ):
        assert list(judge.iter_errors(told | broken))


@pytest.mark.source(
    "standard", STANDARD + ": fileName sorts by time; eventStart to eventEnd; one row for an event"
)
def test_names_sort_by_time_and_events_are_counted_once(package):
    media, seen = rows_of(package, "media"), rows_of(package, "observations")
    assert [
        row["fileName"] for row in sorted(media, key=lambda row: (row["timestamp"], row["fileName"]))
    ] == [row["fileName"] for row in media]
    assert all(row["eventStart"] <= row["eventEnd"] for row in seen)
    events = [row["eventID"] for row in seen if row["observationLevel"] == "event"]
    assert len(events) == len(set(events)) == 4
    assert all(json.loads(row["exifData"]) is not None for row in media)


@pytest.mark.source(
    "standard", STANDARD + ": setup is no type of observation; what a dark frame showed nobody can say"
)
def test_the_trades_words_become_the_standards(package):
    by_frame = {
        row["mediaID"][-5:]: row
        for row in rows_of(package, "observations")
        if row["observationLevel"] == "media"
    }
    assert (by_frame["00001"]["observationType"], by_frame["00001"]["cameraSetupType"]) == ("human", "setup")
    assert by_frame["00002"]["observationType"] == "animal"
    assert by_frame["00003"]["observationType"] == "unclassified"
    assert by_frame["00004"]["observationType"] == "blank"
    assert by_frame["00005"]["observationType"] == "unclassified"
