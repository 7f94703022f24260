"""How the window looks: a dim room for eyes used to the night, a light one for the day, and colours with a meaning.

Meaning is always carried twice: a colour of the Okabe-Ito palette and a shape (`triage.ui.marks`), so nothing
is lost to a reader who does not tell the colours apart. Text is `INK` or `QUIET` on one of the grounds; the
palette colours are for shapes, never for small text. Marks lie on a dark badge in both rooms, because orange,
sky blue and yellow have too little contrast on anything light.

The colours of the room in use are read as `theme.INK`, `theme.GROUND` and so on, at the moment of painting.
"""

from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import QApplication, QStyleFactory

from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind


@dataclass(frozen=True, slots=True)
class Room:
    """The colours of one theme, each ``#RRGGBB``.

    Attributes
    ----------
    sunk : str
        Wells: around the picture, under the time line's tracks.
    ground : str
        The window.
    raised : str
        Panels, menus, buttons.
    hover : str
        A raised thing under the pointer; the selected row.
    rule : str
        Thin separators; decoration only.
    outline : str
        Outlines of controls and of meaningful shapes that have no colour of their own.
    ink : str
        Text. No pure white or black anywhere.
    quiet : str
        Secondary text.
    accent : str
        Focus, selection, the current frame.
    sky : dict of str to str
        Fill of the night ribbon by `SkySpan.kind`; lightness falls with the sun, and `ink` can be read on all.
    moon : str
        The moon and its arc.
    good, bad : str
        Edges of good and of bad news.
    amount : str
        Bars of light.
    at_rig : str
        Hatching of the time when the operator was at the rig.
    """

    sunk: str
    ground: str
    raised: str
    hover: str
    rule: str
    outline: str
    ink: str
    quiet: str
    accent: str
    sky: dict[str, str]
    moon: str
    good: str
    bad: str
    amount: str
    at_rig: str


ORANGE = "#E69F00"
SKY_BLUE = "#56B4E9"
GREEN = "#009E73"
YELLOW = "#F0E442"
BLUE = "#0072B2"
VERMILLION = "#D55E00"
PURPLE = "#CC79A7"
GREY = "#999999"
OKABE_ITO = (ORANGE, SKY_BLUE, GREEN, YELLOW, BLUE, VERMILLION, PURPLE)
BADGE = "#0B0907"
"""What a mark lies on, in every room."""

DARK = Room(
    sunk="#0B0907",
    ground="#14110E",
    raised="#1F1A15",
    hover="#2D261F",
    rule="#3A3128",
    outline="#8A7A68",
    ink="#E2D4BE",
    quiet="#B0A08B",
    accent="#F0CB8C",
    sky={
        "day": "#6A5A3C",
        "civil": "#574639",
        "nautical": "#3D3440",
        "astronomical": "#272534",
        "night": "#131420",
    },
    moon="#C9C2AE",
    good=GREEN,
    bad=VERMILLION,
    amount=SKY_BLUE,
    at_rig=YELLOW,
)
"""Warm and a little dim: for the hours in which eyes are used to the dark."""
LIGHT = Room(
    sunk="#DCD6CB",
    ground="#EFEBE3",
    raised="#F8F5EF",
    hover="#E2DBCD",
    rule="#C9C1B3",
    outline="#766B5C",
    ink="#26201A",
    quiet="#5A5045",
    accent="#7A4A00",
    sky={
        "day": "#F6E9C4",
        "civil": "#E6D3BC",
        "nautical": "#CFC6D3",
        "astronomical": "#B9BCD0",
        "night": "#A5ABC4",
    },
    moon="#5B5648",
    good="#007A59",
    bad="#B84F00",
    amount=BLUE,
    at_rig="#6B6000",
)
"""For a bright room. Green and vermillion are the palette's, darkened until they stand out on every ground."""

SUNK: str
GROUND: str
RAISED: str
HOVER: str
RULE: str
OUTLINE: str
INK: str
QUIET: str
ACCENT: str
SKY: dict[str, str]
MOON: str
GOOD: str
BAD: str
AMOUNT: str
AT_RIG: str

_in_use = [DARK]


def __getattr__(name: str) -> object:
    """Return a colour of the room in use: ``theme.INK`` is its `Room.ink`."""
    if name.isupper() and hasattr(DARK, name.lower()):
        return getattr(_in_use[0], name.lower())
    msg = f"the theme has no {name}"
    raise AttributeError(msg)


def room() -> Room:
    """Return the room in use."""
    return _in_use[0]


def use(which: Room) -> None:
    """Take the colours of another room; `apply` then dresses the application in them."""
    _in_use[0] = which


class Shape(StrEnum):
    """Forms a mark can take; each is told from the others without colour."""

    DISC = "disc"
    BLACK_DISC = "black-disc"
    HALF_DISC = "half-disc"
    CORE = "core"
    HOLLOW_SQUARE = "hollow-square"
    CUT_SQUARE = "cut-square"
    RINGS = "rings"
    WAVES = "waves"
    DIAMOND = "diamond"
    ZIGZAG = "zigzag"
    TRESTLE = "trestle"
    QUESTION = "question"
    TICK = "tick"
    STROKE = "stroke"
    DOTS = "dots"


