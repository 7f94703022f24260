"""What is kept between runs: the same answer in less work, and never where anything changed."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests import factories_files as files
from tests.scenes import Exposure, Visitor, make_site
from triage.errors import PictureError, Stopped
from triage.export.report import report_json
from triage.ingest import header
from triage.pipeline import looking, recall
from triage.pipeline import run as recipe
from triage.pipeline.run import run
from triage.pipeline.steps import CardListed, Finished, FrameJudged, PictureRead, TimeLineReady
from triage.records.finding import FindingKind
from triage.records.night import Window
from triage.records.result import Options

NIGHT = datetime(2026, 10, 3, 22, 0)
APART = timedelta(minutes=5)
VISITED, TRUNCATED = 2, 4


def write(root, number):
    """Write one frame of a small night: one is visited, one cut short."""
    visitors = (Visitor(0.5, 0.5),) if number == VISITED else ()
    picture = make_site(80, 120).shoot(Exposure(seed=number, visitors=visitors))
    data = files.jpeg(picture, files.exif_block(NIGHT + number * APART), quality=95)
    if number == TRUNCATED:
        data = files.cut(data, 0.5)
    when = NIGHT + number * APART
    return files.put(root, f"DCIM/100NIGHT/NGT_{number + 1:04d}.JPG", data, modified=when)


@pytest.fixture
def card(tmp_path):
    for number in range(8):
        write(tmp_path / "card", number)
    return tmp_path / "card"


@pytest.fixture
def cache(tmp_path):
    return tmp_path / "cache"


class Counts:
    """How often the costly work was done."""

    def __init__(self, monkeypatch):
        self.headers = self.decoded = self.measured = 0
        self._patch(monkeypatch, header, "read_header", "headers")
        self._patch(monkeypatch, looking, "decode_measuring", "decoded")
        self._patch(monkeypatch, looking.Scene, "measure", "measured")

    def _patch(self, monkeypatch, place, name, count):
        real = getattr(place, name)

        def counted(*args):
            setattr(self, count, getattr(self, count) + 1)
            return real(*args)

        monkeypatch.setattr(place, name, counted)

    def since(self):
        """Return the counts and start again."""
        told = (self.headers, self.decoded, self.measured)
        self.headers = self.decoded = self.measured = 0
        return told


@pytest.fixture
def counts(monkeypatch):
    return Counts(monkeypatch)


def report(root, options=Options(), **how):  # noqa: B008 - an immutable record
    (triage,) = (step.triage for step in run(root, options, **how) if isinstance(step, Finished))
    return report_json(triage)


def kinds(steps):
    found = []
    for step in steps:
        if not found or found[-1] is not type(step):
            found.append(type(step))
    return found


def test_a_card_read_again_gives_the_same_report_without_any_of_the_work(card, cache, counts):
    first = report(card, cache=cache)
    assert counts.since() == (8, 8, 7)

    assert report(card, cache=cache) == first
    assert counts.since() == (0, 0, 0)
    assert report(card) == first
    assert counts.since() == (8, 8, 7)


def test_the_answer_comes_before_the_pictures_of_a_card_known_already(card, cache):
    list(run(card, Options(), cache=cache))

    again = list(run(card, Options(), cache=cache))

    assert kinds(again) == [CardListed, TimeLineReady, Finished, PictureRead]
    shown = [step for step in again if isinstance(step, PictureRead)]
    assert [step.picture is None for step in shown] == [number == TRUNCATED for number in range(8)]
    assert [step.done for step in shown] == list(range(1, 9))


def test_pictures_that_are_pruned_come_from_the_card(card, cache):
    list(run(card, Options(), cache=cache))
    for pack in cache.glob("*.pictures"):
        pack.unlink()

    shown = [step for step in run(card, Options(), cache=cache) if isinstance(step, PictureRead)]

    assert [step.picture is None for step in shown] == [number == TRUNCATED for number in range(8)]


def test_a_card_gone_after_its_answer_shows_no_pictures_and_ends(card, cache):
    list(run(card, Options(), cache=cache))
    for pack in cache.glob("*.pictures"):
        pack.unlink()

    steps = run(card, Options(), cache=cache)
    for step in steps:
        if isinstance(step, Finished):
            for path in card.rglob("*.JPG"):
                path.unlink()
        elif isinstance(step, PictureRead):
            assert step.picture is None


def test_a_card_with_new_frames_decodes_only_those(card, cache, counts):
    report(card, cache=cache)
    for number in (8, 9):
        write(card, number)
    counts.since()

    grown = report(card, cache=cache)

    assert counts.since() == (2, 3, 9)  # and the truncated frame, of which there is no picture to keep
    assert grown == report(card)


def test_a_copy_of_the_card_needs_only_its_headers(card, cache, counts, tmp_path):
    first = report(card, cache=cache)
    copy = tmp_path / "copied"
    for path in card.rglob("*.JPG"):
        target = files.put(copy, path.relative_to(card).as_posix(), path.read_bytes())
        os.utime(target, ns=(path.stat().st_mtime_ns,) * 2)
    counts.since()

    again = report(copy, cache=cache)

    assert counts.since() == (8, 0, 0)
    assert json.loads(again)["frames"] == json.loads(first)["frames"]


def test_a_file_damaged_since_is_noticed(card, cache):
    report(card, cache=cache)
    path = card / "DCIM/100NIGHT/NGT_0007.JPG"
    data = path.read_bytes()
    path.write_bytes(files.overwritten(data, 0.6, b"\0"))

    again = json.loads(report(card, cache=cache))

    assert [found["kind"] for found in again["frames"][6]["findings"]] == [FindingKind.DAMAGED]
    assert again == json.loads(report(card))


@pytest.mark.parametrize(
    "options", [Options(flashes=1), Options(lat=50.0, lon=10.0, tz="+01:00"), Options(setup=())]
)
def test_other_options_give_the_report_they_would_give_anyway(card, cache, options):
    report(card, cache=cache)

    assert report(card, options, cache=cache) == report(card, options)
    assert report(card, options, cache=cache) == report(card, options)


def test_other_code_measures_again(card, cache, counts, monkeypatch):
    report(card, cache=cache)
    counts.since()
    monkeypatch.setattr(recall, "_MEASURING", (*recall._MEASURING, "findings"))

    report(card, cache=cache)

    assert counts.since() == (0, 1, 7)


def test_the_code_that_reads_and_measures_is_part_of_the_name(tmp_path, monkeypatch):
    package = tmp_path / "triage"
    files.put(package, "measure/one.py", b"1")
    monkeypatch.setattr(recall.triage, "__file__", str(package / "__init__.py"))
    monkeypatch.setattr(recall, "_LIBRARIES", ("numpy", "no-such-library"))
    code = recall._code.__wrapped__

    before = code(("measure",))
    assert code(("measure",)) == before
    files.put(package, "measure/one.py", b"2")
    assert code(("measure",)) != before


@pytest.mark.parametrize("last", [1, 4, 8])
def test_what_was_read_before_stopping_is_not_decoded_again(card, cache, counts, last):
    steps = run(card, Options(), cache=cache, stop=lambda: counts.decoded >= last)
    with pytest.raises(Stopped):
        list(steps)
    done = counts.since()[1]

    report(card, cache=cache)

    assert last <= done <= 8
    sound = done - (done > TRUNCATED)
    assert counts.since()[1] == 8 - sound


def test_what_was_measured_before_stopping_is_not_measured_again(card, cache, counts):
    steps = run(card, Options(), cache=cache)
    judged = [next(step for step in steps if isinstance(step, FrameJudged)) for _ in range(3)]
    steps.close()
    counts.since()

    again = list(run(card, Options(), cache=cache))

    assert counts.since() == (0, 0, 4)
    shown = [step for step in again if isinstance(step, FrameJudged)]
    assert [step.judgement for step in shown[:3]] == [step.judgement for step in judged]
    assert report_json(again[-1].triage) == report(card)


def test_a_card_pulled_while_it_is_read_is_not_remembered_as_damaged(card, cache, monkeypatch):
    real = looking.decode_measuring

    def pulled(root, frame):
        if frame.index > 5:
            msg = f"{frame.name} cannot be read: the card is not there any more."
            raise PictureError(msg) from OSError(19, "No such device")
        return real(root, frame)

    with monkeypatch.context() as during:
        during.setattr(looking, "decode_measuring", pulled)
        assert json.loads(report(card, cache=cache))["accounted"]["damaged"] == 3

    assert report(card, cache=cache) == report(card)


def test_a_header_that_could_not_be_read_is_read_anew(card, cache, counts):
    path = files.put(card, "DCIM/100NIGHT/NGT_0009.JPG", b"")
    report(card, cache=cache)
    counts.since()

    report(card, cache=cache)
    assert counts.since() == (1, 0, 0)

    whole = (card / "DCIM/100NIGHT/NGT_0001.JPG").read_bytes()
    path.write_bytes(whole)
    assert json.loads(report(card, cache=cache))["accounted"]["damaged"] == 1


@pytest.mark.parametrize(
    "junk", [b"null", b"[]", b"[[1]]", b'[{"0": "x"}, {"1": [2]}]', b'{"a": 1}', b"garbage"]
)
def test_damaged_answers_only_cost_time(card, cache, junk):
    first = report(card, cache=cache)
    for path in cache.glob("*.json"):
        path.write_bytes(junk)

    assert report(card, cache=cache) == first


def test_a_cache_that_cannot_be_written_only_costs_time(card, tmp_path):
    (tmp_path / "file").write_bytes(b"")

    assert report(card, cache=tmp_path / "file" / "cache") == report(card)


def test_without_a_cache_nothing_is_written_anywhere(card, tmp_path):
    before = sorted(path for path in tmp_path.rglob("*"))

    report(card)

    assert sorted(path for path in tmp_path.rglob("*")) == before


def test_the_cache_holds_nothing_in_the_card(card, cache):
    before = sorted(path for path in card.rglob("*"))

    report(card, cache=cache)

    assert sorted(path for path in card.rglob("*")) == before
    assert any(cache.iterdir())


def test_frames_near_to_what_is_looked_at_are_read_and_measured_first(card, cache):
    order = [
        step.frame.index if isinstance(step, PictureRead) else step.judgement.index
        for step in run(card, Options(), nearest=lambda: 5)
        if isinstance(step, PictureRead | FrameJudged)
    ]

    assert order == [5, 6, 4, 7, 3, 2, 1, 0, 5, 6, 7, 3, 2, 1, 0]
    assert report(card, nearest=lambda: 5) == report(card)


def test_the_key_of_a_picture_tells_all_that_decides_how_it_looks(card):
    ready = next(step for step in run(card, Options()) if isinstance(step, TimeLineReady))
    frame = ready.frames[0]
    main = frame.files[0]
    others = [
        replace(frame, key="0" * 32),
        replace(frame, capture=replace(frame.capture, orientation=3)),
        replace(frame, files=(replace(main, size=main.size + 1),)),
        replace(frame, files=(replace(main, modified_ns=main.modified_ns + 1),)),
    ]

    keys = {recall.picture_key(each) for each in (frame, *others)}

    assert len(keys) == 5
    assert recall.picture_key(replace(frame, index=3, time=NIGHT)) in keys


def test_the_measured_answer_stays_small(card, cache):
    report(card, cache=cache)

    sizes = [path.stat().st_size for path in Path(cache).glob("*.json")]
    assert max(sizes) < 8 * 1000


def test_a_card_known_already_loads_none_of_what_decodes_and_measures(card, cache):
    report(card, cache=cache)
    words = (
        "import sys, pathlib; from triage.pipeline.run import run; from triage.pipeline.steps import Finished; "
        "from triage.records.result import Options; "
        f"next(s for s in run(pathlib.Path({str(card)!r}), Options(), cache=pathlib.Path({str(cache)!r})) "
        "if isinstance(s, Finished)); "
        "print({'PIL', 'rawpy', 'pillow_heif', 'exifread', 'triage.measure.scene'} & set(sys.modules))"
    )

    done = subprocess.run([sys.executable, "-c", words], check=True, capture_output=True, text=True)

    assert done.stdout == "set()\n"


def test_all_that_was_concluded_comes_back_as_it_was(card, cache):
    files.put(card, "notes.txt", b"site by the brook")
    options = Options(lat=50.0, lon=10.0, tz="+01:00", site="brook")
    first, again = (
        next(step.triage for step in run(card, options, cache=cache) if isinstance(step, Finished))
        for _ in range(2)
    )

    assert again == first


def test_what_was_concluded_holds_only_for_the_same_options_and_files(card, cache, monkeypatch):
    concluded = []
    real = recipe._conclude
    monkeypatch.setattr(recipe, "_conclude", lambda *what: concluded.append(1) or real(*what))
    window = Window(NIGHT, NIGHT + APART)

    for options in (Options(), Options(), Options(setup=(window,)), Options(setup=(window,))):
        assert report(card, options, cache=cache) == report(card, options)
    assert len(concluded) == 2 + 4

    concluded.clear()
    files.put(card, "notes.txt", b"site by the brook")
    assert report(card, cache=cache) == report(card)
    assert len(concluded) == 2
