from datetime import datetime
from pathlib import Path

import pytest
from PIL import Image

from sample_cards import bundled
from tests.benchmarks.feel import cards
from tests.benchmarks.feel.keys import Series
from tests.benchmarks.feel.opening import Answering, Opening
from tests.benchmarks.feel.table import answering_lines, keys_lines, memory_lines, opening_lines, spread
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.ingest.order import order_frames


def headers(root: Path) -> list:
    return [read_header(root, group) for group in list_card(root).groups]


def test_weeks_are_the_sample_night_day_after_day(tmp_path):
    one = order_frames(headers(bundled()))
    frames = order_frames(headers(cards.weeks(tmp_path, len(one) + 2)))
    assert len(frames) == len(one) + 2
    assert {frame.time_is_camera for frame in frames} == {True}
    assert (frames[-1].time - frames[0].time).days >= 1
    assert len({frame.key for frame in frames}) == len(frames)


def test_a_card_is_made_once(tmp_path):
    first = cards.weeks(tmp_path, 2)
    before = [path.stat().st_mtime_ns for path in sorted(first.rglob("*.JPG"))]
    assert [path.stat().st_mtime_ns for path in sorted(cards.weeks(tmp_path, 2).rglob("*.JPG"))] == before


def test_links_take_no_room_of_their_own(tmp_path):
    source = cards.weeks(tmp_path, 2)
    linked = sorted(cards.links(tmp_path, source, 5).rglob("*.JPG"))
    assert len(linked) == 5
    assert {path.stat().st_ino for path in linked} == {path.stat().st_ino for path in source.rglob("*.JPG")}


@pytest.mark.slow
def test_large_pictures_have_their_megapixels_megabytes_and_times(tmp_path):
    paths = sorted(cards.large(tmp_path, 2).rglob("*.JPG"))
    with Image.open(paths[0]) as image:
        assert image.width * image.height == pytest.approx(24e6, rel=0.01)
    assert 8e6 <= paths[0].stat().st_size <= 10e6
    taken = [each.capture.taken for each in headers(tmp_path / "large-2")]
    assert taken == [datetime(2026, 10, 3, 19, 30), datetime(2026, 10, 3, 19, 30, 2)]


def test_a_spread_has_median_high_end_and_maximum():
    assert spread([1.0] * 99 + [200.0]).split() == ["1.0", "1.0", "200.0", "ms", "(n", "100)"]


def test_opening_is_told_against_bare_reading():
    (line,) = opening_lines([Opening(2000, 2.0, 3.0, 1.0, 1.0, 1.2)])
    assert "time line 3.00 s (1.50 times)" in line
    assert line.endswith("processor time 1.20 s against 1.00 s (1.20 times)")


class Beats:
    gaps_ms = (1.0, 2.0, 80.0)
    busy_ms = (0.5, 0.5, 20.0)


def test_long_gaps_are_counted():
    assert "1 of 3 over 50 ms; own work at most 20 ms" in answering_lines([Answering("x", Beats(), 3.0)])[0]


def test_a_series_without_sharp_pictures_leaves_their_line_out():
    lines = keys_lines([Series("held", [10.0], [], [5.0])])
    assert [line.split()[0] for line in lines] == ["held", "own"]
    assert memory_lines(20_000, 150.4, 600.6) == ["20,000 frames: 150 MB before, 601 MB at most"]
