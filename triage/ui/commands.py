"""The one table of what can be done in the window; menus, keys, the help sheet and the README follow it.

The keys lie under one hand at rest on the left of the keyboard. Each row is a scope and each column an act:

=========  =========  ===========  ==========  ==========  ==========
row        column 1   column 2     column 3    column 4    column 5
=========  =========  ===========  ==========  ==========  ==========
write      1 tag all  2 tag frame  3 of event  4 of night  5 find
event      Q back     W best only  E reject    R on        T undecide
frame      A back     S keep       D reject    F on        G undecide
look       Z undo     X compare    C closer    V shadows   B outline
=========  =========  ===========  ==========  ==========  ==========

The thumb on the space bar goes to the next undecided frame. A person may change the keys
(`triage.ui.key_book`); these are the standard ones.
"""

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


COMMANDS: tuple[Entry, ...] = (
    Entry(
        Command.OPEN,
        "Open a card or folder…",
        ("Ctrl+O",),
        "Choose a memory card, or a folder copied from one. It is only read.",
        Group.CARD,
        needs_frames=False,
    ),
    Entry(
        Command.STOP,
        "Stop reading",
        ("Ctrl+.",),
        "Stop reading the card; what was read so far stays in the window.",
        Group.CARD,
    ),
    Entry(
        Command.NIGHT,
        "About this night…",
        ("Ctrl+N",),
        "Say where and when the camera stood, how many flashes it had, and when you were at it.",
        Group.CARD,
    ),
    Entry(
        Command.DUSK,
        "Before dusk…",
        ("Ctrl+D",),
        "What to change at the rig before the next night, worst first.",
        Group.CARD,
    ),
    Entry(
        Command.PAPER,
        "Before dusk on paper…",
        ("Ctrl+P",),
        "Save what to change before the next night as a page to print and take along.",
        Group.CARD,
    ),
    Entry(
        Command.HAND_OVER,
        "Hand over the keepers…",
        ("Ctrl+K",),
        "Copy every file of the kept frames, checked, to a folder for editing.",
        Group.CARD,
    ),
    Entry(
        Command.COPY_CARD,
        "Copy the whole card…",
        ("Ctrl+Shift+C",),
        "Copy every file of the card, read it back and compare it.",
        Group.CARD,
    ),
    Entry(
        Command.CLOSE,
        "Close the window",
        ("Ctrl+Q",),
        "Close; every decision is already on the disk.",
        Group.CARD,
        needs_frames=False,
    ),
    Entry(
        Command.NEXT_UNDECIDED,
        "Next undecided frame",
        ("Space",),
        "Go to the next frame without a decision; after the last one, to the first.",
        Group.GO,
        repeats=True,
    ),
    Entry(
        Command.LAST_UNDECIDED,
        "Undecided frame before",
        ("Shift+Space",),
        "Go back to the nearest frame without a decision.",
        Group.GO,
        repeats=True,
    ),
    Entry(
        Command.FRAME_BACK,
        "Frame before",
        ("A", "Left"),
        "Go to the frame before, across events.",
        Group.GO,
        repeats=True,
    ),
    Entry(
        Command.FRAME_ON,
        "Next frame",
        ("F", "Right"),
        "Go to the next frame, across events.",
        Group.GO,
        repeats=True,
    ),
    Entry(
        Command.EVENT_BACK,
        "Event before",
        ("Q", "Up"),
        "Go to the best frame of the event before.",
        Group.GO,
        repeats=True,
    ),
    Entry(
        Command.EVENT_ON,
        "Next event",
        ("R", "Down"),
        "Go to the best frame of the next event.",
        Group.GO,
        repeats=True,
    ),
    Entry(
        Command.CHOOSE_ON,
        "Choose up to the next frame",
        ("Shift+F", "Shift+Right"),
        "Choose this frame and the next together; keep, reject and tag then act on all chosen. Esc ends it.",
        Group.GO,
        repeats=True,
    ),
    Entry(
        Command.CHOOSE_BACK,
        "Choose back to the frame before",
        ("Shift+A", "Shift+Left"),
        "Choose this frame and the one before together.",
        Group.GO,
        repeats=True,
    ),
    Entry(
        Command.BY_TIME,
        "By time, or the best first",
        ("Ctrl+T",),
        "Go through undecided frames by time alone, or (as usual) through the most promising events first.",
        Group.GO,
    ),
    Entry(
        Command.FILTER,
        "Show only…",
        ("Ctrl+F",),
        "Show only events with a certain finding, or a certain decision.",
        Group.GO,
    ),
    Entry(
        Command.SHOW_ALL,
        "Show every event",
        ("Ctrl+Shift+F",),
        "Show every event again.",
        Group.GO,
    ),
    Entry(
        Command.KEEP_FRAME,
        "Keep this frame",
        ("S",),
        "Keep this frame and go to the next undecided one.",
        Group.DECIDE,
    ),
    Entry(
        Command.REJECT_FRAME,
        "Reject this frame",
        ("D",),
        "Reject this frame and go to the next undecided one. Its files are not touched.",
        Group.DECIDE,
    ),
    Entry(
        Command.CLEAR_FRAME,
        "Leave this frame undecided",
        ("G",),
        "Take the decision on this frame back and stay here.",
        Group.DECIDE,
    ),
    Entry(
        Command.KEEP_BEST,
        "Keep the best frame of the event",
        ("W",),
        "Keep the frame that shows the event best, and whatever you kept of it already; reject the rest.",
        Group.DECIDE,
    ),
    Entry(
        Command.KEEP_EVENT,
        "Keep the whole event",
        ("Shift+W",),
        "Keep every frame of the event.",
        Group.DECIDE,
    ),
    Entry(
        Command.REJECT_EVENT,
        "Reject the whole event",
        ("E",),
        "Reject every frame of the event. Their files are not touched.",
        Group.DECIDE,
    ),
    Entry(
        Command.CLEAR_EVENT,
        "Leave the event undecided",
        ("T",),
        "Take the decisions on the whole event back and stay here.",
        Group.DECIDE,
    ),
    Entry(
        Command.KEEP_SHOWN,
        "Keep all that is shown…",
        ("Ctrl+Shift+S",),
        "Keep, after a question with their number, all undecided frames that Show only is about.",
        Group.DECIDE,
    ),
    Entry(
        Command.REJECT_SHOWN,
        "Reject all that is shown…",
        ("Ctrl+Shift+D",),
        "Reject, after a question with their number, all undecided frames that Show only is about.",
        Group.DECIDE,
    ),
    Entry(
        Command.PUT_EMPTY,
        "Put empty events away…",
        ("Ctrl+E",),
        "Reject all undecided empty events in one step, after a look at a few of them drawn at random.",
        Group.DECIDE,
    ),
    Entry(
        Command.PUT_OWN,
        "Put your own setting up away…",
        ("Ctrl+Shift+E",),
        "Reject all undecided frames of you at the rig in one step, after a look at a few of them.",
        Group.DECIDE,
    ),
    Entry(
        Command.UNDO,
        "Undo",
        ("Z", "Ctrl+Z"),
        "Take the last decision back, as often as you like, even after closing.",
        Group.DECIDE,
    ),
    Entry(
        Command.REDO,
        "Redo",
        ("Shift+Z", "Ctrl+Shift+Z"),
        "Make the decision taken back again.",
        Group.DECIDE,
    ),
    Entry(
        Command.TAG_EVENT,
        "Tag the event…",
        ("1",),
        "Give the frames of the event tags, which go with the keepers; words of earlier nights are offered.",
        Group.WRITE,
    ),
    Entry(
        Command.TAG_FRAME,
        "Tag this frame…",
        ("2",),
        "Give this frame, or those chosen together, tags of their own.",
        Group.WRITE,
    ),
    Entry(
        Command.NOTE_EVENT,
        "Note on the event…",
        ("3",),
        "Write a note on the event; it goes with its keepers as their description.",
        Group.WRITE,
    ),
    Entry(
        Command.NOTE_NIGHT,
        "Note on the night…",
        ("4",),
        "Write a note on the whole night; it is there when the card is opened again.",
        Group.WRITE,
    ),
    Entry(
        Command.CLOSER,
        "Full size at the subject",
        ("C",),
        "Look at the subject with each pixel of the picture as one of the screen; again for the whole frame.",
        Group.LOOK,
    ),
    Entry(
        Command.ZOOM_IN,
        "Closer",
        ("Shift+C",),
        "Look closer; the wheel does the same.",
        Group.LOOK,
        repeats=True,
    ),
    Entry(
        Command.ZOOM_OUT,
        "Further away",
        ("Shift+V",),
        "Look from further away, down to the whole frame.",
        Group.LOOK,
        repeats=True,
    ),
    Entry(
        Command.SHADOWS,
        "Lift the shadows",
        ("V",),
        "Lift dark parts by three stops, then by five, then not at all. For looking only.",
        Group.LOOK,
    ),
    Entry(
        Command.BEFORE_AFTER,
        "Shadows before and after",
        ("Shift+X",),
        "Show the frame twice side by side, as it is and with its shadows lifted; again for one.",
        Group.LOOK,
    ),
    Entry(
        Command.COMPARE,
        "Compare with this frame",
        ("X",),
        "Hold this frame on the left and go on beside it, zoomed and moved together; again to end it.",
        Group.LOOK,
    ),
    Entry(
        Command.OUTLINE,
        "Outline of the subject",
        ("B",),
        "Show or hide the line around what the tool takes for the subject.",
        Group.LOOK,
    ),
    Entry(
        Command.LAMPS,
        "Light of the frame",
        ("Shift+B",),
        "Show or hide how much light each flash gave, written over the picture on its side.",
        Group.LOOK,
    ),
    Entry(
        Command.ALONE,
        "The picture alone",
        ("Ctrl+B",),
        "Give the picture all of the window, without time line, reasons and list; again for all of them.",
        Group.LOOK,
    ),
    Entry(
        Command.LIST,
        "List of events",
        ("Ctrl+L",),
        "Show or hide the plain list of events.",
        Group.LOOK,
        needs_frames=False,
    ),
    Entry(
        Command.LIGHT_ROOM,
        "Light or dark window",
        ("Ctrl+Shift+L",),
        "Change between a dark window for the night and a light one for a bright room.",
        Group.LOOK,
        needs_frames=False,
    ),
    Entry(
        Command.TEXT_LARGER,
        "Larger text",
        ("Ctrl++", "Ctrl+="),
        "Make all text larger, up to twice the usual size.",
        Group.LOOK,
        needs_frames=False,
    ),
    Entry(
        Command.TEXT_SMALLER,
        "Smaller text",
        ("Ctrl+-",),
        "Make all text smaller.",
        Group.LOOK,
        needs_frames=False,
    ),
    Entry(
        Command.TEXT_USUAL,
        "Usual text size",
        ("Ctrl+0",),
        "Go back to the size the system asks for.",
        Group.LOOK,
        needs_frames=False,
    ),
    Entry(
        Command.FIND,
        "Find a command…",
        ("5", "F2"),
        "Write a word or two and choose among the commands that have them.",
        Group.HELP,
        needs_frames=False,
    ),
    Entry(
        Command.CHANGE_KEYS,
        "Change keys…",
        ("Shift+F1",),
        "Give a command another key, or all commands their standard keys again.",
        Group.HELP,
        needs_frames=False,
    ),
    Entry(
        Command.KEYS,
        "Keys",
        ("?", "F1"),
        "Show this sheet.",
        Group.HELP,
        needs_frames=False,
    ),
)


def entry(command: Command) -> Entry:
    """Return the row of a command."""
    return next(row for row in COMMANDS if row.command is command)
