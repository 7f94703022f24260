"""The one place through which the window's own texts pass on their way to the screen.

A text is a whole sentence, or a name that stands by itself. What varies in it has a place with a name, so that a
translation can put it where its grammar wants it; a text that depends on a number is written out for one and for
many, and no sentence is glued from halves. A translation is a Qt translator with the English text as its key, in
the context below; where it holds several forms for many, Qt chooses by the number. What the core says of a night
is English by the contract of the report, and fills places here as it is.
"""

from PySide6.QtCore import QCoreApplication

CONTEXT = "Card Triage"


def tr(text: str, /, **places: object) -> str:
    """Return a text in the language of the window, as it is where there is no translation of it.

    Parameters
    ----------
    text : str
        In English, with places such as ``{name}``.
    **places : object
        What fills each of them; without any, braces in the text stay.
    """
    said = QCoreApplication.translate(CONTEXT, text)
    return _filled(said, text, places) if places else said


def counted(count: int, one: str, many: str, /, **places: object) -> str:
    """Return a text about a number of things, for one of them or for many.

    Parameters
    ----------
    count : int
        How many; it also fills the place ``{count}``.
    one, many : str
        The text for one, and for none or several.
    **places : object
        What fills the other places.
    """
    text = one if count == 1 else many
    return _filled(
        QCoreApplication.translate(CONTEXT, text, None, count), text, {"count": f"{count:,}", **places}
    )


def _filled(said: str, text: str, places: dict[str, object]) -> str:
    try:
        return said.format_map(places)
    except (KeyError, IndexError, ValueError):  # a slip in a translation must not stop anybody's sorting
        return text.format_map(places)