@dataclass(frozen=True, slots=True)
class Mark:
    """A colour and a shape that always go together.

    Attributes
    ----------
    colour : str
        ``#RRGGBB``.
    shape : Shape
        Its form.
    """

    colour: str
    shape: Shape


FINDING_MARKS: dict[FindingKind, Mark] = {
    FindingKind.SETUP: Mark(YELLOW, Shape.TRESTLE),
    FindingKind.DARK: Mark(SKY_BLUE, Shape.BLACK_DISC),
    FindingKind.HALF_LIT: Mark(SKY_BLUE, Shape.HALF_DISC),
    FindingKind.DIM: Mark(SKY_BLUE, Shape.CORE),
    FindingKind.EMPTY: Mark(GREY, Shape.HOLLOW_SQUARE),
    FindingKind.EDGE: Mark(ORANGE, Shape.CUT_SQUARE),
    FindingKind.SOFT: Mark(PURPLE, Shape.RINGS),
    FindingKind.FOGGED: Mark(PURPLE, Shape.WAVES),
    FindingKind.CLIPPED: Mark(ORANGE, Shape.DIAMOND),
    FindingKind.DAMAGED: Mark(VERMILLION, Shape.ZIGZAG),
}
SUBJECT_MARK = Mark(GREEN, Shape.DISC)
"""A frame or an event with something in it."""
UNSURE_MARK = Mark(YELLOW, Shape.QUESTION)
"""The tool cannot tell."""
EVENT_MARKS: dict[EventKind, Mark] = {
    EventKind.SUBJECT: SUBJECT_MARK,
    EventKind.EMPTY: FINDING_MARKS[FindingKind.EMPTY],
    EventKind.SETUP: FINDING_MARKS[FindingKind.SETUP],
    EventKind.DARK: FINDING_MARKS[FindingKind.DARK],
    EventKind.MIXED: Mark("#8A7A68", Shape.DOTS),
}
VERDICT_MARKS: dict[Verdict, Mark] = {
    Verdict.KEEP: Mark(GREEN, Shape.TICK),
    Verdict.REJECT: Mark(VERMILLION, Shape.STROKE),
}

TEXT_SCALES = (0.8, 0.9, 1.0, 1.15, 1.3, 1.5, 1.75, 2.0)
"""Steps of the text size; 200 per cent is reached without loss (WCAG 2.2, 1.4.4)."""


