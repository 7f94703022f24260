"""The "before dusk" sheet: what to change tonight, worst first, what went right, and the standing cautions.

Its text is put together here once; the window, the terminal and the printed page show it each in their way.
"""

from dataclasses import dataclass

from triage.export.cautions import CAUTIONS, LAST_WORD, Caution
from triage.export.fault_words import LIKELY, fault_time, fault_title, moment, sureness
from triage.records.diagnosis import Fault
from triage.records.result import Triage

TITLE = "Before dusk"
NOTHING_FAILED = "Nothing to mend: no part of the rig shows a likely fault."
DOUBTS = "Doubtful, worth a look"
ADVICE = "Would make it better"
WENT_RIGHT = "What went right"
UNTOLD = "What this card cannot tell"
EVERY_NIGHT = "Every night"


@dataclass(frozen=True, slots=True)
class Entry:
    """One fault on the sheet.

    Attributes
    ----------
    number : int
        From 1, worst first; doubts follow.
    position : int
        In `Triage.faults`.
    title : str
        What failed.
    when : str
        How sure, and since when.
    say : str
        Why.
    remedy : str
        What to do.
    is_likely : bool
        False for a doubt.
    """

    number: int
    position: int
    title: str
    when: str
    say: str
    remedy: str
    is_likely: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole sheet.

    Attributes
    ----------
    stretch : str
        From when to when the card tells.
    night : str
        The night in one sentence.
    entries : tuple of Entry
        Likely faults first, then doubts.
    advice, notes, untold : tuple of str
        Sentences: what would make it better, what went right, what the card cannot tell.
    sunset : str
        When the sun sets next; empty where nobody has worked it out.
    cautions : tuple of Caution
        For every night.
    last_word : str
        What goes before all of it.
    """

    stretch: str
    night: str
    entries: tuple[Entry, ...]
    advice: tuple[str, ...]
    notes: tuple[str, ...]
    untold: tuple[str, ...]
    sunset: str = ""
    cautions: tuple[Caution, ...] = CAUTIONS
    last_word: str = LAST_WORD

    @property
    def likely(self) -> tuple[Entry, ...]:
        """What is likelier than not."""
        return tuple(entry for entry in self.entries if entry.is_likely)

    @property
    def doubts(self) -> tuple[Entry, ...]:
        """What is not."""
        return tuple(entry for entry in self.entries if not entry.is_likely)


def before_dusk(triage: Triage) -> Sheet:
    """Put the sheet of a card together.

    Parameters
    ----------
    triage : Triage
        The whole answer.

    Returns
    -------
    Sheet
        In words.
    """
    order = sorted(range(len(triage.faults)), key=lambda at: triage.faults[at].confidence < LIKELY)
    night = triage.night
    return Sheet(
        stretch=f"{moment(night.start)} to {moment(night.end)}, by the camera's clock",
        night=night.summary,
        entries=tuple(_entry(number, at, triage.faults[at]) for number, at in enumerate(order, start=1)),
        advice=triage.review.advice,
        notes=triage.review.notes,
        untold=triage.review.untold,
    )


def _entry(number: int, position: int, fault: Fault) -> Entry:
    return Entry(
        number=number,
        position=position,
        title=fault_title(fault),
        when=f"{sureness(fault.confidence).capitalize()}; {fault_time(fault)}",
        say=fault.say,
        remedy=fault.remedy,
        is_likely=fault.confidence >= LIKELY,
    )


def sheet_lines(sheet: Sheet) -> list[str]:
    """Return what changes from card to card as lines for a terminal: all but the night and the cautions.

    Parameters
    ----------
    sheet : Sheet
        Of a card.

    Returns
    -------
    list of str
        Without line breaks; an empty one between sections.
    """
    lines = [f"{TITLE}, worst first:"] if sheet.likely else [NOTHING_FAILED]
    for entry in sheet.likely:
        lines += _entry_lines(entry)
    if sheet.doubts:
        lines += ["", f"{DOUBTS}:"]
    for entry in sheet.doubts:
        lines += _entry_lines(entry)
    for heading, sentences in ((ADVICE, sheet.advice), (WENT_RIGHT, sheet.notes), (UNTOLD, sheet.untold)):
        if sentences:
            lines += ["", f"{heading}:", *(f"  - {sentence}" for sentence in sentences)]
    return lines


def _entry_lines(entry: Entry) -> list[str]:
    return [
        f"  {entry.number}. {entry.title}",
        f"     {entry.when}.",
        f"     {entry.say}",
        f"     Do: {entry.remedy}",
    ]
