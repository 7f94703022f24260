"""What the pipeline yields, in the order it yields it."""

from dataclasses import dataclass

from triage.records.arrays import Rgb
from triage.records.card import Card
from triage.records.event import Event
from triage.records.finding import Judgement
from triage.records.frame import Frame
from triage.records.night import Night
from triage.records.result import Triage


@dataclass(frozen=True, slots=True)
class CardListed:
    """Every file on the card is known; nothing is opened yet."""

    card: Card


@dataclass(frozen=True, slots=True)
class HeadersProgress:
    """Headers of `done` of `total` exposures are read."""

    done: int
    total: int


@dataclass(frozen=True, slots=True)
class TimeLineReady:
    """All headers are read: the frames in order, and provisional events by time alone.

    Attributes
    ----------
    frames : tuple of Frame
        In order of exposure; the index of a frame does not change any more.
    night : Night
        Provisional: setup windows only where the user gave them, summary empty.
    events : tuple of Event
        Provisional: by time gap alone, all of kind ``mixed``. Frames of an event may move later.
    """

    card: Card
    frames: tuple[Frame, ...]
    night: Night
    events: tuple[Event, ...]


@dataclass(frozen=True, slots=True)
class PictureRead:
    """One frame is decoded, or failed to.

    Attributes
    ----------
    frame : Frame
        With `Frame.problem` filled where it failed.
    picture : Rgb or None
        The measuring picture (long edge `triage.ingest.decode.MEASURING_EDGE` at most); None for a damaged frame.
    done, total : int
        Progress.
    """

    frame: Frame
    picture: Rgb | None
    done: int
    total: int


@dataclass(frozen=True, slots=True)
class FrameJudged:
    """One frame's findings; they may be refined by `Finished`."""

    judgement: Judgement
    done: int
    total: int


@dataclass(frozen=True, slots=True)
class Finished:
    """The whole answer."""

    triage: Triage


Step = CardListed | HeadersProgress | TimeLineReady | PictureRead | FrameJudged | Finished
