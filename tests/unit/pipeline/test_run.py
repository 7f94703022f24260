"""The whole way from a card to its answer, on small cards with known content."""

import hashlib
import threading
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby
from typing import ClassVar

import pytest

from tests import factories_files as files
from tests.scenes import Exposure, Visitor, make_site
from triage.errors import CardError, OutputError, Stopped, UsageError
from triage.findings.thresholds import LIKELY
from triage.ingest.decode import MEASURING_EDGE
from triage.pipeline import looking, threads
from triage.pipeline.run import run
from triage.pipeline.steps import (
    CardListed,
    Finished,
    FrameJudged,
    HeadersProgress,
    PictureRead,
    TimeLineReady,
)
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.records.night import SetupSource, Window
from triage.records.result import Options
from triage.store.pictures import PictureStore

NIGHT = datetime(2026, 10, 3, 22, 0)
APART = timedelta(minutes=5)
VISITED, TRUNCATED, NO_BYTES = 2, 4, 6


def name_of(number):
    return f"DCIM/100NIGHT/NGT_{number + 1:04d}.JPG"


def write(root, number, picture, *, taken=None, **exif):
    """Write one frame of a card, five minutes after the one before."""
    block = files.exif_block(taken or NIGHT + number * APART, **exif)
    data = files.jpeg(picture, block, quality=95)
    files.put(root, name_of(number), data)
    return data


def write_night(root, count=8):
    """Write a night in which one frame is visited, one cut short and one empty of bytes."""
    site = make_site()
    for number in range(count):
        visitors = (Visitor(0.5, 0.5),) if number == VISITED else ()
        data = write(root, number, site.shoot(Exposure(seed=number, visitors=visitors)))
        if number == TRUNCATED:
            files.put(root, name_of(number), files.cut(data, 0.5))
        if number == NO_BYTES:
            files.put(root, name_of(number), b"")
    files.put(root, "notes.txt", b"site by the brook")
    return root


def finish(root, options=Options(), **how):  # noqa: B008 - an immutable record
    steps = list(run(root, options, **how))
    return steps[-1].triage


@pytest.fixture(scope="module")
def card(tmp_path_factory):
    return write_night(tmp_path_factory.mktemp("card"))


@pytest.fixture(scope="module")
def steps(card):
    return list(run(card, Options()))


@pytest.fixture(scope="module")
def triage(steps):
    return steps[-1].triage


def test_the_steps_come_in_their_order(steps):
    order = [kind for kind, _ in groupby(type(step) for step in steps)]
    assert order == [CardListed, TimeLineReady, PictureRead, FrameJudged, Finished]


def test_every_frame_is_read_once_and_in_order(steps):
    read = [step for step in steps if isinstance(step, PictureRead)]
    assert [step.frame.index for step in read] == list(range(8))
    assert [(step.done, step.total) for step in read] == [(number, 8) for number in range(1, 9)]


def test_every_sound_frame_is_judged_once(steps):
    judged = [step for step in steps if isinstance(step, FrameJudged)]
    assert [step.judgement.index for step in judged] == [0, 1, 2, 3, 5, 7]
    assert [(step.done, step.total) for step in judged] == [(number, 6) for number in range(1, 7)]


def test_a_first_look_agrees_with_the_conclusion_on_what_was_measured(steps, triage):
    for step in steps:
        if isinstance(step, FrameJudged):
            assert triage.judgements[step.judgement.index].measurement == step.judgement.measurement


def test_the_time_line_is_ready_before_any_picture_is_read(steps, triage):
    ready = next(step for step in steps if isinstance(step, TimeLineReady))
    assert [frame.path for frame in ready.frames] == [frame.path for frame in triage.frames]
    assert {event.kind for event in ready.events} == {EventKind.MIXED}
    assert sorted(index for event in ready.events for index in event.frames) == list(range(8))
    assert ready.night.summary == ""
    assert (ready.night.start, ready.night.end) == (triage.night.start, triage.night.end)


def test_pictures_are_at_most_of_measuring_size(steps):
    shapes = {
        step.picture.shape for step in steps if isinstance(step, PictureRead) and step.picture is not None
    }
    assert shapes == {(160, 240, 3)}


def test_large_pictures_are_read_at_measuring_size(tmp_path):
    write(tmp_path, 0, files.scene(900, 1350))
    read = [step for step in run(tmp_path, Options()) if isinstance(step, PictureRead)]
    assert max(read[0].picture.shape) == MEASURING_EDGE


