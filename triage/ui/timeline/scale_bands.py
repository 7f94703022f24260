"""The rows of the event's scale, and what is to be seen on them."""

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPixmap

from triage.records.decision import Verdict
from triage.records.event import Event
from triage.records.frame import Frame
from triage.ui.timeline.look import Look
from triage.ui.timeline.scale_layout import ScaleLayout, fitting_width
from triage.ui.timeline.scene import Scene
from triage.ui.timeline.words import offset_label

SHAPE = 1.5
"""Width of a thumbnail against its height: most frames of a still camera."""
LEAST_LINES, MOST_LINES = 4.6, 8.5
"""Height of a thumbnail in lines of labels."""
LARGE_TEXT_LINES, LARGE_TEXT_PX = 2.0, 33
"""With large text a thumbnail need not be higher than so many lines and pixels: words are not what it is for."""
FUNNEL_LINES, LEADER_LINES = 1.0, 1.9
"""Height of the rows above and below the thumbnails."""
MARGIN_PX = 6
"""Between two thumbnails."""
TENTHS_BELOW_S = 2.0
"""Offsets are written with tenths where frames usually follow each other faster."""


@dataclass(frozen=True, slots=True)
class ScaleBands:
    """The rows of the event's scale, from top to bottom.

    Attributes
    ----------
    left, room : float
        Where the frames begin, and how much of them is seen at once.
    funnel : float
        Bottom of the row that leads down from the night.
    thumb_w, thumb_h : float
        Size of a thumbnail.
    axis_y : float
        The line of time.
    labels : float
        Baseline of the offsets.
    overview : QRectF
        The strip that shows all frames where they do not fit.
    """

    left: float
    room: float
    funnel: float
    thumb_w: float
    thumb_h: float
    axis_y: float
    labels: float
    overview: QRectF

    @classmethod
    def of(cls, look: Look, width: float, height: float, frames: int) -> "ScaleBands":
        """Share the room out for so many frames; the thumbnails take what the rest leaves."""
        funnel = round(look.line * FUNNEL_LINES)
        leaders = round(look.line * LEADER_LINES)
        below = look.line * 1.2 + 10
        least, most = _least(look), look.line * MOST_LINES
        room = max(1.0, width - look.gutter - look.pad)
        high = min(max(height - funnel - leaders - below, least), most)
        slot = fitting_width(
            frames, room=room, least=least * SHAPE + MARGIN_PX, most=high * SHAPE + MARGIN_PX
        )
        thumb_h = int((slot - MARGIN_PX) / SHAPE)
        axis_y = funnel + thumb_h + leaders
        labels = axis_y + 5 + look.metrics.ascent()
        strip = QRectF(look.gutter, labels + look.metrics.descent() + 3, room, 5)
        return cls(look.gutter, room, funnel, int(slot - MARGIN_PX), thumb_h, axis_y, labels, strip)

    @property
    def slot(self) -> float:
        """Width of a thumbnail with its margin."""
        return self.thumb_w + MARGIN_PX

    @staticmethod
    def heights(look: Look) -> tuple[int, int]:
        """Return the least height, and the one beyond which nothing is gained."""
        rest = round(look.line * FUNNEL_LINES) + round(look.line * LEADER_LINES) + look.line * 1.2 + 12
        return round(rest + _least(look)), round(rest + look.line * MOST_LINES)


def _least(look: Look) -> float:
    """Return the least height of a thumbnail."""
    return min(look.line * LEAST_LINES, look.line * LARGE_TEXT_LINES + LARGE_TEXT_PX)


@dataclass(frozen=True, slots=True)
class ScaleState:
    """What is to be seen of one event.

    Attributes
    ----------
    scene : Scene
        The night.
    event : Event
        The event.
    layout : ScaleLayout
        Where its frames stand.
    scroll : float
        How far the layout is moved to the left.
    verdicts : mapping of int to Verdict
        By `Frame.index`.
    thumbnails : mapping of int to QPixmap
        By `Frame.index`, no larger than a thumbnail's room.
    """

    scene: Scene
    event: Event
    layout: ScaleLayout
    scroll: float
    verdicts: Mapping[int, Verdict]
    thumbnails: Mapping[int, QPixmap]

    def frame(self, position: int) -> Frame:
        """Return the frame at a position in the event."""
        return self.scene.frames[self.event.frames[position]]

    def offset_words(self, position: int) -> str:
        """Say how long after the event's first frame, so that it is told from its neighbours."""
        return offset_label(self.layout.offsets, position, tenths=self.layout.tempo < TENTHS_BELOW_S)
