import threading
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, Signal

from tests.gui.stand_ins import FakePipeline, fake_decode, make_night
from triage.errors import OutputError, Stopped
from triage.records.event import EventKind
from triage.records.result import Options
from triage.ui.workers import pictures as pictures_module
from triage.ui.workers.job import Job
from triage.ui.workers.pictures import Detail, Pictures
from triage.ui.workers.reading import CardReading

NIGHT = make_night(((EventKind.SUBJECT, 6),))
CARD = Path("/cards/night")


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


def test_a_hundred_readings_started_and_dropped_end_well(reading, qtbot):
    for _turn in range(100):
        reading.start(CARD, Options())
    qtbot.waitUntil(lambda: not reading._readers)
    assert not reading.is_running


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
        assert self.gate.wait(20)
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
        pictures.want(2, Detail.SCREEN, long_edge=500, neighbours=(3, 1, 99, -1))
    assert told.args[0].index == 2
    assert told.args[0].image.width() == 600
    qtbot.waitUntil(lambda: not pictures.is_busy)
    assert sorted(decode.done) == [(1, 500), (2, 500), (3, 500)]
    assert pictures.cached(3, Detail.SCREEN) is not None


def test_a_picture_at_hand_arrives_at_once(pictures, decode, qtbot):
    decode.gate.set()
    with qtbot.waitSignal(pictures.arrived):
        pictures.want(2, Detail.FULL, long_edge=500)
    with qtbot.waitSignal(pictures.arrived, timeout=0):
        pictures.want(2, Detail.SCREEN, long_edge=500)
    assert decode.done == [(2, None)]


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
