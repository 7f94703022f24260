import json
import shutil
import subprocess
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage.export.sidecar import (
    ITEM,
    Remarks,
    UnmergeableError,
    clean,
    same_but_for_date,
    sidecar,
    xmp_date,
)

MADE = datetime(2026, 10, 4, 9, 0, tzinfo=UTC)
TAKEN = datetime(2026, 10, 3, 23, 14, 5, 120_000, tzinfo=timezone(timedelta(hours=2)))
REMARKS = Remarks(
    3, ("fox & <cub>", "狐", 'a "quoted" word'), "Came from the left.\nVisit 3 < 4 & 5.", TAKEN, MADE
)

FOREIGN = b"""<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:dc="http://purl.org/dc/elements/1.1/"
    xmlns:mine="http://example.org/mine/1.0/" xmp:Rating="5" xmp:Label="Ford" mine:Exposure="+0.70"
    xmp:CreateDate="2024-05-01T02:13:45">
   <dc:subject><rdf:Bag><rdf:li>badger</rdf:li><rdf:li>night</rdf:li></rdf:Bag></dc:subject>
   <dc:description><rdf:Alt><rdf:li xml:lang="x-default">Badger at the ford</rdf:li>
     <rdf:li xml:lang="de-DE">Dachs an der Furt</rdf:li></rdf:Alt></dc:description>
  </rdf:Description>
  <rdf:Description rdf:about="" xmlns:mine="http://example.org/mine/1.0/">
   <mine:Curve><rdf:Seq><rdf:li>0, 0</rdf:li><rdf:li>255, 255</rdf:li></rdf:Seq></mine:Curve>
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>
"""

needs_exiftool = pytest.mark.skipif(shutil.which("exiftool") is None, reason="exiftool is not here")
needs_exiv2 = pytest.mark.skipif(shutil.which("exiv2") is None, reason="exiv2 is not here")


def exiftool(path: Path) -> dict[str, Any]:
    """Read a sidecar with ExifTool; its exit code says nothing of damage, so the warnings are looked at."""
    told = subprocess.run(
        ["exiftool", "-j", "-G1", "-n", "-validate", "-warning", "-a", "-XMP:all", path],
        check=True,
        capture_output=True,
    )
    read: dict[str, Any] = json.loads(told.stdout)[0]
    return read


def exiv2(path: Path) -> tuple[dict[str, str], str]:
    """Read a sidecar with exiv2; its exit code says nothing of damage, so its complaints are returned too."""
    told = subprocess.run(["exiv2", "-PXkv", path], check=False, capture_output=True, text=True)
    values = dict(line.split(maxsplit=1) for line in told.stdout.splitlines() if line.startswith("Xmp."))
    return values, told.stderr


def keywords(data: bytes) -> list[str]:
    root = ET.fromstring(data)  # noqa: S314 - written by the test's own call
    subject = root.find(".//{http://purl.org/dc/elements/1.1/}subject")
    return [] if subject is None else [item.text or "" for item in subject.iter(ITEM)]


@needs_exiftool
@pytest.mark.source("tool", "ExifTool 12.57")
def test_exiftool_reads_back_what_was_said(tmp_path: Path) -> None:
    # An independent reader of ISO 16684-1.
    path = tmp_path / "NGT_0042.xmp"
    path.write_bytes(sidecar(REMARKS))
    read = exiftool(path)
    assert read["ExifTool:Validate"] in {"OK", "0 0 0"}
    assert "ExifTool:Warning" not in read
    assert read["XMP-xmp:Rating"] == 3
    assert read["XMP-xmp:CreateDate"] == "2026:10:03 23:14:05.120+02:00"
    assert read["XMP-photoshop:DateCreated"] == "2026:10:03 23:14:05.120+02:00"
    assert read["XMP-xmp:MetadataDate"] == "2026:10:04 09:00:00+00:00"
    assert read["XMP-dc:Subject"] == ["fox & <cub>", "狐", 'a "quoted" word']
    assert read["XMP-dc:Description"] == "Came from the left.\nVisit 3 < 4 & 5."


