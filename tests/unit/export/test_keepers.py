import hashlib
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.factories import lay_out_card, make_file
from triage.errors import Stopped, UsageError
from triage.export import keepers as keepers_module
from triage.export.keepers import Keepers, KeepersOutcome, hand_over
from triage.export.manifest import read_manifest
from triage.export.outcome import CopyProgress
from triage.records.decision import Verdict
from triage.records.result import Triage

MADE = datetime(2026, 10, 4, 9, 0, tzinfo=UTC)
FIRST = "2026-10-03_2200_visit-02-01_NGT_0002"
SECOND = "2026-10-03_2200_visit-02-02_NGT_0003"
PHOTOGRAPHERS = b"""<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:mine="http://example.org/mine/1.0/" mine:Exposure="+0.70"/>
</rdf:RDF></x:xmpmeta>"""


def outcome_of(steps: Iterator[CopyProgress | KeepersOutcome]) -> KeepersOutcome:
    *_progress, outcome = steps
    assert isinstance(outcome, KeepersOutcome)
    return outcome


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


@pytest.fixture
def triage(tmp_path: Path, make_triage: Callable[..., Triage]) -> Triage:
    """Give the small card with a sound and a sidecar beside the raw pair, laid out on disk."""
    small = make_triage(tmp_path / "card")
    pair = small.frames[1]
    riders = (make_file("DCIM/100NIGHT/NGT_0002.WAV"), make_file("DCIM/100NIGHT/NGT_0002.xmp"))
    frames = (small.frames[0], replace(pair, files=(*pair.files, *riders)), *small.frames[2:])
    triage = replace(small, frames=frames)
    lay_out_card(tmp_path / "card", triage)
    (tmp_path / "card" / "DCIM" / "100NIGHT" / "NGT_0002.xmp").write_bytes(PHOTOGRAPHERS)
    return triage


