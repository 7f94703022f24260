"""What leaves the program - copies, lists of digests, sidecars - read back by independent programs.

Sidecars one by one, with foreign ones merged, are read back in `tests/unit/export/test_sidecar.py`; lists of digests
with odd names in `tests/unit/export/test_manifest.py`. Here it is whole folders, as a photographer gets them.
"""

import hashlib
import shutil
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests import factories_files as files
from triage.events.group import group_by_time
from triage.export.copying import copy_card
from triage.export.keepers import Keepers, hand_over
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.ingest.order import order_frames
from triage.records.decision import Verdict
from triage.records.finding import Finding, FindingKind

NIGHT = datetime(2026, 10, 3, 22, 14, 5, 120_000)
MADE = datetime(2026, 10, 4, 9, 0, tzinfo=UTC)
TAGS = ("badger", "at <the> log & stone", "Füchsin", "狐")
NOTE = 'Second time this week: "came" from the left & stayed.'
OFFSET = "+02:00"


@pytest.fixture(scope="module")
def card(tmp_path_factory):
    """Give a card of four frames: a raw pair, two JPEGs, one rejected."""
    root = tmp_path_factory.mktemp("card")
    for number in range(1, 5):
        moment = NIGHT + timedelta(seconds=number)
        block = files.exif_block(moment, subsec="12", exif={0x9011: OFFSET})
        files.put(root, f"DCIM/100NIGHT/NGT_{number:04d}.JPG", files.jpeg(files.scene(seed=number), block))
    files.put(root, "DCIM/100NIGHT/NGT_0001.NEF", files.raw_dng())
    files.put(root, "MISC/notes\n& \\ more.txt", b"odd name")
    return root


@pytest.fixture(scope="module")
def handed(card, tmp_path_factory):
    """Give the folder that the keepers were handed to."""
    frames = order_frames(read_header(card, group) for group in list_card(card).groups)
    keepers = Keepers(
        root=card,
        frames=frames,
        events=group_by_time(frames),
        verdicts={frame.key: Verdict.REJECT if frame.index == 3 else Verdict.KEEP for frame in frames},
        made=MADE,
        tags={frames[0].key: TAGS},
        notes={frames[0].key: NOTE},
        findings={1: (Finding(FindingKind.EDGE, 0.9, "reaches the left border"),)},
    )
    folder = tmp_path_factory.mktemp("edit") / "keepers"
    *_, outcome = hand_over(keepers, folder)
    assert outcome.failed == ()
    return folder


def sidecars(folder) -> list[Path]:
    found = sorted(folder.rglob("*.xmp"))
    assert len(found) == 3
    return found


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.mark.source("tool", "ExifTool 12.57")
@pytest.mark.source(
    "standard", "ISO 16684-1: xmp:Rating, xmp:CreateDate, dc:subject as a bag, dc:description by language"
)
def test_exiftool_reads_every_sidecar_without_a_complaint(handed, exiftool):
    paths = sidecars(handed)
    told = exiftool(["-G1", "-n", "-validate", "-warning", "-a", "-XMP:all"], paths)
    for one in told:
        assert one["ExifTool:Validate"] in {"OK", "0 0 0"}
        assert "ExifTool:Warning" not in one
        assert 1 <= one["XMP-xmp:Rating"] <= 5
    first = told[0]
    assert set(TAGS) <= set(first["XMP-dc:Subject"])
    assert NOTE in first["XMP-dc:Description"]
    assert first["XMP-xmp:CreateDate"] == "2026:10:03 22:14:06.120+02:00"


