"""A night as the time line shows one, without words: what the first page is about, seen at a glance."""

from datetime import datetime, timedelta
from math import cos, pi

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from triage.records.event import EventKind
from triage.records.night import Night, SetupSource, Sky, Window
from triage.ui import theme
from triage.ui.timeline.axis import TimeAxis, to_seconds
from triage.ui.timeline.look import Look, sky_tone
from triage.ui.timeline.ribbon_bands import Bands
from triage.ui.timeline.shapes import draw_mark
from triage.ui.timeline.sky_layer import SkyLayer

START, HOURS = datetime(2026, 10, 3, 16, 30), 16
NOON = datetime(2026, 10, 3, 12)
STEP_MIN = 10
MARKS: tuple[tuple[float, EventKind], ...] = (
    (0.5, EventKind.SETUP),
    (2.6, EventKind.EMPTY),
    (3.4, EventKind.SUBJECT),
    (4.3, EventKind.SUBJECT),
    (6.1, EventKind.DARK),
    (7.7, EventKind.SUBJECT),
    (9.2, EventKind.EMPTY),
    (9.6, EventKind.SUBJECT),
    (11.9, EventKind.EMPTY),
    (13.1, EventKind.SUBJECT),
    (15.5, EventKind.SETUP),
)
"""Hours after the start, and what came then."""


def _height(moment: datetime) -> float:
    """Return how high the sun stands, in degrees: a made-up autumn at middle latitudes."""
    return 30 * cos(2 * pi * (moment - NOON) / timedelta(days=1)) - 8


def _night() -> Night:
    end = START + timedelta(hours=HOURS)
    moments = [START + timedelta(minutes=at) for at in range(0, HOURS * 60 + 1, STEP_MIN)]
    moon = Window(START + timedelta(hours=5.5), START + timedelta(hours=15))
    sky = Sky(None, None, (), 0.46, (moon,), tuple((moment, _height(moment)) for moment in moments))
    return Night(START, end, (), SetupSource.WORKED_OUT, sky, "")


class NightSketch(QWidget):
    """The picture; there is nothing to press in it, and nothing in it that the words beside do not say."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._night = _night()
        self._look = Look.of(self.font())

    def sizeHint(self) -> QSize:
        """Return the height of the ribbon's field and its foot."""
        return QSize(400, round(self._bands().field.bottom() + self._look.line * 0.4))

    def _bands(self) -> Bands:
        axis = TimeAxis.over(to_seconds(self._night.start), to_seconds(self._night.end))
        return Bands.of(self._look, axis.placed(0, max(1.0, float(self.width()))))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the size of text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._look = Look.of(self.font())
            self.updateGeometry()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint sky, ground and marks."""
        bands, look = self._bands(), self._look
        axis = TimeAxis.over(to_seconds(self._night.start), to_seconds(self._night.end))
        axis = axis.placed(0, float(self.width()))
        with QPainter(self) as painter:
            painter.fillRect(bands.names.united(bands.field), sky_tone("night"))
            SkyLayer(painter, look, axis, bands).paint(self._night)
            foot = bands.field.bottom()
            painter.fillRect(QRectF(0, foot, self.width(), 1), theme.colour(theme.OUTLINE))
            for hours, kind in MARKS:
                x = round(axis.x_of(axis.first + 3600 * hours))
                top = foot - look.line * (2.0 if kind is EventKind.SUBJECT else 1.4)
                mark = theme.EVENT_MARKS[kind]
                painter.fillRect(QRectF(x - 1, top, 2, foot - top), theme.colour(mark.colour, 0.85))
                draw_mark(painter, mark, QPointF(x, top), look.radius)
