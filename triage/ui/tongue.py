"""The one place through which fixed texts of the window pass on their way to the screen.

A translation is a Qt translator with the English text as its key, in the context below. Sentences that are put
together from figures are not looked up as a whole yet: their parts would have to become patterns first.
"""

from PySide6.QtCore import QCoreApplication

CONTEXT = "Card Triage"


def tr(text: str) -> str:
    """Return a text in the language of the window; as it is where there is no translation of it."""
    return QCoreApplication.translate(CONTEXT, text)
