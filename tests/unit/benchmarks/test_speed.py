"""The parts of the speed bench that can be wrong without anybody seeing it."""

import io
import subprocess
import sys

import pytest
from PIL import Image

from tests.benchmarks.speed.cards import night, with_preview
from tests.benchmarks.speed.same import compared
from tests.benchmarks.speed.table import Row, table
from tests.benchmarks.speed.timing import ROOT, FailedError, Took, timed


def frame(*words, box=None, unsure=False):
    return {
        "findings": [{"kind": word} for word in words],
        "subject": {"box": box} if box else None,
        "unsure": unsure,
    }


def report(*frames, faults=()):
    return {
        "frames": list(frames),
        "diagnosis": [{"component": part, "fault": fault} for part, fault in faults],
    }


def test_two_equal_reports_are_the_same():
    one = report(frame("empty"), frame("edge", box=[0.1, 0.1, 0.3, 0.3]), faults=[("lens", "fogged")])

    told = compared(one, one)

    assert (told.frames, told.other_words, told.boxes, told.overlap, told.same_diagnosis) == (
        2,
        0,
        1,
        1.0,
        True,
    )


def test_every_difference_is_counted():
    one = report(frame("empty"), frame(box=[0, 0, 0.2, 0.2]), frame(), faults=[("lens", "fogged")])
    two = report(frame("dark"), frame(box=[0, 0, 0.2, 0.1]), frame(unsure=True))

    told = compared(one, two)

    assert (told.other_words, told.boxes, told.same_diagnosis) == (2, 1, False)
    assert told.overlap == pytest.approx(0.5)


def test_ratios_are_of_the_report_to_the_floor():
    floor, other = Took(2.0, 3.0, 10**8), Took(5.0, 6.0, 3 * 10**8)
    row = Row("large", 100, floor, floor, floor, other, Took(0.5, 0.4, 10**8))

    cells = [cell.strip() for cell in table([row], 2).splitlines()[2].split("|")]

    assert "20.0 (30.0)" in cells
    assert "2.50 (2.00)" in cells
    assert "0.50 (0.40)" in cells
    assert "300" in cells
    assert "60 %" in cells


_LARGE_AND_SMALL = """
from tests.benchmarks.speed.timing import timed
large = timed(["-c", "print(len(b'x' * 800_000_000)); sum(range(10**6))"])
print(large.peak_bytes, large.cpu_s, timed(["-c", "pass"]).peak_bytes)
"""


def test_what_a_process_took_is_its_own():
    # Asked by a small process, as the bench does: a child starts with its parent's memory on its account.
    told = subprocess.run(
        [sys.executable, "-c", _LARGE_AND_SMALL], cwd=ROOT, capture_output=True, text=True, check=True
    )
    large, seconds, small = (float(word) for word in told.stdout.split())
    assert 800_000_000 < large < 900_000_000
    assert seconds > 0
    assert small < 200_000_000


def test_a_command_that_fails_is_no_measurement(capfd):
    with pytest.raises(FailedError, match="left with 3"):
        timed(["-c", "import sys; sys.exit(3)"])


def test_the_night_is_sound_and_its_previews_are_found_by_a_general_library():
    paths = night()
    assert len(paths) > 50
    with Image.open(io.BytesIO(with_preview(paths[0].read_bytes(), (600, 400)))) as image:
        assert (image.format, image.n_frames) == ("MPO", 2)
        image.seek(1)
        assert image.size == (600, 400)