@pytest.fixture
def keepers(triage: Triage) -> Keepers:
    frames = triage.frames
    return Keepers(
        root=Path(triage.card.root),
        frames=frames,
        events=triage.events,
        verdicts={frames[1].key: Verdict.KEEP, frames[2].key: Verdict.KEEP, frames[3].key: Verdict.REJECT},
        made=MADE,
        tags={frames[1].key: ("raven",), frames[2].key: ("pine marten", "at <the> log & stone")},
        notes={frames[2].key: "Second time this week."},
        findings={judgement.index: judgement.findings for judgement in triage.judgements},
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "to edit"


def test_every_file_of_each_kept_frame_is_handed_over_and_nothing_else(
    keepers: Keepers, folder: Path
) -> None:
    outcome = outcome_of(hand_over(keepers, folder))
    assert sorted(contents(folder)) == sorted(
        [
            f"{FIRST}.JPG",
            f"{FIRST}.NEF",
            f"{FIRST}.WAV",
            f"{FIRST}.xmp",
            f"{SECOND}.JPG",
            f"{SECOND}.xmp",
            "SHA256SUMS",
        ]
    )
    assert (outcome.frames, outcome.copied, outcome.already, outcome.sidecars) == (2, 4, 0, 2)
    assert outcome.complete
    assert "2 keepers: 4 files" in outcome.say


def test_the_pictures_are_the_cards_own_to_the_byte_and_the_card_is_unchanged(
    keepers: Keepers, folder: Path
) -> None:
    before = contents(keepers.root)
    outcome_of(hand_over(keepers, folder))
    there = contents(folder)
    assert there[f"{FIRST}.NEF"] == before["DCIM/100NIGHT/NGT_0002.NEF"]
    assert there[f"{SECOND}.JPG"] == before["DCIM/100NIGHT/NGT_0003.JPG"]
    assert contents(keepers.root) == before


def test_pictures_are_listed_by_digest_and_sidecars_are_not(keepers: Keepers, folder: Path) -> None:
    outcome = outcome_of(hand_over(keepers, folder))
    there = contents(folder)
    assert outcome.manifest is not None
    assert read_manifest(outcome.manifest.read_bytes()) == {
        name: hashlib.sha256(there[name]).hexdigest()
        for name in (f"{FIRST}.JPG", f"{FIRST}.NEF", f"{FIRST}.WAV", f"{SECOND}.JPG")
    }


@pytest.mark.skipif(shutil.which("exiftool") is None, reason="exiftool is not here")
def test_an_editor_finds_rating_tags_findings_and_time_in_the_sidecar(keepers: Keepers, folder: Path) -> None:
    outcome_of(hand_over(keepers, folder))
    sidecars = sorted(folder.glob("*.xmp"))
    told = subprocess.run(
        [
            "exiftool",
            "-q",
            "-q",
            "-if",
            "$XMP:Rating >= 3",
            "-p",
            "$FileName|$Subject|$CreateDate",
            *sidecars,
        ],
        check=True,
        capture_output=True,
        text=True,
    )
    lines = sorted(told.stdout.splitlines())
    assert len(lines) == 2
    assert lines[0] == f"{FIRST}.xmp|raven|2026:10:03 22:00:05.480"
    assert lines[1] == (
        f"{SECOND}.xmp|pine marten, at <the> log & stone, cut by the frame, half-lit|2026:10:03 22:00:07.480"
    )


def test_the_description_tells_note_visit_and_findings(keepers: Keepers, folder: Path) -> None:
    outcome_of(hand_over(keepers, folder))
    text = (folder / f"{SECOND}.xmp").read_text("utf-8")
    assert "Second time this week." in text
    assert "Visit 2, begun 2026-10-03 22:00:05 camera time, frame 2 of 2." in text
    assert "edge: edge, with figures" in text


def test_a_time_zone_the_camera_recorded_is_handed_on(keepers: Keepers, folder: Path) -> None:
    frame = keepers.frames[2]
    zoned = replace(frame, capture=replace(frame.capture, offset_min=120))
    frames = (*keepers.frames[:2], zoned, *keepers.frames[3:])
    outcome_of(hand_over(replace(keepers, frames=frames), folder))
    assert "2026-10-03T22:00:07.480+02:00" in (folder / f"{SECOND}.xmp").read_text("utf-8")


def test_a_place_the_camera_recorded_is_not_put_into_the_sidecar(keepers: Keepers, folder: Path) -> None:
    frame = keepers.frames[2]
    placed = replace(frame, capture=replace(frame.capture, lat=51.123456, lon=-1.654321))
    outcome_of(hand_over(replace(keepers, frames=(*keepers.frames[:2], placed, *keepers.frames[3:])), folder))
    text = (folder / f"{SECOND}.xmp").read_text("utf-8")
    assert "51.1" not in text
    assert "GPS" not in text


def test_the_cards_own_sidecar_is_merged_with_its_foreign_values_kept(keepers: Keepers, folder: Path) -> None:
    outcome_of(hand_over(keepers, folder))
    text = (folder / f"{FIRST}.xmp").read_text("utf-8")
    assert 'mine:Exposure="+0.70"' in text
    assert "<xmp:Rating>3</xmp:Rating>" in text


@pytest.mark.parametrize("trouble", ["broken", "too large"])
def test_a_sidecar_that_cannot_be_merged_is_handed_over_untouched(
    keepers: Keepers, folder: Path, monkeypatch: pytest.MonkeyPatch, trouble: str
) -> None:
    own = keepers.root / "DCIM" / "100NIGHT" / "NGT_0002.xmp"
    if trouble == "broken":
        own.write_bytes(PHOTOGRAPHERS[:80])
    else:
        monkeypatch.setattr(keepers_module, "LARGEST_SIDECAR", 10)
    outcome = outcome_of(hand_over(keepers, folder))
    assert (folder / f"{FIRST}_NGT_0002.xmp.original").read_bytes() == own.read_bytes()
    assert "<xmp:Rating>3</xmp:Rating>" in (folder / f"{FIRST}.xmp").read_text("utf-8")
    assert outcome.complete


def test_a_second_run_finds_everything_there(keepers: Keepers, folder: Path) -> None:
    outcome_of(hand_over(keepers, folder))
    before = contents(folder)
    later = replace(keepers, made=MADE + timedelta(days=1))
    outcome = outcome_of(hand_over(later, folder))
    assert contents(folder) == before
    assert (outcome.copied, outcome.already, outcome.sidecars, outcome.sidecars_left) == (0, 4, 0, ())


def test_a_sidecar_edited_since_is_left_as_it_is(keepers: Keepers, folder: Path) -> None:
    outcome_of(hand_over(keepers, folder))
    edited = (folder / f"{SECOND}.xmp").read_bytes().replace(b">3<", b">5<")
    (folder / f"{SECOND}.xmp").write_bytes(edited)
    outcome = outcome_of(hand_over(keepers, folder))
    assert (folder / f"{SECOND}.xmp").read_bytes() == edited
    assert outcome.sidecars_left == (f"{SECOND}.xmp",)
    assert outcome.complete
    assert "1 sidecar already there left as edited" in outcome.say


def test_a_different_picture_in_the_way_is_left_and_told(keepers: Keepers, folder: Path) -> None:
    folder.mkdir()
    (folder / f"{SECOND}.JPG").write_bytes(b"of another card")
    outcome = outcome_of(hand_over(keepers, folder))
    assert (folder / f"{SECOND}.JPG").read_bytes() == b"of another card"
    assert [entry.path for entry in outcome.failed] == ["DCIM/100NIGHT/NGT_0003.JPG"]
    assert not outcome.complete
    assert "1 file could not be handed over" in outcome.say


def test_a_file_missing_from_the_card_is_told_and_the_rest_handed_over(
    keepers: Keepers, folder: Path
) -> None:
    (keepers.root / "DCIM" / "100NIGHT" / "NGT_0002.NEF").unlink()
    (keepers.root / "DCIM" / "100NIGHT" / "NGT_0002.xmp").unlink()
    outcome = outcome_of(hand_over(keepers, folder))
    assert [entry.path for entry in outcome.failed] == [
        "DCIM/100NIGHT/NGT_0002.NEF",
        "DCIM/100NIGHT/NGT_0002.xmp",
    ]
    assert (folder / f"{FIRST}.JPG").exists()


def test_a_sidecar_that_cannot_be_written_is_told(keepers: Keepers, folder: Path) -> None:
    (folder / f"{SECOND}.xmp").mkdir(parents=True)
    outcome = outcome_of(hand_over(keepers, folder))
    assert [entry.path for entry in outcome.failed] == ["DCIM/100NIGHT/NGT_0003.JPG"]
    assert "sidecar" in outcome.failed[0].reason


def test_with_nothing_kept_nothing_is_made(keepers: Keepers, folder: Path) -> None:
    outcome = outcome_of(hand_over(replace(keepers, verdicts={}), folder))
    assert not folder.exists()
    assert outcome.say == "No frame is kept yet, so there is nothing to hand over."


def test_a_kept_setup_frame_is_handed_over_as_decided(keepers: Keepers, folder: Path) -> None:
    # The keepers go to the photographer's own editor: what they keep, they get.
    kept = replace(keepers, verdicts={keepers.frames[0].key: Verdict.KEEP})
    outcome_of(hand_over(kept, folder))
    assert "at the rig" in (folder / "2026-10-03_1725_visit-01-01_NGT_0001.xmp").read_text("utf-8")


def test_a_frame_of_no_event_and_without_findings_gets_a_plain_sidecar(
    keepers: Keepers, folder: Path
) -> None:
    kept = replace(keepers, events=(), findings={}, verdicts={keepers.frames[3].key: Verdict.KEEP})
    outcome_of(hand_over(kept, folder))
    text = (folder / "2026-10-04_0100_frame-04_NGT_0004.xmp").read_text("utf-8")
    assert "description" not in text
    assert "subject" not in text


def test_a_target_on_the_card_is_refused(keepers: Keepers) -> None:
    before = contents(keepers.root)
    with pytest.raises(UsageError, match="lies on the card itself"):
        next(hand_over(keepers, keepers.root / "keepers"))
    assert contents(keepers.root) == before


def test_stopping_leaves_whole_files_only_and_the_next_run_goes_on(keepers: Keepers, folder: Path) -> None:
    asked = iter([False, False, False, True])
    with pytest.raises(Stopped):
        list(hand_over(keepers, folder, stop=lambda: next(asked)))
    kept = contents(folder)
    assert kept
    assert not [name for name in kept if name.endswith(".part")]
    outcome = outcome_of(hand_over(keepers, folder))
    assert outcome.complete
    assert outcome.already == len(kept)