@pytest.mark.parametrize(("number", "words"), [(TRUNCATED, "NGT_0005.JPG"), (NO_BYTES, "0 bytes")])
def test_a_damaged_file_becomes_a_frame_with_its_problem(steps, triage, number, words):
    frame, judgement = triage.frames[number], triage.judgements[number]
    assert words in frame.problem
    assert [finding.kind for finding in judgement.findings] == [FindingKind.DAMAGED]
    assert judgement.findings[0].why == frame.problem
    assert judgement.measurement is None
    read = [step for step in steps if isinstance(step, PictureRead)][number]
    assert read.picture is None
    assert read.frame == frame


def test_the_rest_of_the_card_goes_on(triage):
    sound = [index for index in range(8) if index not in {TRUNCATED, NO_BYTES}]
    assert all(triage.frames[index].problem is None for index in sound)
    for index in sound:
        judgement = triage.judgements[index]
        assert judgement.measurement is not None
        assert judgement.has(FindingKind.EMPTY) == (index != VISITED)


def test_every_file_and_frame_is_accounted_for(triage):
    assert [frame.index for frame in triage.frames] == [judgement.index for judgement in triage.judgements]
    assert sorted(index for event in triage.events for index in event.frames) == list(range(8))
    assert [entry.path for entry in triage.card.left_out] == ["notes.txt"]
    assert triage.card.files == 9


def test_the_conclusion_has_a_summary(triage):
    assert triage.night.summary


def test_the_same_card_gives_the_same_answer_with_one_thread_and_with_four(card, triage, monkeypatch):
    for workers in (1, 4):
        monkeypatch.setattr(threads, "WORKERS", workers)
        assert finish(card) == triage


def test_the_card_is_only_read(tmp_path):
    root = write_night(tmp_path / "card", count=7)

    def state():
        return {
            path: (
                hashlib.sha256(path.read_bytes()).hexdigest(),
                path.stat().st_mtime_ns,
                path.stat().st_mode,
            )
            for path in root.rglob("*")
            if path.is_file()
        }

    before = state()
    finish(root)
    assert state() == before
    assert list(tmp_path.iterdir()) == [root]


def test_headers_are_reported_as_they_are_read(tmp_path):
    files.small_card(tmp_path, [NIGHT + number * APART for number in range(130)])
    seen = []
    for step in run(tmp_path, Options()):
        seen.append(step)
        if isinstance(step, TimeLineReady):
            break
    progress = [(step.done, step.total) for step in seen if isinstance(step, HeadersProgress)]
    assert progress == [(done, 130) for done in range(16, 129, 16)]


def test_no_card_is_said_before_anything_else(tmp_path):
    with pytest.raises(CardError):
        next(run(tmp_path / "nothing", Options()))


def test_a_card_of_damaged_files_alone_still_ends(tmp_path):
    for number in range(3):
        files.put(tmp_path, name_of(number), b"not a picture at all")
    triage = finish(tmp_path)
    assert [judgement.has(FindingKind.DAMAGED) for judgement in triage.judgements] == [True] * 3


def test_a_card_of_one_frame_says_that_it_cannot_tell(tmp_path):
    write(tmp_path, 0, make_site().shoot())
    judgement = finish(tmp_path).judgements[0]
    assert judgement.unsure
    assert not judgement.has(FindingKind.EMPTY)


def test_frames_of_another_size_are_measured_among_themselves(tmp_path):
    wide, tall = make_site(), make_site(210, 140, seed=8)
    for number in range(10):
        site = tall if number % 2 else wide
        visitors = (Visitor(0.5, 0.5),) if number in {4, 5} else ()
        write(tmp_path, number, site.shoot(Exposure(seed=number, sway_px=0.5, visitors=visitors)))
    write(tmp_path, 10, make_site(100, 100, seed=9).shoot())
    judgements = finish(tmp_path).judgements
    assert [judgement.has(FindingKind.EMPTY) for judgement in judgements[:10]] == [
        number not in {4, 5} for number in range(10)
    ]
    assert judgements[10].unsure


class NotedScene(looking.Scene):
    """A scene that notes when its frames were taken."""

    learnt: ClassVar[list[list[float]]] = []

    def __init__(self, *args, **how):
        self.learnt.append([float(second) for second in how["seconds"]])
        super().__init__(*args, **how)


