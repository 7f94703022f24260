"""What a command is, and the names of all of them; the table is `triage.ui.commands`. No Qt."""

from dataclasses import dataclass
from enum import StrEnum


class Group(StrEnum):
    """The menus, in order."""

    CARD = "Card"
    GO = "Go"
    DECIDE = "Decide"
    WRITE = "Write"
    LOOK = "Look"
    HELP = "Help"


class Command(StrEnum):
    """Everything that can be done, by name."""

    OPEN = "open"
    STOP = "stop"
    NIGHT = "night"
    DUSK = "dusk"
    PAPER = "paper"
    HAND_OVER = "hand-over"
    COPY_CARD = "copy-card"
    CLOSE = "close"
    NEXT_UNDECIDED = "next-undecided"
    LAST_UNDECIDED = "last-undecided"
    FRAME_BACK = "frame-back"
    FRAME_ON = "frame-on"
    EVENT_BACK = "event-back"
    EVENT_ON = "event-on"
    BY_TIME = "by-time"
    FILTER = "filter"
    SHOW_ALL = "show-all"
    KEEP_FRAME = "keep-frame"
    REJECT_FRAME = "reject-frame"
    CLEAR_FRAME = "clear-frame"
    KEEP_BEST = "keep-best"
    KEEP_EVENT = "keep-event"
    REJECT_EVENT = "reject-event"
    CLEAR_EVENT = "clear-event"
    CHOOSE_ON = "choose-on"
    CHOOSE_BACK = "choose-back"
    KEEP_SHOWN = "keep-shown"
    REJECT_SHOWN = "reject-shown"
    PUT_EMPTY = "put-empty"
    PUT_OWN = "put-own"
    PUT_UNSEEN = "put-unseen"
    UNDO = "undo"
    REDO = "redo"
    TAG_EVENT = "tag-event"
    TAG_FRAME = "tag-frame"
    NOTE_EVENT = "note-event"
    NOTE_NIGHT = "note-night"
    CLOSER = "closer"
    ZOOM_IN = "zoom-in"
    ZOOM_OUT = "zoom-out"
    SHADOWS = "shadows"
    BEFORE_AFTER = "before-after"
    COMPARE = "compare"
    OUTLINE = "outline"
    LAMPS = "lamps"
    ALONE = "alone"
    LIST = "list"
    LIGHT_ROOM = "light-room"
    TEXT_LARGER = "text-larger"
    TEXT_SMALLER = "text-smaller"
    TEXT_USUAL = "text-usual"
    FIND = "find"
    CHANGE_KEYS = "change-keys"
    KEYS = "keys"


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of the table.

    Attributes
    ----------
    command : Command
        What it is.
    title : str
        As in the menu.
    keys : tuple of str
        The usual keys, the one to be shown first; named as Qt's portable text names them.
    help : str
        One sentence for the help sheet.
    group : Group
        Its menu.
    repeats : bool
        Whether a key held down does it again and again; never for a decision.
    needs_frames : bool
        Whether it makes sense only on a card.
    """

    command: Command
    title: str
    keys: tuple[str, ...]
    help: str
    group: Group
    repeats: bool = False
    needs_frames: bool = True
