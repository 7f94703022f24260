"""What is written and drawn over the big picture."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from triage.records.decision import Verdict
from triage.records.diagnosis import Part
from triage.records.finding import Judgement
from triage.records.measurement import Subject
from triage.ui import theme
from triage.ui.marks import paint_mark
from triage.ui.tongue import tr
from triage.ui.words import PART_TITLES, light_rows, sureness, verdict_word

GLASS = 0.96
"""How little of the picture shows through a plate with text."""
FULLEST = 1.25
"""The right end of a bar of light, in healthy outputs."""


@dataclass(frozen=True, slots=True)
class Lamp:
    """One source of light, as written over the picture.

    Attributes
    ----------
    side : str
        ``left``, ``right``, ``top`` or ``bottom``: where its plate lies.
    name, amount : str
        In words.
    share : float or None
        Amount to draw; None where it cannot be told.
    """

    side: str
    name: str
    amount: str
    share: float | None


SIDES = {Part.FLASH_LEFT: "left", Part.FLASH_RIGHT: "right", Part.FLASH_3: "top"}


def lamps_of(judgement: Judgement) -> tuple[Lamp, ...]:
    """Return what lit a frame: each flash on the side that it comes from, other light below."""
    places = {tr(PART_TITLES[part]): side for part, side in SIDES.items()}
    return tuple(
        Lamp(places.get(name, "bottom"), name, words, share) for name, words, share in light_rows(judgement)
    )


class Overlay:
    """Paint over a picture.

    Parameters
    ----------
    painter : QPainter
        On the view.
    room : QRectF
        The view.
    frame : QRectF
        Where the whole picture lies in it; parts may be outside.
    """

    def __init__(self, painter: QPainter, room: QRectF, frame: QRectF) -> None:
        self._painter = painter
        self._room = room
        self._frame = frame
        self._seen = frame.intersected(room)
        self._metrics = painter.fontMetrics()

    def outline(self, subject: Subject, *, unsure: bool) -> None:
        """Draw a line around the subject, with gaps where it is doubtful."""
        frame, box = self._frame, subject.box
        rect = QRectF(
            frame.x() + box.x0 * frame.width(),
            frame.y() + box.y0 * frame.height(),
            (box.x1 - box.x0) * frame.width(),
            (box.y1 - box.y0) * frame.height(),
        )
        # The line lies on a picture, not on the window: the dark room's colours in every room.
        self._painter.setPen(QPen(QColor(theme.DARK.sunk), 4))
        self._painter.drawRect(rect)
        dash = Qt.PenStyle.DashLine if unsure else Qt.PenStyle.SolidLine
        self._painter.setPen(QPen(QColor(theme.DARK.accent), 1.6, dash))
        self._painter.drawRect(rect)
        words = tr("unsure") if unsure else sureness(subject.confidence)
        label = QRectF(0, 0, self._metrics.horizontalAdvance(words) + 10, self._metrics.height() + 4)
        label.moveBottomLeft(rect.topLeft())
        if label.top() < 0:
            label.moveTopLeft(QPointF(rect.left(), max(0.0, rect.top())))
        label.moveLeft(min(max(0.0, label.left()), self._room.width() - label.width()))
        self._plate(label, words, theme.ACCENT)

    def verdict(self, verdict: Verdict) -> None:
        """Say what is decided, in the lower right corner."""
        self.sign(theme.VERDICT_MARKS[verdict], verdict_word(verdict))

    def sign(self, mark: theme.Mark, words: str) -> None:
        """Say something with its mark, in the lower right corner."""
        line = self._metrics.height()
        width = self._metrics.horizontalAdvance(words) + line + 18
        plate = QRectF(self._seen.right() - width, self._seen.bottom() - line - 10, width, line + 10)
        self._painter.fillRect(plate, theme.colour(theme.SUNK, GLASS))
        place = QRectF(plate.left() + 5, plate.top() + 5, line, line)
        paint_mark(self._painter, place, mark)
        self._painter.setPen(QColor(theme.INK))
        self._painter.drawText(plate.adjusted(line + 10, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, words)

    def message(self, words: str) -> None:
        """Say something in the middle."""
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        room = self._room.adjusted(20, 20, -20, -20)
        needed = self._painter.boundingRect(room, flags, words)
        self._painter.fillRect(needed.adjusted(-10, -6, 10, 6), theme.colour(theme.SUNK, GLASS))
        self._painter.setPen(QColor(theme.QUIET))
        self._painter.drawText(room, flags, words)

    def caption(self, words: str) -> None:
        """Say which frame it is, in the upper left corner."""
        height = self._metrics.height() + 6
        width = min(self._seen.width(), self._metrics.horizontalAdvance(words) + 12.0)
        plate = QRectF(self._seen.left(), self._seen.top(), width, height)
        self._plate(plate, self._elided(words, width), theme.INK)

    def note(self, words: str) -> None:
        """Say how the picture is shown, in the lower left corner."""
        height = self._metrics.height() + 6
        width = min(self._seen.width(), self._metrics.horizontalAdvance(words) + 12.0)
        plate = QRectF(self._seen.left(), self._seen.bottom() - height, width, height)
        self._plate(plate, self._elided(words, width), theme.ACCENT)

    def lamps(self, lamps: tuple[Lamp, ...]) -> None:
        """Say how much light each source gave, on the side that it comes from."""
        line = float(self._metrics.height())
        for lamp in lamps:
            widest = max(self._metrics.horizontalAdvance(words) for words in (lamp.name, lamp.amount))
            plate = QRectF(0, 0, widest + 16.0, 3 * line + 6.0)
            plate.moveCenter(self._seen.center())
            if lamp.side == "left":
                plate.moveLeft(self._seen.left())
            elif lamp.side == "right":
                plate.moveRight(self._seen.right())
            elif lamp.side == "top":
                plate.moveTop(self._seen.top())
            else:
                plate.moveBottom(self._seen.bottom() - line - 6)  # above what is said in the lower corners
            self._painter.fillRect(plate, theme.colour(theme.SUNK, GLASS))
            self._painter.setPen(QColor(theme.INK))
            words = QRectF(plate.left(), plate.top() + 2, plate.width(), 2 * line)
            self._painter.drawText(words, Qt.AlignmentFlag.AlignCenter, f"{lamp.name}\n{lamp.amount}")
            bar = QRectF(plate.left() + 8, words.bottom() + line * 0.15, plate.width() - 16, line * 0.5)
            paint_amount(self._painter, bar, lamp.share)

    def _plate(self, plate: QRectF, words: str, shade: str) -> None:
        self._painter.fillRect(plate, theme.colour(theme.SUNK, GLASS))
        self._painter.setPen(QColor(shade))
        self._painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, words)

    def _elided(self, words: str, width: float) -> str:
        return self._metrics.elidedText(words, Qt.TextElideMode.ElideMiddle, round(width) - 8)


def paint_amount(painter: QPainter, rect: QRectF, share: float | None) -> None:
    """Paint a bar of light with a tick at the healthy amount; hatched where it cannot be told."""
    rect = rect.adjusted(0.5, 0.5, -0.5, -0.5)
    painter.setPen(QPen(QColor(theme.OUTLINE), 1))
    painter.setBrush(QColor(theme.SUNK))
    painter.drawRect(rect)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if share is None:
        painter.fillRect(rect, QBrush(QColor(theme.OUTLINE), Qt.BrushStyle.BDiagPattern))
        return
    full = rect.adjusted(1, 1, -1, -1)
    full.setWidth(full.width() * min(1.0, max(0.0, share / FULLEST)))
    painter.fillRect(full, QColor(theme.AMOUNT))
    tick = rect.left() + rect.width() / FULLEST
    painter.setPen(QPen(QColor(theme.INK), 1.5))
    painter.drawLine(QPointF(tick, rect.top()), QPointF(tick, rect.bottom()))
