"""What the tool says of a frame and why, in plain words with figures."""

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QElapsedTimer, QRectF, QSize, Qt, QTimer, Slot
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from triage.records.decision import Verdict
from triage.records.event import Event
from triage.records.finding import Judgement
from triage.records.frame import Frame
from triage.records.lengths import in_other_units
from triage.ui import theme
from triage.ui.marks import MarkLabel
from triage.ui.theme import Mark
from triage.ui.timeline.words import sayable
from triage.ui.tongue import counted, tr
from triage.ui.views.overlay import paint_amount
from triage.ui.views.parts import Column, Heading, Words, breakable
from triage.ui.words import (
    capture_words,
    clock,
    day,
    files_words,
    finding_title,
    light_rows,
    others_words,
    subject_words,
    sureness,
    told_subject,
    travel_words,
    verdict_word,
)

LEAST_CHARACTERS = 40
"""The panel is narrow below: the rows of light then do not fit side by side."""
LEAST_MS = 200
"""From one laying out to the next: nobody reads reasons quicker, and a key held down is not to wait for them."""
FILE_TIME = "{day}, {time} (time of the file; the camera wrote none)"
NOTE_TITLES = ("Note on the event: {note}", "Note on the night: {note}")


@dataclass(frozen=True, slots=True)
class Case:
    """All that the panel shows.

    Attributes
    ----------
    frame : Frame
        Which frame.
    event : Event
        Its event.
    judgement : Judgement or None
        None while it is not yet judged.
    others : mapping of int to Judgement
        What is said of the other frames.
    verdict : Verdict or None
        What is decided.
    tags : tuple of str
        The frame's.
    notes : (str, str)
        On the event and on the night; empty where there is none.
    chosen : int
        How many frames are chosen together; 0 for this one only.
    """

    frame: Frame
    event: Event
    judgement: Judgement | None
    others: Mapping[int, Judgement]
    verdict: Verdict | None
    tags: tuple[str, ...] = ()
    notes: tuple[str, str] = ("", "")
    chosen: int = 0