@pytest.mark.source("tool", "exiv2 0.27.6")
@pytest.mark.source(
    "standard", "ISO 16684-1: xmp:Rating, xmp:CreateDate, dc:subject as a bag, dc:description by language"
)
def test_exiv2_reads_every_sidecar_without_a_complaint(handed, program, exiv2):
    paths = sidecars(handed)
    told = exiv2("Xkv", paths)
    for path in paths:
        done = subprocess.run([program("exiv2"), "-PXkv", path], check=True, capture_output=True)
        assert done.stderr == b""
        assert 1 <= int(told[path.name]["Xmp.xmp.Rating"]) <= 5
    first = told[paths[0].name]
    assert all(tag in first["Xmp.dc.subject"] for tag in TAGS)
    assert NOTE in first["Xmp.dc.description"]
    assert first["Xmp.xmp.CreateDate"] == "2026-10-03T22:14:06.120+02:00"


@pytest.mark.source("tool", "ExifTool 12.57, -srcfile: the sidecar beside its picture, by name")
def test_each_kept_picture_finds_its_own_sidecar(handed, program):
    pictures = sorted(handed.rglob("*.JPG"))
    assert len(pictures) == 3
    for number, picture in enumerate(pictures, start=1):
        words = [program("exiftool"), "-s3", "-XMP-xmp:CreateDate", "-srcfile", "%d%f.xmp", picture]
        done = subprocess.run(words, check=True, capture_output=True, text=True)
        assert done.stdout.strip() == f"2026:10:03 22:14:{5 + number:02d}.120+02:00"


@pytest.mark.source(
    "tool", "exiv2 0.27.6, -iX: takes the sidecar into the picture; ExifTool 12.57 then reads it there"
)
def test_a_sidecar_can_be_taken_into_its_picture_by_another_program(handed, tmp_path, program, exiftool):
    picture = sorted(handed.rglob("*.JPG"))[0]
    inside = tmp_path / picture.name
    shutil.copy(picture, inside)
    shutil.copy(picture.with_suffix(".xmp"), inside.with_suffix(".xmp"))
    subprocess.run([program("exiv2"), "-iX", "in", inside], check=True, capture_output=True)
    (told,) = exiftool(["-G1", "-n", "-XMP:all"], [inside])
    assert set(TAGS) <= set(told["XMP-dc:Subject"])


@pytest.mark.source(
    "standard",
    "Metadata Working Group, Guidelines for Handling Image Metadata 2.0: pictures stay as they are",
)
def test_the_pictures_handed_over_are_those_of_the_card_to_the_byte(card, handed):
    originals = {digest(path) for path in (card / "DCIM/100NIGHT").iterdir() if path.name != "NGT_0004.JPG"}
    copies = {digest(path) for path in handed.rglob("*") if path.suffix in {".JPG", ".NEF"}}
    assert copies == originals


def checked(tool, folder, manifest):
    words = [tool, "--strict", "--check", manifest.name]
    return subprocess.run(words, cwd=folder, check=False, capture_output=True)


@pytest.mark.source("tool", "GNU coreutils, sha256sum --check --strict")
def test_the_list_beside_a_copied_card_is_accepted_and_every_file_is_on_it(card, tmp_path, program):
    *_, outcome = copy_card(card, tmp_path / "copy")
    done = checked(program("sha256sum"), tmp_path / "copy", outcome.manifest)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.count(b": OK\n") == sum(path.is_file() for path in card.rglob("*"))


@pytest.mark.source("tool", "GNU coreutils, sha256sum --check --strict")
def test_the_list_beside_the_keepers_is_accepted_and_one_changed_byte_is_found(handed, tmp_path, program):
    folder = tmp_path / "keepers"
    shutil.copytree(handed, folder)
    (manifest,) = folder.glob("SHA256SUMS*")
    assert checked(program("sha256sum"), folder, manifest).returncode == 0
    picture = sorted(folder.rglob("*.JPG"))[0]
    data = bytearray(picture.read_bytes())
    data[len(data) // 2] ^= 1
    picture.write_bytes(data)
    done = checked(program("sha256sum"), folder, manifest)
    assert done.returncode == 1
    assert done.stdout.count(b"FAILED\n") == 1