@needs_exiv2
@pytest.mark.source("tool", "exiv2 0.27.6")
def test_exiv2_reads_back_what_was_said(tmp_path: Path) -> None:
    # A second independent reader.
    path = tmp_path / "NGT_0042.xmp"
    path.write_bytes(sidecar(replace(REMARKS, description="Came from the left.")))
    read, complaints = exiv2(path)
    assert complaints == ""
    assert read["Xmp.xmp.Rating"] == "3"
    assert read["Xmp.dc.subject"] == 'fox & <cub>, 狐, a "quoted" word'
    assert read["Xmp.dc.description"] == 'lang="x-default" Came from the left.'
    assert read["Xmp.photoshop.DateCreated"] == "2026-10-03T23:14:05.120+02:00"


@needs_exiftool
@needs_exiv2
@pytest.mark.parametrize("rating", [-1, 0, 1, 5])
@pytest.mark.source("standard", "ISO 16684-1, xmp:Rating")
def test_every_rating_survives_the_way_rejected_included(tmp_path: Path, rating: int) -> None:
    # xmp:Rating: -1 or 0 to 5, -1 meaning rejected (ISO 16684-1).
    path = tmp_path / "NGT_0042.xmp"
    path.write_bytes(sidecar(replace(REMARKS, rating=rating)))
    assert exiftool(path)["XMP-xmp:Rating"] == rating
    assert exiv2(path)[0]["Xmp.xmp.Rating"] == str(rating)


@needs_exiftool
@needs_exiv2
def test_the_readers_find_damage_though_their_exit_code_does_not(tmp_path: Path) -> None:
    """The control: the two tests above would notice a sidecar that is cut short."""
    path = tmp_path / "NGT_0042.xmp"
    path.write_bytes(sidecar(REMARKS)[:-60])
    assert "ExifTool:Warning" in exiftool(path)
    assert exiv2(path)[1] != ""


@needs_exiftool
def test_exiftool_finds_the_sidecar_beside_its_picture(tmp_path: Path) -> None:
    (tmp_path / "NGT_0042.xmp").write_bytes(sidecar(REMARKS))
    (tmp_path / "NGT_0042.JPG").write_bytes(b"")
    told = subprocess.run(
        ["exiftool", "-s3", "-Rating", "-srcfile", "%d%f.xmp", tmp_path / "NGT_0042.JPG"],
        check=True,
        capture_output=True,
        text=True,
    )
    assert told.stdout.strip() == "3"


@needs_exiftool
def test_no_place_is_in_a_sidecar(tmp_path: Path) -> None:
    path = tmp_path / "NGT_0042.xmp"
    path.write_bytes(sidecar(REMARKS))
    names = {name.partition(":")[2] for name in exiftool(path)}
    assert not {name for name in names if "GPS" in name or "Location" in name or name in {"City", "Country"}}


def test_the_same_remarks_give_the_same_bytes() -> None:
    assert sidecar(REMARKS) == sidecar(REMARKS)
    assert sidecar(REMARKS, FOREIGN) == sidecar(REMARKS, FOREIGN)


def test_merging_is_not_swayed_by_what_was_merged_before() -> None:
    other = FOREIGN.replace(b"mine:", b"theirs:").replace(b"xmlns:mine", b"xmlns:theirs")
    before = sidecar(REMARKS, FOREIGN)
    sidecar(REMARKS, other)
    assert sidecar(REMARKS, FOREIGN) == before


def test_what_was_in_the_cards_own_sidecar_survives() -> None:
    merged = sidecar(REMARKS, FOREIGN)
    text = merged.decode()
    assert 'mine:Exposure="+0.70"' in text
    assert 'xmlns:mine="http://example.org/mine/1.0/"' in text
    assert "<rdf:li>255, 255</rdf:li>" in text
    assert 'xmp:Label="Ford"' in text
    assert 'xmp:CreateDate="2024-05-01T02:13:45"' in text
    assert "Dachs an der Furt" in text
    assert "Badger at the ford\nCame from the left." in text
    assert keywords(merged) == ["badger", "night", "fox & <cub>", "狐", 'a "quoted" word']


def test_a_rating_of_the_photographers_own_stands_but_unrated_and_rejected_do_not() -> None:
    assert 'xmp:Rating="5"' in sidecar(REMARKS, FOREIGN).decode()
    for rating in (b"0", b"-1", b"many"):
        merged = sidecar(REMARKS, FOREIGN.replace(b'Rating="5"', b'Rating="' + rating + b'"')).decode()
        assert "<xmp:Rating>3</xmp:Rating>" in merged
        assert "xmp:Rating=" not in merged


