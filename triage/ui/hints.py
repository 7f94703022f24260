"""What is said to a person who sees the frames of a card for the first time; no widgets."""

from triage.ui.command import Command
from triage.ui.key_book import KeyBook
from triage.ui.tongue import tr

FIRST_WORDS = (
    "{keep} keeps and {reject} rejects this frame, {best} keeps the event's best; {undo} takes it back, "
    "{next} leads on, {keys} shows every key."
)


def first_words(book: KeyBook) -> str:
    """Return the few keys to begin with, as they are now."""
    keys = {
        "keep": Command.KEEP_FRAME,
        "reject": Command.REJECT_FRAME,
        "best": Command.KEEP_BEST,
        "undo": Command.UNDO,
        "next": Command.NEXT_UNDECIDED,
        "keys": Command.KEYS,
    }
    return tr(FIRST_WORDS, **{name: book.spoken(command) for name, command in keys.items()})
