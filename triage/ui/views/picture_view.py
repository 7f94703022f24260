"""The big picture: whole or at full size, with the outline of the subject, shadows lifted on demand."""

import math
from dataclasses import dataclass

from PySide6.QtCore import (
    QEasingCurve,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
    QVariantAnimation,
    Signal,
    Slot,
)
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QHideEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QStyle, QWidget

from triage.records.decision import Verdict
from triage.records.measurement import Subject
from triage.ui import theme
from triage.ui.timeline.canvas import NOTCH
from triage.ui.tongue import tr
from triage.ui.views.gaze import PAN_SHARE, Gaze
from triage.ui.views.overlay import Lamp, Overlay
from triage.ui.views.shadows import STEPS_EV, lifted

GLIDE_MS = 120
"""How long a closer look takes to arrive: long enough to keep the eye on the place, too short to wait for."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What is said on and around the picture.

    Attributes
    ----------
    title : str
        For the screen reader.
    size : tuple of int or None
        Width and height of the full picture where known.
    subject : Subject or None
        To be outlined.
    unsure : bool
        Outline it as doubtful.
    verdict : Verdict or None
        Shown in a corner.
    lamps : tuple of Lamp
        What lit it, written over it on demand.
    """

    title: str
    size: tuple[int, int] | None = None
    subject: Subject | None = None
    unsure: bool = False
    verdict: Verdict | None = None
    lamps: tuple[Lamp, ...] = ()


NOTHING = Shown("")