def test_merging_twice_adds_nothing_twice() -> None:
    once = sidecar(REMARKS, FOREIGN)
    twice = sidecar(REMARKS, once)
    assert keywords(twice) == keywords(once)
    assert twice.count(b"Came from the left.") == 1
    assert sidecar(REMARKS, twice) == twice


@needs_exiftool
@needs_exiv2
@pytest.mark.source("tool", "ExifTool 12.57 and exiv2 0.27.6")
def test_a_merged_sidecar_is_read_by_both_readers(tmp_path: Path) -> None:
    path = tmp_path / "NGT_0042.xmp"
    path.write_bytes(sidecar(REMARKS, FOREIGN))
    read = exiftool(path)
    assert "ExifTool:Warning" not in read
    assert read["XMP-xmp:Rating"] == 5
    assert read["XMP-dc:Description-de-DE"] == "Dachs an der Furt"
    assert read["XMP-mine:Exposure"] in {"+0.70", 0.7}
    values, complaints = exiv2(path)
    assert complaints == ""
    assert values["Xmp.xmp.Label"] == "Ford"


def test_a_packet_without_a_wrapper_a_keyword_written_plainly_and_other_prefixes_are_merged() -> None:
    plain = b"""<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
        <rdf:Description rdf:about="" xmlns:d="http://purl.org/dc/elements/1.1/" d:description="Old words"
            xmlns:dc="http://example.org/not-dublin/" dc:colour="red">
        <d:subject>badger</d:subject><!-- a remark --></rdf:Description></rdf:RDF>"""
    merged = sidecar(REMARKS, plain)
    assert keywords(merged)[0] == "badger"
    assert b"Old words\nCame from the left." in merged
    assert b'="http://example.org/not-dublin/"' in merged
    assert b':colour="red"' in merged
    assert b"<!-- a remark -->" in merged


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "not well-formed"),
        (b"not XML at all", "not well-formed"),
        (FOREIGN[:400], "not well-formed"),
        (b"<html/>", "holds no XMP"),
        (b'<!DOCTYPE x [<!ENTITY a "aa">]><x>&a;</x>', "declares a document type"),
        ('<!DOCTYPE x [<!ENTITY a "aa">]><x>&a;</x>'.encode("utf-16"), "declares a document type"),
        (b'<?xml version="1.0" encoding="no-such-code"?><x/>', "not well-formed"),
    ],
    ids=["empty", "text", "cut short", "other XML", "entities", "entities in UTF-16", "unknown code"],
)  # fmt: skip
def test_what_is_not_xmp_cannot_be_merged(data: bytes, words: str) -> None:
    with pytest.raises(UnmergeableError, match=words):
        sidecar(REMARKS, data)


def test_a_sidecar_without_time_or_words_leaves_them_out() -> None:
    bare = sidecar(Remarks(3, (), "", None, MADE)).decode()
    for name in ("CreateDate", "DateCreated", "subject", "description"):
        assert name not in bare


def test_only_the_date_of_making_may_differ_for_two_to_be_the_same() -> None:
    one = sidecar(REMARKS)
    assert same_but_for_date(one, sidecar(replace(REMARKS, made=MADE + timedelta(days=1))))
    assert not same_but_for_date(one, sidecar(replace(REMARKS, keywords=("fox",))))
    assert not same_but_for_date(one, b"")


@given(st.lists(st.text(), max_size=4), st.text())
def test_any_words_give_well_formed_xml_and_come_back(words: Sequence[str], description: str) -> None:
    # W3C XML 1.0 as the standard library's parser reads it; line ends are made alike by XML itself (2.11).
    data = sidecar(Remarks(3, tuple(words), description, TAKEN, MADE))
    meant = dict.fromkeys(clean(word).strip() for word in words)
    assert keywords(data) == [word.replace("\r\n", "\n").replace("\r", "\n") for word in meant if word]


@given(st.datetimes(timezones=st.sampled_from([None, UTC, timezone(timedelta(hours=-3, minutes=-30))])))
def test_dates_are_iso_8601_with_the_zone_where_it_is_known(moment: datetime) -> None:
    read = datetime.fromisoformat(xmp_date(moment))
    assert read.utcoffset() == moment.utcoffset()
    assert timedelta(0) <= moment - read < timedelta(milliseconds=1)
