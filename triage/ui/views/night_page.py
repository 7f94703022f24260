"""About this night: place, zone, flashes and the times at the rig, as a person may know them."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import QDateTime, QEvent, Qt, Signal, Slot
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QDateTimeEdit,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from triage.records.night import Window
from triage.records.result import Options
from triage.ui.night_book import Wish
from triage.ui.tongue import tr
from triage.ui.views.parts import TITLE_SCALE, Button, Column, Heading, Words, centred_rows

FIELD_LETTERS = 4
"""Room in a field beyond its hint, in letters."""
TIME_FORMAT = "yyyy-MM-dd HH:mm"
FLASHES: tuple[tuple[str, int | None], ...] = (
    ("worked out from the pictures", None),
    ("one", 1),
    ("two", 2),
    ("three", 3),
)
CELLS = (("not fresh, or not known", False), ("fresh when the night began", True))
INTRO = (
    "What you know of the night helps the tool: with the place and the zone of the camera's clock it draws the "
    "real sky and says when the sun sets; with the distance, advice on the aim says centimetres. Leave empty what "
    "you do not know. It is remembered for this card, and offered again for the same site. A night whose site "
    "has a name goes on record, and \u201ctriage sites\u201d tells what the weeks show, and how long cells last once "
    "it knows when they were fresh."
)


class NightPage(QScrollArea):
    """The sheet as a page of its own; Esc goes back and changes nothing."""

    left = Signal()
    wanted = Signal(object)
    """A `Wish`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName(tr("About this night"))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._first = datetime(2000, 1, 1)
        self._last = self._first
        self._sites: Callable[[str], Options | None] = lambda _name: None
        self.site, self.lat, self.lon, self.tz = QComboBox(), QLineEdit(), QLineEdit(), QLineEdit()
        self.distance = QLineEdit()
        self.flashes, self.cells = QComboBox(), QComboBox()
        self.trouble = Words()
        self.stretches: list[_Stretch] = []
        self._rows = QVBoxLayout()
        page = Column()
        outer = centred_rows(page)
        self._head(outer)
        outer.addLayout(self._form())
        self._setup(outer)
        outer.addStretch(1)
        self.setWidget(page)
        self._fit_text()
        self.setFocusProxy(self.site)

    def _head(self, rows: QVBoxLayout) -> None:
        head = QHBoxLayout()
        head.addWidget(Heading(tr("About this night"), scale=TITLE_SCALE), 1)
        back = Button(tr("Back (Esc)"))
        back.clicked.connect(self.left)
        head.addWidget(back, 0, Qt.AlignmentFlag.AlignTop)
        rows.addLayout(head)
        rows.addWidget(Words(tr(INTRO), quiet=True))
        self.trouble.setObjectName("plate")
        self.trouble.hide()
        rows.addWidget(self.trouble)

    def _form(self) -> QFormLayout:
        form = QFormLayout()
        form.setHorizontalSpacing(18)
        form.setVerticalSpacing(8)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.FieldsStayAtSizeHint)
        self.site.setEditable(True)
        self.site.activated.connect(self._offer_site)
        for field, hint in (
            (self.lat, tr("degrees, north positive, as in 51.25")),
            (self.lon, tr("degrees, east positive, as in 7.5")),
            (self.tz, tr("as in Europe/Berlin, or +01:00")),
            (self.distance, tr("metres, as in 3.5")),
        ):
            field.setPlaceholderText(hint)
            field.setAccessibleDescription(hint)
        for field in (self.lat, self.lon, self.tz, self.distance):
            field.returnPressed.connect(self._want)
        for title, number in FLASHES:
            self.flashes.addItem(tr(title), number)
        for title, is_fresh in CELLS:
            self.cells.addItem(tr(title), is_fresh)
        fields: tuple[tuple[str, QWidget], ...] = (
            ("Site", self.site),
            ("Latitude", self.lat),
            ("Longitude", self.lon),
            ("Zone of the camera's clock", self.tz),
            ("Flashes", self.flashes),
            ("Cells of the flashes", self.cells),
            ("Distance to where animals pass", self.distance),
        )
        for title, widget in fields:
            widget.setAccessibleName(tr(title))
            if isinstance(widget, QComboBox):
                widget.view().setAccessibleName(tr(title))
            for part in (*widget.findChildren(QLineEdit), *widget.findChildren(QAbstractItemView)):
                part.setAccessibleName(tr(title))
            form.addRow(tr(title), widget)
        return form

    def _fit_text(self) -> None:
        """Make the fields as wide as the longest hint needs."""
        metrics = self.fontMetrics()
        hints = (field.placeholderText() for field in (self.lat, self.lon, self.tz, self.distance))
        width = max(map(metrics.horizontalAdvance, hints)) + FIELD_LETTERS * metrics.averageCharWidth()
        for field in (self.site, self.lat, self.lon, self.tz, self.flashes, self.cells, self.distance):
            field.setMinimumWidth(width)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the text size."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange and self.widget() is not None:
            self._fit_text()

    def _setup(self, rows: QVBoxLayout) -> None:
        rows.addWidget(Heading(tr("When you were at the rig")))
        rows.addWidget(
            Words(
                tr("In the camera's own time. With none given, the tool works it out from the pictures."),
                quiet=True,
            )
        )
        rows.addLayout(self._rows)
        add = Button(tr("Add a stretch of time"))
        add.clicked.connect(self.add_stretch)
        rows.addWidget(add)
        rows.addSpacing(rows.spacing())
        done = Button(tr("Use this and read the card again"))
        done.setDefault(True)
        done.clicked.connect(self._want)
        rows.addWidget(done)

    def show_night(
        self,
        wish: Wish,
        *,
        between: tuple[datetime, datetime],
        sites: tuple[str, ...],
        look_up: Callable[[str], Options | None],
    ) -> None:
        """Show what is known of a night.

        Parameters
        ----------
        wish : Wish
            What was said of it.
        between : (datetime, datetime)
            Camera time of the first and the last frame.
        sites : tuple of str
            Known sites.
        look_up : callable
            Returns what is known of a site.
        """
        self._first, self._last = between
        self._sites = look_up
        self.say_trouble("")
        self.site.clear()
        self.site.addItems(["", *sites])
        self._fill(wish)
        self.cells.setCurrentIndex([is_fresh for _title, is_fresh in CELLS].index(wish.has_fresh_cells))
        for stretch in list(self.stretches):
            self._remove(stretch)
        for window in wish.setup:
            self._add(window)

    def _fill(self, wish: Wish) -> None:
        self.site.setEditText(wish.site)
        self.lat.setText(wish.lat)
        self.lon.setText(wish.lon)
        self.tz.setText(wish.tz)
        self.distance.setText(wish.distance)
        self.flashes.setCurrentIndex([number for _title, number in FLASHES].index(wish.flashes))

    @Slot()
    def _offer_site(self) -> None:
        """Fill in what is known of the site chosen."""
        known = self._sites(self.site.currentText())
        if known is not None:
            self._fill(Wish.of(known))

    @Slot()
    def add_stretch(self) -> None:
        """Add a stretch: before the first, from the first frame on; after it, up to the last."""
        self._add(Window(self._first, self._first) if not self.stretches else Window(self._last, self._last))
        self.stretches[-1].start.setFocus()

    def _add(self, window: Window) -> None:
        stretch = _Stretch(window)
        stretch.unwanted.connect(self._remove)
        self.stretches.append(stretch)
        self._rows.addWidget(stretch)

    @Slot(object)
    def _remove(self, stretch: "_Stretch") -> None:
        self.stretches.remove(stretch)
        self._rows.removeWidget(stretch)
        stretch.hide()
        stretch.deleteLater()

    def wish(self) -> Wish:
        """Return what is written now."""
        return Wish(
            self.site.currentText(),
            self.lat.text(),
            self.lon.text(),
            self.tz.text(),
            self.flashes.currentData(),
            tuple(stretch.taken() for stretch in self.stretches),
            self.distance.text(),
            self.cells.currentData(),
        )

    @Slot()
    def _want(self) -> None:
        self.wanted.emit(self.wish())

    def say_trouble(self, words: str) -> None:
        """Say what cannot be understood, or take it away."""
        self.trouble.setText(words)
        self.trouble.setVisible(bool(words))


class _Stretch(QWidget):
    """One stretch of time at the rig."""

    unwanted = Signal(object)

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.start, self.end = _edit(window.start, "From"), _edit(window.end, "To")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for title, field in (("From", self.start), ("to", self.end)):
            label = Words(tr(title))
            label.setWordWrap(False)
            row.addWidget(label)
            row.addWidget(field)
        away = Button(tr("Take this one away"))
        away.clicked.connect(self._unwant)
        row.addWidget(away)
        row.addStretch(1)

    @Slot()
    def _unwant(self) -> None:
        self.unwanted.emit(self)

    def taken(self) -> Window:
        """Return the stretch."""
        return Window(_moment(self.start), _moment(self.end))


def _edit(moment: datetime, name: str) -> QDateTimeEdit:
    field = QDateTimeEdit(QDateTime.fromString(f"{moment:%Y-%m-%d %H:%M}", TIME_FORMAT))
    field.setDisplayFormat(TIME_FORMAT)
    for part in (field, *field.findChildren(QLineEdit)):
        part.setAccessibleName(tr(name))
    return field


def _moment(field: QDateTimeEdit) -> datetime:
    return datetime.strptime(field.dateTime().toString(TIME_FORMAT), "%Y-%m-%d %H:%M")
