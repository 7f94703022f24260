"""The theme and the text size, put on the whole application."""

from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication

from triage.ui import theme
from triage.ui.views.parts import Heading

SYSTEM_FONT = "system_font"


def step_scale(scale: float, by: int) -> float:
    """Return the text size `by` steps from another one; by 0, the system's own."""
    if by == 0:
        return 1.0
    scales = theme.TEXT_SCALES
    nearest = min(range(len(scales)), key=lambda at: abs(scales[at] - scale))
    return scales[min(len(scales) - 1, max(0, nearest + by))]


def dress(scale: float, *, light: bool = False) -> None:
    """Put a theme on the running application, with text at a scale of the system's."""
    theme.use(theme.LIGHT if light else theme.DARK)
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        return
    # The system's own font is remembered with the application, because the theme replaces it there.
    base = app.property(SYSTEM_FONT)
    if not isinstance(base, QFont):
        base = QFont(app.font())
        app.setProperty(SYSTEM_FONT, base)
    theme.apply(app, base, scale)
    for widget in app.allWidgets():
        if isinstance(widget, Heading):
            widget.follow_text_size()
