"""Tags and notes on one card, with their own way back; no widgets.

Every change goes through the store and is on the disk when the method returns. Tags belong to frames and leave
with the keepers. A note on an event is kept under the event's first frame, one on the night under the card.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Protocol

from triage.export.event_notes import EVENT_KEY, event_note, event_notes, note_keys
from triage.records.event import Event
from triage.records.frame import Frame
from triage.ui.timeline.words import frames_words
from triage.ui.tongue import tr

NIGHT_KEY = "night:{}"
EVENT_NOTED = ("Noted on event {event}.", "Took the note on event {event} away.")
NIGHT_NOTED = ("Noted on the night.", "Took the note on the night away.")


class NoteStore(Protocol):
    """What the notebook needs of the library."""

    def tag(self, keys: Sequence[str], tags: Sequence[str]) -> None:
        """Give frames exactly these tags."""

    def tags(self, keys: Collection[str]) -> dict[str, tuple[str, ...]]:
        """Return the tags of each key that has any."""

    def known_tags(self) -> tuple[str, ...]:
        """Return every tag in use on any card."""

    def note(self, key: str, text: str) -> None:
        """Note something under a key; empty text removes the note."""

    def notes(self, keys: Collection[str]) -> dict[str, str]:
        """Return the note of each key that has one."""


Tags = Mapping[str, tuple[str, ...]]
Written = tuple[Tags, Mapping[str, str]]
"""Tags by frame key, and notes by key: what a change wrote, or what stood there before."""


def parse_tags(text: str) -> tuple[str, ...]:
    """Return the tags in a line of words apart by commas, each once, in the order written."""
    return tuple(dict.fromkeys(word for part in text.split(",") if (word := " ".join(part.split()))))


class Notebook:
    """Tags and notes on one card."""

    def __init__(self, store: NoteStore) -> None:
        self._store = store
        self._frames: tuple[Frame, ...] = ()
        self._night = ""
        self._tags: dict[str, tuple[str, ...]] = {}
        self._notes: dict[str, str] = {}
        self._past: list[tuple[Written, Written]] = []
        self._future: list[tuple[Written, Written]] = []

    def load(self, frames: tuple[Frame, ...], digest: str) -> None:
        """Begin with a card; what was written on it before comes back. Without frames, forget the card."""
        self._frames, self._night = frames, NIGHT_KEY.format(digest)
        self._past.clear()
        self._future.clear()
        self._tags, self._notes = {}, {}
        if not frames:
            return
        keys = [frame.key for frame in frames]
        self._tags = self._store.tags(keys)
        self._notes = self._store.notes([self._night, *note_keys(frames)])

    def known_tags(self) -> tuple[str, ...]:
        """Return every tag ever given, on this and on earlier cards."""
        return self._store.known_tags()

    def tags(self, frames: Iterable[int]) -> tuple[str, ...]:
        """Return the tags that any of some frames has."""
        found = (word for index in frames for word in self._tags.get(self._frames[index].key, ()))
        return tuple(dict.fromkeys(found))

    def event_note(self, event: Event) -> str:
        """Return the note on an event; of an event put together anew, all notes on its parts."""
        return event_note(event, self._frames, self._notes)

    def event_notes(self, events: Iterable[Event]) -> dict[str, str]:
        """Return the note on each frame's event, by the frame's key."""
        return event_notes(events, self._frames, self._notes)

    @property
    def night_note(self) -> str:
        """The note on the night."""
        return self._notes.get(self._night, "")

    def tag(self, frames: Sequence[int], words: Sequence[str]) -> str:
        """Give frames tags in place of those they share; what only some of them have besides stays.

        Returns
        -------
        str
            What was done, in words; empty where nothing changes.
        """
        shown = set(self.tags(frames))
        gone, new = shown - set(words), [word for word in words if word not in shown]
        wanted: dict[str, tuple[str, ...]] = {}
        for key in dict.fromkeys(self._frames[index].key for index in frames):
            had = self._tags.get(key, ())
            now = (*(word for word in had if word not in gone), *new)
            if now != had:
                wanted[key] = now
        if not wanted:
            return ""
        self._do((wanted, {}))
        if not words:
            return tr("Took the tags of {frames} away.", frames=frames_words(len(frames)))
        return tr("Tagged {frames}: {tags}.", frames=frames_words(len(frames)), tags=", ".join(words))

    def note_event(self, event: Event, text: str) -> str:
        """Note something on an event; return what was done."""
        first, *others = (EVENT_KEY.format(self._frames[index].key) for index in event.frames)
        wanted = {first: text.strip()} | {key: "" for key in others if key in self._notes}
        return self._note(wanted, EVENT_NOTED, event=event.id)

    def note_night(self, text: str) -> str:
        """Note something on the night; return what was done."""
        return self._note({self._night: text.strip()}, NIGHT_NOTED)

    def _note(self, wanted: Mapping[str, str], texts: tuple[str, str], **places: object) -> str:
        if all(self._notes.get(key, "") == text for key, text in wanted.items()):
            return ""
        self._do(({}, wanted))
        noted, taken_away = texts
        return tr(noted if any(wanted.values()) else taken_away, **places)

    def undo(self) -> str:
        """Take the last writing back; return what was done, empty where there is none."""
        return self._reverse(self._past, self._future, tr("Took back what was written last."))

    def redo(self) -> str:
        """Write again what was taken back last; return what was done, empty where there is none."""
        return self._reverse(self._future, self._past, tr("Wrote again what was taken back."))

    def _reverse(
        self, source: list[tuple[Written, Written]], target: list[tuple[Written, Written]], words: str
    ) -> str:
        if not source:
            return ""
        before, after = source[-1]
        self._write(before if source is self._past else after)
        target.append(source.pop())
        return words

    def _do(self, wanted: Written) -> None:
        tags, notes = wanted
        before = (
            {key: self._tags.get(key, ()) for key in tags},
            {key: self._notes.get(key, "") for key in notes},
        )
        self._write(wanted)
        self._past.append((before, wanted))
        self._future.clear()

    def _write(self, wanted: Written) -> None:
        tags, notes = wanted
        alike: dict[tuple[str, ...], list[str]] = {}
        for key, words in tags.items():
            alike.setdefault(words, []).append(key)
        for words, keys in alike.items():
            self._store.tag(keys, words)
        for key, text in notes.items():
            self._store.note(key, text)
        # Read back, so that the screen shows what is on the disk, in the form in which the store keeps it.
        for key in tags:
            self._tags.pop(key, None)
        self._tags |= self._store.tags(list(tags))
        for key in notes:
            self._notes.pop(key, None)
        self._notes |= self._store.notes(list(notes))
