import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QImage

from tests.factories import make_frame
from tests.factories_files import jpeg, scene
from tests.gui.patience import PATIENCE_S
from tests.gui.stand_ins import FakePipeline, fake_decode, make_night
from triage.errors import OutputError, Stopped
from triage.records.event import EventKind
from triage.records.result import Options
from triage.ui.workers import pictures as pictures_module
from triage.ui.workers.images import SCREEN_SHARE, LookBook, to_screen
from triage.ui.workers.job import Job
from triage.ui.workers.pictures import Detail, Pictures
from triage.ui.workers.reading import CardReading
from triage.ui.workers.thumbnails import Thumbnails, embedded

NIGHT = make_night(((EventKind.SUBJECT, 6),))
CARD = Path("/cards/night")
ROOT = Path(__file__).resolve().parents[2]


class Told(QObject):
    flag = Signal(bool)


def test_five_thousand_signals_leave_the_truth_alone(qapp):
    """PySide6 6.12.0 loses a reference to True with every emit on Python 3.11, and aborts."""
    told = Told()
    heard = []
    told.flag.connect(heard.append)
    for _turn in range(5000):
        told.flag.emit(True)
    assert heard == [True] * 5000


@pytest.fixture
def reading(qapp):
    made = CardReading(FakePipeline(NIGHT))
    yield made
    made.close()


def test_steps_arrive_in_order_and_the_end_last(reading, qtbot):
    order = []
    reading.stepped.connect(lambda step: order.append(type(step).__name__))
    reading.looked.connect(lambda _read, _look: order.append("look"))
    reading.ended.connect(lambda _stopped: order.append("end"))
    with qtbot.waitSignal(reading.ended):
        reading.start(CARD, Options())
    assert order == [
        "CardListed",
        "HeadersProgress",
        "TimeLineReady",
        *["look"] * 6,
        *["FrameJudged"] * 6,
        "Finished",
        "end",
    ]
    assert not reading.is_running


def test_what_is_near_the_frame_looked_at_is_read_first(qtbot, qapp):
    reading = CardReading(FakePipeline(NIGHT), nearest=lambda: 4)
    read = []
    reading.looked.connect(lambda told, _look: read.append(told.frame.index))
    with qtbot.waitSignal(reading.ended):
        reading.start(CARD, Options())
    reading.close()
    assert read == [4, 5, 3, 2, 1, 0]


def test_a_hundred_readings_started_and_dropped_end_well(reading, qtbot):
    for _turn in range(100):
        reading.start(CARD, Options())
    qtbot.waitUntil(lambda: not reading._readers)
    assert not reading.is_running


def test_a_long_batch_lets_the_window_live_in_between(qtbot, qapp):
    night = make_night(((EventKind.SUBJECT, 400),))
    reading = CardReading(FakePipeline(night))
    order = []
    beat = QTimer()
    beat.timeout.connect(lambda: order.append("beat"))

    def take(_read, _look):
        order.append("look")
        end = perf_counter() + 0.001  # as long as showing it may take
        while perf_counter() < end:
            pass

    reading.looked.connect(take)
    with qtbot.waitSignal(reading.ended):
        beat.start(0)
        reading.start(CARD, Options())
    beat.stop()
    reading.close()
    between = "".join("b" if what == "beat" else "l" for what in order).split("b")
    assert sum(map(len, between)) == 400
    assert max(map(len, between)) <= 13  # of a millisecond or more each, against 12 ms at a time


def test_nothing_is_told_after_closing(qtbot, qapp):
    reading = CardReading(FakePipeline(NIGHT))
    heard = []
    reading.stepped.connect(heard.append)
    reading.ended.connect(heard.append)
    reading.start(CARD, Options())
    reading.close()
    qapp.processEvents()
    assert heard == []
    assert not reading.is_running


def test_first_looks_of_the_card_before_are_given_back(reading, qtbot):
    looks = []
    reading.looked.connect(lambda _read, look: looks.append(look))
    with qtbot.waitSignal(reading.ended):
        reading.start(CARD, Options())
    assert not looks[0].image().isNull()
    with qtbot.waitSignal(reading.ended):
        reading.start(CARD, Options())
    assert looks[0].image().isNull()
    assert not looks[-1].image().isNull()