class LightBar(QWidget):
    """How much light there was, against a tick at the healthy amount; hatched where it cannot be told."""

    def __init__(self, share: float | None, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._share = share
        self.setAccessibleName(words)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Return half a line's height."""
        return QSize(80, max(8, self.fontMetrics().height() // 2))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the bar."""
        with QPainter(self) as painter:
            paint_amount(painter, QRectF(self.rect()), self._share)


class ReasonsPanel(QScrollArea):
    """Show a `Case`; the same case again costs nothing."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName(tr("Why"))
        self._case: Case | None = None
        self._is_narrow = False
        self._said: list[str] = []
        # Laid out after the frame is painted: the picture comes before what is said of it.
        self._laying_out = QTimer(self)
        self._laying_out.setSingleShot(True)
        self._laying_out.timeout.connect(self._lay_out)
        self._since = QElapsedTimer()

    @property
    def text(self) -> str:
        """Everything it says, line by line."""
        if self._laying_out.isActive():
            self._lay_out()
        return "\n".join(self._said)

    @property
    def is_behind(self) -> bool:
        """Whether it does not show the last case yet."""
        return self._laying_out.isActive()

    def show_case(self, case: Case | None) -> None:
        """Show what is said of a frame."""
        if case == self._case and case is not None:
            return
        self._case = case
        self._lay_out_soon()

    def _lay_out_soon(self) -> None:
        """Lay out in the next turn, or a little later where that was done just before."""
        if not self._laying_out.isActive():
            self._laying_out.start(max(0, LEAST_MS - self._since.elapsed()) if self._since.isValid() else 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put names above their bars where there is no room for them side by side."""
        super().resizeEvent(event)
        is_narrow = self.width() < self.fontMetrics().averageCharWidth() * LEAST_CHARACTERS
        if is_narrow != self._is_narrow:
            self._is_narrow = is_narrow
            self._laying_out.start(0)

    @Slot()
    def _lay_out(self) -> None:
        self._laying_out.stop()
        case, self._said = self._case, []
        if case is None:
            self._since.invalidate()  # an empty panel is not read: what comes after it comes at once
        else:
            self._since.restart()
        page = Column()
        rows = QVBoxLayout(page)
        rows.setContentsMargins(14, 10, 14, 12)
        rows.setSpacing(4)
        if case is not None:
            self._fill(rows, case)
        rows.addStretch(1)
        page.resize(self.viewport().size())  # else text is wrapped for another width first
        self.setWidget(page)
        self.setAccessibleDescription(self.text)

    def _fill(self, rows: QVBoxLayout, case: Case) -> None:
        self._head(rows, case)
        if case.judgement is None:
            reason = case.frame.problem
            if reason:
                self._say(rows, tr("File damaged: {reason}", reason=reason))
            else:
                self._say(rows, tr("Not yet judged; the card is still being read."))
        else:
            self._findings(rows, case.judgement)
            self._light(rows, case.judgement)
        self._section(rows, tr("The rest of the event"))
        self._say(rows, others_words(case.event, case.others, case.frame.index))
        if going := travel_words(case.event.travel):
            self._say(rows, going)
        self._capture(rows, case.frame)

    def _head(self, rows: QVBoxLayout, case: Case) -> None:
        name = sayable(case.frame.name)
        rows.addWidget(Heading(breakable(name)))
        self._said.append(name)
        at = case.event.frames.index(case.frame.index) + 1 if case.frame.index in case.event.frames else 0
        taken = "{day}, {time}" if case.frame.time_is_camera else FILE_TIME
        self._say(rows, tr(taken, day=day(case.frame.time), time=clock(case.frame.time)), quiet=True)
        is_best = case.frame.index == case.event.lead and len(case.event.frames) > 1
        where = tr(
            "Frame {place} of {number} in event {event}, its best"
            if is_best
            else "Frame {place} of {number} in event {event}",
            place=at,
            number=len(case.event.frames),
            event=case.event.id,
        )
        self._say(rows, where, quiet=True)
        mark = theme.VERDICT_MARKS[case.verdict] if case.verdict else None
        self._marked(rows, verdict_word(case.verdict).capitalize(), mark)
        if case.chosen:
            self._say(rows, counted(case.chosen, "{count} frame chosen", "{count} frames chosen together"))
        if case.tags:
            self._say(rows, tr("Tags: {tags}", tags=", ".join(case.tags)))
        self._notes(rows, case.notes)

    def _notes(self, rows: QVBoxLayout, notes: tuple[str, str]) -> None:
        for title, note in zip(NOTE_TITLES, notes, strict=True):
            if note:
                self._say(rows, tr(title, note=note))
                if lengths := in_other_units(note):
                    self._say(rows, f"= {'; '.join(lengths)}", quiet=True)

    def _findings(self, rows: QVBoxLayout, said: Judgement) -> None:
        subject = told_subject(said)
        self._section(rows, tr("Subject"))
        mark = theme.UNSURE_MARK if said.unsure else theme.SUBJECT_MARK if subject is not None else None
        self._marked(rows, subject_words(subject, unsure=said.unsure), mark)
        self._section(
            rows, tr("What speaks against it" if said.findings else "Nothing speaks against this frame")
        )
        for finding in said.findings:
            title = tr(
                "{finding} ({sure})", finding=finding_title(finding.kind), sure=sureness(finding.confidence)
            )
            self._marked(rows, title, theme.FINDING_MARKS[finding.kind])
            self._say(rows, finding.why, quiet=True)

    def _light(self, rows: QVBoxLayout, said: Judgement) -> None:
        light = light_rows(said)
        if not light:
            return
        self._section(rows, tr("Light"))
        grid = QGridLayout()
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(2, 1)
        for row, (name, words, share) in enumerate(light):
            said_of = tr("{name}: {words}", name=name, words=words)
            self._said.append(said_of)
            bar = LightBar(share, said_of)
            if self._is_narrow:
                grid.addWidget(Words(said_of), 2 * row, 0, 1, 3)
                grid.addWidget(bar, 2 * row + 1, 0, 1, 3)
                continue
            for column, label in enumerate((Words(name), Words(words, quiet=True))):
                label.setWordWrap(False)
                grid.addWidget(label, row, column)
            grid.addWidget(bar, row, 2)
        rows.addLayout(grid)

    def _capture(self, rows: QVBoxLayout, frame: Frame) -> None:
        self._section(rows, tr("The camera wrote"))
        self._say(rows, capture_words(frame.capture) or tr("Nothing about the exposure."))
        self._say(rows, files_words(frame), quiet=True)

    def _section(self, rows: QVBoxLayout, title: str) -> None:
        rows.addSpacing(self.fontMetrics().height() // 2)
        rows.addWidget(Words(title, bright=True))
        self._said.append(title)

    def _say(self, rows: QVBoxLayout, text: str, *, quiet: bool = False) -> None:
        rows.addWidget(Words(breakable(text), quiet=quiet))
        self._said.append(text)

    def _marked(self, rows: QVBoxLayout, text: str, mark: Mark | None) -> None:
        if mark is None:
            self._say(rows, text)
            return
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setColumnStretch(1, 1)
        grid.addWidget(MarkLabel(mark), 0, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(Words(text), 0, 1)
        rows.addLayout(grid)
        self._said.append(text)
