"""How the window looks: a warm, dim room for eyes used to the night, and colours that carry meaning.

Meaning is always carried twice: a colour of the Okabe-Ito palette and a shape (`triage.ui.marks`), so nothing
is lost to a reader who does not tell the colours apart. Text is `INK` or `QUIET` on one of the grounds; the
palette colours are for shapes, never for small text.
"""

from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import QApplication, QStyleFactory

from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind

SUNK = "#0B0907"
"""Wells: around the picture, under the time line's tracks."""
GROUND = "#14110E"
"""The window."""
RAISED = "#1F1A15"
"""Panels, menus, buttons."""
HOVER = "#2D261F"
"""A raised thing under the pointer; the selected row."""
RULE = "#3A3128"
"""Thin separators; decoration only."""
OUTLINE = "#8A7A68"
"""Outlines of controls and of meaningful shapes that have no colour of their own."""
INK = "#E2D4BE"
"""Text. Warm and a little dim: no pure white anywhere."""
QUIET = "#B0A08B"
"""Secondary text."""
ACCENT = "#F0CB8C"
"""Focus, selection, the current frame: the lamp in the dark room."""

ORANGE = "#E69F00"
SKY_BLUE = "#56B4E9"
GREEN = "#009E73"
YELLOW = "#F0E442"
BLUE = "#0072B2"
VERMILLION = "#D55E00"
PURPLE = "#CC79A7"
GREY = "#999999"
OKABE_ITO = (ORANGE, SKY_BLUE, GREEN, YELLOW, BLUE, VERMILLION, PURPLE)

SKY = {
    "day": "#6A5A3C",
    "civil": "#574639",
    "nautical": "#3D3440",
    "astronomical": "#272534",
    "night": "#131420",
}
"""Fill of the night ribbon by `SkySpan.kind`; lightness falls with the sun, and `INK` can be read on all."""
MOON = "#C9C2AE"


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
    EventKind.MIXED: Mark(OUTLINE, Shape.DOTS),
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
    made = QPalette()
    role = QPalette.ColorRole
    for which, shade in (
        (role.Window, GROUND),
        (role.Base, SUNK),
        (role.AlternateBase, GROUND),
        (role.Button, RAISED),
        (role.WindowText, INK),
        (role.Text, INK),
        (role.ButtonText, INK),
        (role.BrightText, ACCENT),
        (role.PlaceholderText, QUIET),
        (role.ToolTipBase, RAISED),
        (role.ToolTipText, INK),
        (role.Highlight, ACCENT),
        (role.HighlightedText, SUNK),
        (role.Link, ACCENT),
        (role.LinkVisited, ACCENT),
        (role.Light, RULE),
        (role.Midlight, RULE),
        (role.Mid, RULE),
        (role.Dark, SUNK),
        (role.Shadow, SUNK),
    ):
        made.setColor(which, QColor(shade))
    for which in (role.WindowText, role.Text, role.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, which, QColor(OUTLINE))
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
    return f"""
* {{ outline: 0; }}
QMainWindow, QDialog, QMessageBox {{ background: {GROUND}; }}
QToolTip {{ background: {RAISED}; color: {INK}; border: 1px solid {OUTLINE}; padding: 4px; }}
QMenuBar {{ background: {GROUND}; color: {QUIET}; border-bottom: 1px solid {RULE}; }}
QMenuBar::item {{ padding: 4px 10px; background: transparent; }}
QMenuBar::item:selected {{ background: {HOVER}; color: {INK}; }}
QMenu {{ background: {RAISED}; color: {INK}; border: 1px solid {OUTLINE}; padding: 4px 0; }}
QMenu::item {{ padding: 5px 28px 5px 26px; }}
QMenu::item:selected {{ background: {ACCENT}; color: {SUNK}; }}
QMenu::item:disabled {{ color: {OUTLINE}; }}
QMenu::separator {{ height: 1px; background: {RULE}; margin: 4px 8px; }}
QPushButton {{ background: {RAISED}; color: {INK}; border: 1px solid {OUTLINE}; border-radius: 3px;
  padding: 4px 12px; min-height: 1.3em; }}
QPushButton:hover {{ background: {HOVER}; }}
QPushButton:pressed {{ background: {SUNK}; }}
QPushButton:focus {{ border: 2px solid {ACCENT}; padding: 3px 11px; }}
QPushButton:disabled {{ color: {OUTLINE}; border-color: {RULE}; }}
QPushButton:default {{ border-color: {ACCENT}; }}
QScrollArea, QListView, QTextBrowser {{ background: {GROUND}; border: 0; }}
QListView:focus {{ border: 1px solid {ACCENT}; }}
QScrollArea:focus, QTextBrowser:focus {{ border: 1px solid {ACCENT}; }}
QLineEdit {{ background: {SUNK}; color: {INK}; border: 1px solid {OUTLINE}; padding: 4px;
  selection-background-color: {ACCENT}; selection-color: {SUNK}; }}
QLineEdit:focus {{ border: 2px solid {ACCENT}; padding: 3px; }}
QCheckBox::indicator {{ width: 16px; height: 16px; border: 1px solid {OUTLINE}; background: {SUNK}; }}
QCheckBox::indicator:checked {{ background: {ACCENT}; }}
QCheckBox:focus {{ color: {ACCENT}; }}
QSplitter::handle {{ background: {RULE}; }}
QSplitter::handle:hover {{ background: {OUTLINE}; }}
QSplitter::handle:horizontal {{ width: 3px; }}
QSplitter::handle:vertical {{ height: 3px; }}
QScrollBar {{ background: {GROUND}; border: 0; }}
QScrollBar:vertical {{ width: 12px; }}
QScrollBar:horizontal {{ height: 12px; }}
QScrollBar::handle {{ background: {RULE}; border-radius: 4px; margin: 2px; min-height: 24px;
  min-width: 24px; }}
QScrollBar::handle:hover {{ background: {OUTLINE}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QProgressBar {{ background: {SUNK}; border: 1px solid {OUTLINE}; color: {INK}; text-align: center; }}
QProgressBar::chunk {{ background: {OUTLINE}; }}
"""


def apply(app: QApplication, base: QFont, scale: float = 1.0) -> None:
    """Dress the whole application; call again with another `scale` to change the text size."""
    if app.style().objectName().lower() != "fusion":
        app.setStyle(QStyleFactory.create("Fusion"))
    app.setPalette(palette())
    app.setFont(scaled_font(base, scale))
    app.setStyleSheet(style_sheet())