def test_without_room_there_is_no_first_look(small_disk, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(small_disk))
    book = LookBook()
    rng = np.random.default_rng(5)
    noise = rng.integers(0, 256, (480, 720, 3), dtype=np.uint8)
    looks = [book.keep(noise) for _turn in range(20)]
    book.close()
    assert looks[0] is not None
    assert looks[-1] is None


@pytest.mark.parametrize("size", [(400, 600), (940, 1410), (1000, 1500), (2000, 3000)])
def test_a_picture_for_the_screen_keeps_its_colours_and_shape(size):
    rgb = np.zeros((*size, 3), np.uint8)
    rgb[:, : size[1] // 2] = (200, 100, 50)
    image = to_screen(rgb, 1500)
    longest = 600 if size[1] == 600 else 1500
    assert (image.width(), image.height()) == (longest, longest * 2 // 3)
    assert image.pixelColor(longest // 4, 10).getRgb()[:3] == (200, 100, 50)
    assert image.pixelColor(3 * longest // 4, 10).getRgb()[:3] == (0, 0, 0)


def test_a_known_error_comes_in_words_before_the_end(qtbot, qapp):
    reading = CardReading(FakePipeline(NIGHT, fails="No pictures there."))
    heard = []
    reading.failed.connect(heard.append)
    with qtbot.waitSignal(reading.ended) as told:
        reading.start(CARD, Options())
        assert heard == []
    assert heard == ["No pictures there."]
    assert told.args == [False]
    reading.close()


class SlowDecode:
    """Decodes when told to; remembers what it decoded."""

    def __init__(self):
        self.gate = threading.Event()
        self.done = []

    def __call__(self, root, frame, *, long_edge=None):
        assert self.gate.wait(PATIENCE_S)
        self.done.append((frame.index, long_edge))
        return fake_decode(root, frame, long_edge=long_edge)


@pytest.fixture
def decode():
    return SlowDecode()


@pytest.fixture
def pictures(qapp, decode):
    made = Pictures(decode)
    made.load(CARD, NIGHT.frames)
    yield made
    decode.gate.set()
    made.close()


def test_a_wanted_picture_arrives_with_its_neighbours_behind_it(pictures, decode, qtbot):
    decode.gate.set()
    with qtbot.waitSignal(pictures.settled), qtbot.waitSignal(pictures.arrived) as told:
        pictures.want(2, Detail.SCREEN, long_edge=500)
        pictures.look_ahead((3, 1))
    assert told.args[0].index == 2
    assert told.args[0].image.width() == 500
    qtbot.waitUntil(lambda: not pictures.is_busy)
    least = round(500 * SCREEN_SHARE)
    assert sorted(decode.done) == [(1, least), (2, least), (3, least)]
    assert pictures.cached(3, Detail.SCREEN) is not None


def test_a_picture_at_hand_arrives_at_once(pictures, decode, qtbot):
    decode.gate.set()
    with qtbot.waitSignal(pictures.arrived):
        pictures.want(2, Detail.FULL, long_edge=500)
    with qtbot.waitSignal(pictures.arrived, timeout=0):
        pictures.want(2, Detail.SCREEN, long_edge=500)
    assert decode.done == [(2, None)]


def test_a_full_picture_serves_for_the_screen_but_one_of_the_screen_s_size_is_nearer(pictures, decode, qtbot):
    decode.gate.set()
    for detail in (Detail.FULL, Detail.SCREEN):
        pictures.want(2, detail, long_edge=500)
        qtbot.waitUntil(lambda: not pictures.is_busy)
    assert pictures.cached(2, Detail.SCREEN).width() == 1200
    pictures.load(CARD, NIGHT.frames)
    for detail in (Detail.SCREEN, Detail.FULL):
        pictures.want(2, detail, long_edge=500)
        qtbot.waitUntil(lambda: not pictures.is_busy)
    assert pictures.cached(2, Detail.SCREEN).width() == 500
    assert pictures.cached(2, Detail.FULL).width() == 1200


def test_a_larger_window_gets_a_larger_picture(pictures, decode, qtbot):
    decode.gate.set()
    for edge in (300, 500, 310):
        with qtbot.waitSignal(pictures.arrived) as told:
            pictures.want(2, Detail.SCREEN, long_edge=edge)
        qtbot.waitUntil(lambda: not pictures.is_busy)
    assert told.args[0].image.width() == 500  # the one at hand is large enough
    assert len(decode.done) == 2


def test_a_frame_waiting_its_turn_is_decoded_once_when_it_is_the_one_wanted(pictures, decode, qtbot):
    pictures.want(0, Detail.SCREEN, long_edge=500)
    pictures.look_ahead((1, 2, 3, 5, 4))
    pictures.want(4, Detail.SCREEN, long_edge=500)
    pictures.look_ahead((1,))
    decode.gate.set()
    qtbot.waitUntil(lambda: not pictures.is_busy)
    decoded = [index for index, _edge in decode.done]
    assert decoded.count(4) == 1
    assert 5 not in decoded  # at most three had begun, and it was not one of them
    assert pictures.cached(4, Detail.SCREEN) is not None


def test_older_wishes_are_dropped(pictures, decode, qtbot):
    heard = []
    pictures.arrived.connect(lambda told: heard.append(told.index))
    for index in range(6):
        pictures.want(index, Detail.SCREEN, long_edge=500)
    decode.gate.set()
    qtbot.waitUntil(lambda: not pictures.is_busy)
    assert heard == [5]
    assert len(decode.done) <= 3  # the two that had begun, and the last


def test_another_card_gets_no_picture_of_the_one_before(pictures, decode, qtbot):
    heard = []
    pictures.arrived.connect(lambda told: heard.append(told.index))
    pictures.want(0, Detail.SCREEN, long_edge=500)
    pictures.load(CARD, NIGHT.frames)
    decode.gate.set()
    qtbot.waitUntil(lambda: not pictures.is_busy)
    assert heard == []
    assert pictures.cached(0, Detail.SCREEN) is None


def test_a_picture_that_cannot_be_read_says_why(qapp, qtbot):
    frame = type(NIGHT.frames[0])(
        0, "key", NIGHT.frames[0].files, NIGHT.frames[0].capture, NIGHT.frames[0].time, problem="It is empty."
    )
    pictures = Pictures(fake_decode)
    pictures.load(CARD, (frame,))
    with qtbot.waitSignal(pictures.arrived) as told:
        pictures.want(0, Detail.SCREEN, long_edge=500)
    assert told.args[0].image is None
    assert told.args[0].problem == "It is empty."
    pictures.close()


def test_the_cache_stays_within_its_bytes(qapp, qtbot, monkeypatch):
    monkeypatch.setattr(pictures_module, "KEPT_BYTES", 3 * 600 * 400 * 3)
    pictures = Pictures(fake_decode)
    pictures.load(CARD, NIGHT.frames)
    for index in range(6):
        with qtbot.waitSignal(pictures.arrived):
            pictures.want(index, Detail.SCREEN, long_edge=500)
    assert pictures._kept_bytes <= 3 * 600 * 400 * 3
    assert pictures.cached(0, Detail.SCREEN) is None
    assert pictures.cached(5, Detail.SCREEN) is not None
    pictures.close()


def run_job(qtbot, work):
    job = Job(work)
    heard = []
    job.signals.progressed.connect(heard.append)
    job.signals.failed.connect(heard.append)
    job.signals.stopped.connect(lambda: heard.append("stopped"))
    with qtbot.waitSignal(job.signals.ended):
        job.run()
    return heard


def test_a_job_tells_all_it_yields(qapp, qtbot):
    assert run_job(qtbot, lambda _stop: iter([1, 2])) == [1, 2]


def test_a_job_tells_a_known_error_in_words(qapp, qtbot):
    def work(_stop):
        yield 1
        msg = "The disk is full."
        raise OutputError(msg)

    assert run_job(qtbot, work) == [1, "The disk is full."]


def test_a_job_that_is_stopped_says_so(qapp, qtbot):
    def work(_stop):
        raise Stopped
        yield

    assert run_job(qtbot, work) == ["stopped"]


@pytest.fixture
def thumbnails(qapp):
    made = Thumbnails()
    yield made
    made.close()


def plain(width):
    image = QImage(width, 10, QImage.Format.Format_RGB888)
    image.fill(0)
    return image


def test_the_small_picture_asked_for_last_comes_first(thumbnails, qtbot):
    gate, begun = threading.Event(), threading.Event()

    def held():
        begun.set()
        assert gate.wait(PATIENCE_S)
        return plain(1)

    heard = []
    thumbnails.arrived.connect(lambda index, image: heard.append((index, image.width())))
    thumbnails.want(1, held)
    assert begun.wait(PATIENCE_S)
    for index in (2, 3, 2, 4):
        thumbnails.want(index, lambda index=index: plain(index))
    gate.set()
    qtbot.waitUntil(lambda: len(heard) == 4)
    assert heard == [(1, 1), (4, 4), (2, 2), (3, 3)]


def test_small_pictures_of_the_card_before_never_arrive(thumbnails, qtbot):
    gate = threading.Event()
    heard = []
    thumbnails.arrived.connect(lambda index, _image: heard.append(index))
    thumbnails.want(1, lambda: plain(1) if gate.wait(PATIENCE_S) else plain(2))
    thumbnails.want(2, lambda: plain(2))
    thumbnails.forget()
    gate.set()
    thumbnails.want(3, lambda: plain(3))
    qtbot.waitUntil(lambda: 3 in heard)
    assert heard == [3]


def test_a_frame_without_a_small_picture_tells_nothing(thumbnails, qtbot):
    heard = []
    thumbnails.arrived.connect(lambda index, _image: heard.append(index))
    thumbnails.want(2, lambda: plain(2))
    thumbnails.want(1, QImage)
    qtbot.waitUntil(lambda: 2 in heard)
    assert heard == [2]


def test_the_preview_inside_a_file_is_found_before_the_frame_is_read(tmp_path):
    inside = jpeg(scene(96, 144))
    (tmp_path / "A.JPG").write_bytes(_with_thumbnail(jpeg(scene(400, 600)), inside))
    frame = make_frame(0, names=("A.JPG",))
    image = embedded(tmp_path, frame)
    assert (image.width(), image.height()) == (144, 96)
    assert embedded(tmp_path, make_frame(0, names=("B.JPG",))).isNull()
    assert embedded(tmp_path, make_frame(0, names=("A.JPG",), problem="It is empty.")).isNull()


def _with_thumbnail(main, inside):
    """Put a preview into a JPEG's Exif block: a second directory with its place and length (Exif 2.32, 4.6.5)."""
    first = b"II*\0" + (8).to_bytes(4, "little") + (0).to_bytes(2, "little") + (14).to_bytes(4, "little")
    place = 14 + 2 + 2 * 12 + 4
    entries = [(0x0201, place), (0x0202, len(inside))]
    second = len(entries).to_bytes(2, "little")
    for tag, value in entries:
        second += tag.to_bytes(2, "little") + (4).to_bytes(2, "little") + (1).to_bytes(4, "little")
        second += value.to_bytes(4, "little")
    block = b"Exif\0\0" + first + second + bytes(4) + inside
    return main[:2] + b"\xff\xe1" + (len(block) + 2).to_bytes(2, "big") + block + main[2:]


WITHOUT_STANDING_STILL = """
import faulthandler, threading
faulthandler.dump_traceback_later(60, exit=True)
import numpy as np
from triage.ui.workers.images import LookBook
look = LookBook().keep(np.full((40, 60, 3), 90, np.uint8))
threads = [threading.Thread(target=lambda: [look.thumbnail() for _ in range(1500)]) for _ in range(2)]
for thread in threads:
    thread.start()
for _ in range(3000):
    look.image()
for thread in threads:
    thread.join()
"""


@pytest.mark.slow
def test_small_pictures_made_in_threads_never_leave_the_window_standing_still():
    """Qt's own reader did within a second, in a thread, on a buffer made in Python."""
    words = [sys.executable, "-c", WITHOUT_STANDING_STILL]
    done = subprocess.run(words, check=False, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr[-2000:]


def test_small_pictures_of_first_looks_come_while_the_window_decodes_others(thumbnails, qtbot):
    """With Qt's reader in the worker both waited for each other within some hundred pictures."""
    book = LookBook()
    look = book.keep(np.full((320, 480, 3), 90, np.uint8))
    heard = []
    thumbnails.arrived.connect(lambda index, image: heard.append((index, image.width(), image.height())))
    for index in range(500):
        thumbnails.want(index, look.thumbnail)
        assert not look.image().isNull()
    qtbot.waitUntil(lambda: len(heard) == 500)
    book.close()
    assert {(width, height) for _, width, height in heard} == {(168, 112)}
