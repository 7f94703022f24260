"""The theme and the text size, put on the whole application."""

from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication

from triage.ui import theme


def step_scale(scale: float, by: int) -> float:
    """Return the text size `by` steps from another one; by 0, the system's own."""
    if by == 0:
        return 1.0
    scales = theme.TEXT_SCALES
    nearest = min(range(len(scales)), key=lambda at: abs(scales[at] - scale))
    return scales[min(len(scales) - 1, max(0, nearest + by))]


def dress(base: QFont, scale: float) -> None:
    """Put the theme on the running application, with text at a scale of the system's."""
    app = QApplication.instance()
    if isinstance(app, QApplication):
        theme.apply(app, base, scale)