def test_frames_of_two_cameras_are_measured_apart(tmp_path, monkeypatch):
    monkeypatch.setattr(looking, "Scene", NotedScene)
    monkeypatch.setattr(NotedScene, "learnt", [])
    sites = make_site(), make_site(seed=21)
    for number in range(10):
        write(
            tmp_path,
            number,
            sites[number % 2].shoot(Exposure(seed=number, sway_px=0.5)),
            main={0x0110: ("EX-7", "EX-8")[number % 2]},
        )
    judgements = finish(tmp_path).judgements
    assert all(judgement.measurement.presence < LIKELY for judgement in judgements)
    minutes = [[second / 60 for second in seconds] for seconds in NotedScene.learnt]
    assert minutes == [[0, 10, 20, 30, 40], [5, 15, 25, 35, 45]]


def test_a_setup_window_given_by_the_user_holds(card):
    window = Window(NIGHT, NIGHT + APART)
    triage = finish(card, Options(setup=(window,)))
    assert [judgement.has(FindingKind.SETUP) for judgement in triage.judgements] == [True] * 2 + [False] * 6
    assert triage.night.setup_windows == (window,)
    assert triage.night.setup_source is SetupSource.GIVEN


def test_without_one_it_is_worked_out(triage):
    assert triage.night.setup_source is SetupSource.WORKED_OUT


def test_one_flash_is_named_once(card):
    triage = finish(card, Options(flashes=1))
    measured = [judgement.measurement for judgement in triage.judgements if judgement.measurement]
    assert len({name for measurement in measured for name in measurement.light.flashes}) == 1


def test_a_place_gives_the_sky_and_none_gives_none(card, triage):
    assert triage.night.sky is None
    first = next(step for step in run(card, Options(lat=50.0, lon=10.0)) if isinstance(step, TimeLineReady))
    assert first.night.sky.spans


def test_a_zone_that_is_none_is_the_users_mistake(card):
    with pytest.raises(UsageError):
        finish(card, Options(tz="Nowhere/Atall"))


def test_stop_before_the_start_reads_no_picture(card):
    seen = []
    with pytest.raises(Stopped, match="Nothing on the card was changed"):
        seen.extend(run(card, Options(), stop=lambda: True))
    assert not any(isinstance(step, PictureRead) for step in seen)


@pytest.mark.parametrize("last", [CardListed, TimeLineReady, PictureRead, FrameJudged])
def test_stop_ends_the_work_at_the_next_step(card, last):
    stopped = threading.Event()
    work = run(card, Options(), stop=stopped.is_set)
    next(step for step in work if isinstance(step, last))
    stopped.set()
    after = []
    with pytest.raises(Stopped):
        after.extend(work)
    assert len(after) <= 1
    assert not any(isinstance(step, Finished) for step in after)


def test_work_that_is_put_down_leaves_no_thread_behind(card):
    before = set(threading.enumerate())
    for last in (CardListed, PictureRead, FrameJudged):
        work = run(card, Options())
        next(step for step in work if isinstance(step, last))
        work.close()
    assert set(threading.enumerate()) <= before


def test_no_room_for_temporary_files_ends_the_work_in_words(card, monkeypatch):
    def full(_store, _key, _picture):
        msg = "No room for temporary files"
        raise OutputError(msg)

    monkeypatch.setattr(PictureStore, "put", full)
    with pytest.raises(OutputError):
        finish(card)


def test_a_bug_in_a_worker_surfaces(card, monkeypatch):
    def broken(*_):
        msg = "a bug"
        raise ZeroDivisionError(msg)

    monkeypatch.setattr(looking, "decode_measuring", broken)
    with pytest.raises(ZeroDivisionError):
        finish(card)


def test_copies_of_a_card_elsewhere_give_the_same_answer(card, triage, tmp_path):
    copy = tmp_path / "copied"
    for path in sorted(card.rglob("*")):
        if path.is_file():
            files.put(copy, path.relative_to(card).as_posix(), path.read_bytes())
    other = finish(copy)
    assert other.judgements == triage.judgements
    assert [frame.key for frame in other.frames][:NO_BYTES] == [frame.key for frame in triage.frames][
        :NO_BYTES
    ]
    assert replace(other.night, summary="") == replace(triage.night, summary="")