class PictureView(QWidget):
    """Show one picture; the owner brings images, this asks for a full one when it is needed.

    Attributes
    ----------
    caption : str
        Written in the upper left corner; empty for nothing.
    holds_look : bool
        Whether another frame is shown where one looks now, not whole.
    """

    full_wanted = Signal()
    """The look is closer than what is at hand can show."""
    looked = Signal(object)
    """The person looks elsewhere: a `Gaze`."""
    changed = Signal()
    """Another frame, a better image of it, or other words."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(240, 140)
        self.setAccessibleName(tr("Picture"))
        self._shown = NOTHING
        self._image: QImage | None = None
        self._message = ""
        self._gaze = Gaze((3, 2), (1, 1))
        self._seen = self._gaze
        self._moving = QVariantAnimation(self)
        self._moving.setStartValue(0.0)
        self._moving.setEndValue(1.0)
        self._moving.setEasingCurve(QEasingCurve.Type.OutCubic)
        self._moving.valueChanged.connect(self._move)
        self._left_from = self._gaze
        self.caption = ""
        self.holds_look = False
        self._outline = True
        self._lamps = False
        self._lift = 0
        self._ready: tuple[object, QImage, QRect] | None = None
        self._drag: QPointF | None = None

    @property
    def gaze(self) -> Gaze:
        """Where one looks now."""
        return self._gaze

    @property
    def shown(self) -> Shown:
        """What is said on the picture."""
        return self._shown

    @property
    def image(self) -> QImage | None:
        """What is painted now."""
        return self._image

    @property
    def is_outlined(self) -> bool:
        """Whether the subject is outlined."""
        return self._outline

    @property
    def lift_ev(self) -> float:
        """By how many stops shadows are lifted."""
        return STEPS_EV[self._lift]

    def show_frame(self, shown: Shown, image: QImage | None, message: str = "") -> None:
        """Show another frame, whole; `image` may be a first look, or None with a message."""
        self._shown, self._message = shown, message
        if not self.holds_look:
            self._gaze = self._gaze.whole()
        self._take(image)
        self._ask_for_more()
        self.setAccessibleDescription(" ".join(part for part in (shown.title, message) if part))

    def say(self, shown: Shown) -> None:
        """Show what is now said of the same frame; the same again costs nothing."""
        if shown == self._shown:
            return
        self._shown = shown
        self.setAccessibleDescription(shown.title)
        self.update()
        self.changed.emit()

    def replace_image(self, image: QImage) -> None:
        """Show a better image of the same frame; the look stays."""
        self._message = ""
        self._take(image)

    def show_problem(self, message: str) -> None:
        """Say why there is no (better) image."""
        self._message = message
        self.setAccessibleDescription(f"{self._shown.title} {message}")
        self.update()
        self.changed.emit()

    def _take(self, image: QImage | None) -> None:
        self._image = image
        self._ready = None
        if image is not None:
            self._gaze = self._gaze.sized(picture=self._full_size(image), view=self._device_size())
        self._arrive()
        self.changed.emit()

    def _full_size(self, image: QImage) -> tuple[int, int]:
        """Return the full picture's size: what the camera wrote, unless the image is of another shape."""
        have = (image.width(), image.height())
        wrote = self._shown.size
        if wrote is None or max(wrote) < max(have):
            return have
        skew = abs(math.log(wrote[0] * have[1] / (wrote[1] * have[0])))
        return wrote if skew < 0.03 else have

    def _device_size(self) -> tuple[int, int]:
        ratio = self.devicePixelRatioF()
        return round(self.width() * ratio), round(self.height() * ratio)

    def long_edge(self) -> int:
        """Return how many pixels the view needs along the picture's long edge to show it whole."""
        width, height = self._device_size()
        if self._shown.size is None:
            return max(width, height)
        across, along = self._shown.size
        return round(max(across, along) * min(width / across, height / along))

    def toggle_closer(self) -> None:
        """Look at the subject at full size, or at the whole again."""
        box = self._shown.subject.box if self._shown.subject else None
        self._look(self._gaze.at(box) if self._gaze.fits else self._gaze.whole())

    def zoom(self, steps: float) -> None:
        """Look closer, or from further away."""
        self._look(self._gaze.zoomed(steps))

    def toggle_outline(self) -> bool:
        """Show or hide the outline; return which."""
        self._outline = not self._outline
        self.update()
        return self._outline

    def toggle_lamps(self) -> bool:
        """Show or hide what lit the frame; return which."""
        self._lamps = not self._lamps
        self.update()
        return self._lamps

    def cycle_shadows(self) -> float:
        """Lift the shadows by the next step; return by how many stops."""
        self.lift_shadows(STEPS_EV[(self._lift + 1) % len(STEPS_EV)])
        return self.lift_ev

    def lift_shadows(self, stops: float) -> None:
        """Lift the shadows by one of `STEPS_EV`."""
        self._lift = STEPS_EV.index(stops)
        self._ready = None
        self.update()

    def follow(self, gaze: Gaze) -> None:
        """Look where another view looks."""
        self._gaze = self._gaze.like(gaze)
        self._arrive()
        self._ask_for_more()

    def _look(self, gaze: Gaze) -> None:
        """Look elsewhere, as the person wishes; on the way there unless the system asks for no movement."""
        if gaze == self._gaze:
            return
        self._left_from, self._gaze = self._seen, gaze
        self._moving.stop()
        usual = self.style().styleHint(QStyle.StyleHint.SH_Widget_Animation_Duration, None, self)
        if usual > 0 and self.isVisible() and self._image is not None and self._drag is None:
            self._moving.setDuration(min(GLIDE_MS, usual))
            self._moving.start()
        else:
            self._arrive()
        self.looked.emit(gaze)
        self._ask_for_more()

    @Slot(object)
    def _move(self, share: float) -> None:
        self._seen = self._left_from.between(self._gaze, share)
        self.update()

    def _arrive(self) -> None:
        """See what one looks at, without a way there."""
        self._moving.stop()
        self._seen = self._gaze
        self.update()

    def hideEvent(self, event: QHideEvent) -> None:
        """Leave no movement going on."""
        super().hideEvent(event)
        self._arrive()

    def _ask_for_more(self) -> None:
        """Ask for the full picture where the one at hand would be blown up and there is more of it."""
        if self._image is None:
            return
        have, whole = self._image.width(), self._gaze.picture[0]
        if have < whole and self._gaze.actual_scale * whole > have * 1.05:
            self.full_wanted.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fit again."""
        super().resizeEvent(event)
        self._gaze = self._gaze.sized(picture=self._gaze.picture, view=self._device_size())
        self._arrive()
        self._ask_for_more()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom around the pointer."""
        ratio = self.devicePixelRatioF()
        at = event.position()
        self._look(self._gaze.zoomed(event.angleDelta().y() / NOTCH, (at.x() * ratio, at.y() * ratio)))
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to drag."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._drag = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the picture along."""
        if self._drag is not None:
            moved = (self._drag - event.position()) * self.devicePixelRatioF()
            self._drag = event.position()
            self._look(self._gaze.panned(moved.x(), moved.y()))

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        """End to drag."""
        self._drag = None

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Look closer where the pointer is, or at the whole again."""
        left, top, width, height = self._gaze.rect()
        ratio = self.devicePixelRatioF()
        x, y = (event.position().x() * ratio - left) / width, (event.position().y() * ratio - top) / height
        closer = self._gaze.at(None).panned(
            (x - 0.5) * self._gaze.picture[0] * max(1.0, self._gaze.fit_scale),
            (y - 0.5) * self._gaze.picture[1] * max(1.0, self._gaze.fit_scale),
        )
        self._look(closer if self._gaze.fits else self._gaze.whole())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the look with Alt and the arrow keys."""
        steps = {
            Qt.Key.Key_Left: (-1, 0),
            Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Up: (0, -1),
            Qt.Key.Key_Down: (0, 1),
        }
        step = steps.get(Qt.Key(event.key()))
        if step is None or not event.modifiers() & Qt.KeyboardModifier.AltModifier:
            super().keyPressEvent(event)
            return
        width, height = self._gaze.view
        self._look(self._gaze.panned(step[0] * width * PAN_SHARE, step[1] * height * PAN_SHARE))

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Hide the focus."""
        super().focusOutEvent(event)
        self.update()

    def sizeHint(self) -> QSize:
        """Ask for a usual picture's size."""
        return QSize(720, 480)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the picture, then what is said on it."""
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), QColor(theme.SUNK))
            if self._image is not None:
                self._paint_picture(painter)
            self._paint_over(Overlay(painter, QRectF(self.rect()), self._picture_rect()))
            if self.hasFocus():
                painter.setPen(QPen(QColor(theme.ACCENT), 1))
                painter.drawRect(self.rect().adjusted(0, 0, -1, -1))

    def _paint_over(self, overlay: Overlay) -> None:
        shown = self._shown
        if self._image is not None:
            if self._outline and shown.subject is not None:
                overlay.outline(shown.subject, unsure=shown.unsure)
            if self._lamps:
                overlay.lamps(shown.lamps)
            if shown.verdict is not None:
                overlay.verdict(shown.verdict)
        if self.caption:
            overlay.caption(self.caption)
        if self._message or self._image is None:
            overlay.message(self._message or tr("No picture yet."))
        if self.lift_ev:
            overlay.note(tr("Shadows lifted by {stops} stops, for looking only", stops=f"{self.lift_ev:.0f}"))

    def _picture_rect(self) -> QRectF:
        """Return where the whole picture lies, in the widget's units."""
        ratio = self.devicePixelRatioF()
        return QRectF(*(length / ratio for length in self._seen.rect()))

    def _paint_picture(self, painter: QPainter) -> None:
        ready = self._prepared()
        if ready is not None:
            image, place = ready
            ratio = self.devicePixelRatioF()
            image.setDevicePixelRatio(ratio)
            painter.drawImage(QPointF(place.x() / ratio, place.y() / ratio), image)

    def _prepared(self) -> tuple[QImage, QRect] | None:
        """Return the visible part as it goes to the screen, pixel for pixel; kept until something changes."""
        image = self._image
        if image is None or image.isNull():
            return None
        state = (id(image), self._seen, self._lift)
        if self._ready is None or self._ready[0] != state:
            whole = QRectF(*self._seen.rect())
            place = whole.toAlignedRect().intersected(QRect(0, 0, *self._seen.view))
            part = self._cut(image, whole, place, fine=self._seen == self._gaze)
            self._ready = (state, lifted(part, self.lift_ev) if self.lift_ev else part, place)
        return self._ready[1], self._ready[2]

    @staticmethod
    def _cut(image: QImage, whole: QRectF, place: QRect, *, fine: bool) -> QImage:
        """Return the visible part at the size of the screen; roughly, not `fine`, while the look moves."""
        if place.size() == whole.toAlignedRect().size():
            off = (image.width() - place.width(), image.height() - place.height())
            if max(map(abs, off)) <= 1:  # made for the screen in a worker; the view rounds otherwise
                return QImage(image)
        if fine and place.size() == whole.toAlignedRect().size():
            return image.scaled(
                place.size(), Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
            )
        per_pixel = image.width() / whole.width()
        source = QRectF(
            (place.x() - whole.x()) * per_pixel,
            (place.y() - whole.y()) * (image.height() / whole.height()),
            place.width() * per_pixel,
            place.height() * (image.height() / whole.height()),
        )
        part = QImage(place.size(), QImage.Format.Format_RGB888)
        with QPainter(part) as painter:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, fine and per_pixel != 1.0)
            painter.drawImage(QRectF(part.rect()), image, source)
        return part
