"""What everybody in the trade knows of rigs, and the program has to hold to; common practice, without a source."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from tests import factories_files as files
from tests.scenes import Exposure, Visitor, make_site
from triage.diagnose.framing import Sight, Stand, framing_of
from triage.pipeline.run import run
from triage.pipeline.steps import Finished
from triage.records.diagnosis import FaultKind, Part
from triage.records.finding import FindingKind
from triage.records.lengths import in_other_units
from triage.records.result import Options

pytestmark = pytest.mark.slow
START = datetime(2026, 10, 3, 22, 0, 0)
DID_NOT_FIRE, FIRED = 0x10, 0x01


def triaged(root, exposures, flash_tag, *, apart=timedelta(minutes=6)):
    """Write a card of exposures with one Flash tag on all of them, and run the tool as the command does."""
    site = make_site()
    for number, exposure in enumerate(exposures, start=1):
        block = files.exif_block(
            START + (number - 1) * apart, exif={0x9209: flash_tag} if flash_tag else None
        )
        data = files.jpeg(site.shoot(exposure), block, quality=95)
        files.put(root, f"DCIM/100NIGHT/NGT_{number:04d}.JPG", data)
    (answer,) = (step.triage for step in run(root, Options()) if isinstance(step, Finished))
    return answer


def with_kind(answer, kind):
    return {judgement.index for judgement in answer.judgements if judgement.has(kind)}


def flash_faults(answer):
    """Give what is said of flashes; these short cards end in the night, which may be said of the camera."""
    flashes = {Part.FLASH_LEFT, Part.FLASH_RIGHT, Part.FLASH_3, Part.FLASH_LINK}
    return [(fault.part, fault.kind) for fault in answer.faults if fault.part in flashes]


HEALTHY = [Exposure(seed=seed, sway_px=0.4) for seed in range(10)]
VISITED = [
    Exposure(seed=20 + turn, visitors=(Visitor(0.55, 0.3 + 0.2 * turn, seed=turn),)) for turn in range(3)
]
NO_LIGHT = [Exposure(left=0.0, right=0.0, seed=40 + turn) for turn in range(3)]


@pytest.mark.source("common practice", "a radio trigger leaves the camera with 'did not fire' on a lit frame")
@pytest.mark.source("common practice", "the Flash tag is a hint, never proof: the picture decides")
@pytest.mark.source("standard", "CIPA DC-008 (Exif 2.32), Flash 0x10: off, did not fire; 0x01: fired")
def test_light_decides_what_is_dark_and_the_flash_tag_changes_nothing(tmp_path):
    night, unlit = HEALTHY[:5] + VISITED + NO_LIGHT + HEALTHY[5:], {8, 9, 10}
    said = {}
    for tag in (DID_NOT_FIRE, FIRED):
        answer = triaged(tmp_path / str(tag), night, tag)
        assert {frame.capture.flash for frame in answer.frames} == {tag}
        assert with_kind(answer, FindingKind.DARK) == unlit
        assert with_kind(answer, FindingKind.EMPTY).isdisjoint(unlit)
        said[tag] = [[finding.kind for finding in judgement.findings] for judgement in answer.judgements]
    assert said[DID_NOT_FIRE] == said[FIRED]


@pytest.mark.source(
    "common practice", "flashes that share a pack of cells go dark together once it is dead, and stay dark"
)
def test_dead_cells_leave_dark_frames_to_the_end_and_the_flashes_are_named(tmp_path):
    # Light holds for most of the charge, sags at the end, and is gone: the discharge of nickel-metal hydride cells.
    sagging = [
        Exposure(left=power, right=power, seed=60 + turn) for turn, power in enumerate((0.8, 0.6, 0.35))
    ]
    gone = [Exposure(left=0.0, right=0.0, seed=70 + turn) for turn in range(7)]
    answer = triaged(tmp_path, HEALTHY + VISITED[:1] + sagging + gone, DID_NOT_FIRE)
    assert with_kind(answer, FindingKind.DARK) >= set(range(14, 21))
    assert with_kind(answer, FindingKind.EMPTY).isdisjoint(range(14, 21))
    named = flash_faults(answer)
    assert named
    assert {kind for _, kind in named} <= {FaultKind.STOPPED, FaultKind.FADING}


@pytest.mark.source(
    "common practice", "one dead flash of two leaves its side of the frame unlit: half-lit, and not dark"
)
@pytest.mark.parametrize(("side", "part"), [("left", Part.FLASH_LEFT), ("right", Part.FLASH_RIGHT)])
def test_one_dead_flash_leaves_half_lit_frames_and_is_named(tmp_path, side, part):
    half = [Exposure(**{side: 0.0}, seed=80 + turn) for turn in range(8)]
    answer = triaged(tmp_path, HEALTHY + VISITED + half, DID_NOT_FIRE)
    assert with_kind(answer, FindingKind.HALF_LIT) == set(range(13, 21))
    assert with_kind(answer, FindingKind.DARK) == set()
    assert flash_faults(answer) == [(part, FaultKind.STOPPED)]


@pytest.mark.source(
    "common practice", "a beam fires where it is broken, so that subjects lie on its line at the trip"
)
@pytest.mark.parametrize("line", [-0.3, 0.0, 0.2])
def test_where_animals_from_both_sides_stand_at_the_trip_is_the_beams_line(line):
    # The nose breaks the beam: the body is still on the side the animal came from. Lengths 0.16 to 0.28 of the picture.
    lengths = np.linspace(0.16, 0.28, 6)
    middles = [line - length / 2 for length in lengths] + [line + length / 2 for length in lengths]
    stand = Stand(np.array([(middle, 0.1) for middle in middles]), np.array([0.22, 0.2]))
    assert framing_of(stand, Sight(None, None)).across == pytest.approx(line, abs=0.01)


@pytest.mark.source("standard", "NIST Handbook 44, appendix C: 1 in = 2.54 cm exactly")
@pytest.mark.source("common practice", "the size of a fox's front track")
def test_the_front_track_of_a_fox_in_the_notebook_reads_in_centimetres_too():
    assert in_other_units("front track 2 3/8 by 1 7/8 inches") == ("6.0 by 4.8 cm",)
    assert pytest.approx(6.03, abs=0.005) == 2.375 * 2.54
    assert pytest.approx(4.76, abs=0.005) == 1.875 * 2.54