def luminance(colour: str) -> float:
    """Return the relative luminance of an ``#RRGGBB`` colour, 0 to 1, as WCAG 2.2 defines it."""

    def linear(code: int) -> float:
        value = code / 255.0
        return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)

    red, green, blue = (linear(int(colour[at : at + 2], 16)) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two ``#RRGGBB`` colours, 1 to 21, as WCAG 2.2 defines it."""
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def colour(name: str, alpha: float = 1.0) -> QColor:
    """Return a `QColor` for an ``#RRGGBB`` colour, see-through by `alpha` (0 to 1)."""
    shade = QColor(name)
    shade.setAlphaF(alpha)
    return shade


def palette() -> QPalette:
    """Return the window's palette; widgets that paint themselves use the constants above."""
    made, now = QPalette(), room()
    role = QPalette.ColorRole
    for which, shade in (
        (role.Window, now.ground),
        (role.Base, now.sunk),
        (role.AlternateBase, now.ground),
        (role.Button, now.raised),
        (role.WindowText, now.ink),
        (role.Text, now.ink),
        (role.ButtonText, now.ink),
        (role.BrightText, now.accent),
        (role.PlaceholderText, now.quiet),
        (role.ToolTipBase, now.raised),
        (role.ToolTipText, now.ink),
        (role.Highlight, now.accent),
        (role.HighlightedText, now.sunk),
        (role.Link, now.accent),
        (role.LinkVisited, now.accent),
        (role.Light, now.rule),
        (role.Midlight, now.rule),
        (role.Mid, now.rule),
        (role.Dark, now.sunk),
        (role.Shadow, now.sunk),
    ):
        made.setColor(which, QColor(shade))
    for which in (role.WindowText, role.Text, role.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, which, QColor(now.outline))
    return made


def scaled_font(base: QFont, scale: float) -> QFont:
    """Return the system's font at another size."""
    font = QFont(base)
    size = base.pointSizeF()
    if size > 0:
        font.setPointSizeF(size * scale)
    else:
        font.setPixelSize(max(1, round(base.pixelSize() * scale)))
    return font


def style_sheet() -> str:
    """Return the style of the stock widgets; sizes in ``em`` follow the text size."""
    now = room()
    return f"""
* {{ outline: 0; }}
QMainWindow, QDialog, QMessageBox {{ background: {now.ground}; }}
QToolTip {{ background: {now.raised}; color: {now.ink}; border: 1px solid {now.outline}; padding: 4px; }}
QMenuBar {{ background: {now.ground}; color: {now.quiet}; border-bottom: 1px solid {now.rule}; }}
QMenuBar::item {{ padding: 4px 10px; background: transparent; }}
QMenuBar::item:selected {{ background: {now.hover}; color: {now.ink}; }}
QMenu {{ background: {now.raised}; color: {now.ink}; border: 1px solid {now.outline}; padding: 4px 0; }}
QMenu::item {{ padding: 5px 28px 5px 26px; }}
QMenu::item:selected {{ background: {now.accent}; color: {now.sunk}; }}
QMenu::item:disabled {{ color: {now.outline}; }}
QMenu::separator {{ height: 1px; background: {now.rule}; margin: 4px 8px; }}
QPushButton {{ background: {now.raised}; color: {now.ink}; border: 1px solid {now.outline}; border-radius: 3px;
  padding: 4px 12px; min-height: 1.3em; }}
QPushButton:hover {{ background: {now.hover}; }}
QPushButton:pressed {{ background: {now.sunk}; }}
QPushButton:focus {{ border: 2px solid {now.accent}; padding: 3px 11px; }}
QPushButton:disabled {{ color: {now.outline}; border-color: {now.rule}; }}
QPushButton#low {{ padding: 0 10px; min-height: 0; }}
QPushButton#low:focus {{ padding: 0 9px; }}
QPushButton#row {{ text-align: left; border-color: {now.rule}; }}
QPushButton#row:focus {{ border-color: {now.accent}; }}
QPushButton:default {{ border-color: {now.accent}; }}
QScrollArea, QListView, QTextBrowser {{ background: {now.ground}; border: 0; }}
QListView:focus {{ border: 1px solid {now.accent}; }}
QScrollArea:focus, QTextBrowser:focus {{ border: 1px solid {now.accent}; }}
QLineEdit {{ background: {now.sunk}; color: {now.ink}; border: 1px solid {now.outline}; padding: 4px;
  selection-background-color: {now.accent}; selection-color: {now.sunk};
  placeholder-text-color: {now.quiet}; }}
QLineEdit:focus {{ border: 2px solid {now.accent}; padding: 3px; }}
QComboBox {{ background: {now.sunk}; color: {now.ink}; border: 1px solid {now.outline}; padding: 4px; }}
QComboBox:focus {{ border: 2px solid {now.accent}; padding: 3px; }}
QComboBox QAbstractItemView {{ background: {now.raised}; color: {now.ink};
  selection-background-color: {now.accent}; selection-color: {now.sunk}; }}
QHeaderView::section {{ background: {now.raised}; color: {now.quiet}; border: 0; padding: 4px 12px; }}
QTreeView {{ background: {now.ground}; border: 1px solid {now.rule}; }}
QTreeView:focus {{ border: 1px solid {now.accent}; }}
QTreeView::item {{ padding: 3px 10px; }}
QTreeView::item:selected {{ background: {now.accent}; color: {now.sunk}; }}
QDateTimeEdit {{ background: {now.sunk}; color: {now.ink}; border: 1px solid {now.outline}; padding: 4px; }}
QDateTimeEdit:focus {{ border: 2px solid {now.accent}; padding: 3px; }}
QDateTimeEdit::up-button, QDateTimeEdit::down-button {{ width: 0; }}
#plate {{ background: {now.raised}; border-left: 3px solid {now.bad}; padding: 10px; }}
#sheet {{ background: {now.raised}; border: 1px solid {now.outline}; }}
#cap {{ background: {now.raised}; border: 1px solid {now.outline}; border-radius: 4px; padding: 5px; }}
#notice {{ background: {now.raised}; border-left: 3px solid {now.good}; }}
#notice[bad="true"] {{ border-left: 3px solid {now.bad}; }}
#strip {{ background: {now.raised}; border-left: 3px solid {now.accent}; }}
#quiet {{ color: {now.quiet}; }}
QSplitter::handle {{ background: {now.rule}; }}
QSplitter::handle:hover {{ background: {now.outline}; }}
QSplitter::handle:horizontal {{ width: 3px; }}
QSplitter::handle:vertical {{ height: 3px; }}
QScrollBar {{ background: {now.ground}; border: 0; }}
QScrollBar:vertical {{ width: 12px; }}
QScrollBar:horizontal {{ height: 12px; }}
QScrollBar::handle {{ background: {now.rule}; border-radius: 4px; margin: 2px; min-height: 24px;
  min-width: 24px; }}
QScrollBar::handle:hover {{ background: {now.outline}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QProgressBar {{ background: {now.sunk}; border: 1px solid {now.outline}; color: {now.ink}; text-align: center; }}
QProgressBar::chunk {{ background: {now.outline}; }}
"""


def apply(app: QApplication, base: QFont, scale: float = 1.0) -> None:
    """Dress the whole application; call again with another `scale` to change the text size."""
    if app.style().objectName().lower() != "fusion":
        app.setStyle(QStyleFactory.create("Fusion"))
    app.setPalette(palette())
    app.setFont(scaled_font(base, scale))
    app.setStyleSheet(style_sheet())
