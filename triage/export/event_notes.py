"""Notes on events, as the library keeps them under the events' frames, turned to the frames handed over."""

from collections.abc import Iterable, Mapping, Sequence

from triage.records.event import Event
from triage.records.frame import Frame

EVENT_KEY = "event:{}"
"""Under this, with the key of a frame in it, lies the note on the event that the frame began when it was written."""


def note_keys(frames: Iterable[Frame]) -> tuple[str, ...]:
    """Return every key under which a note on an event of a card may lie.

    Parameters
    ----------
    frames : iterable of Frame
        The card's.

    Returns
    -------
    tuple of str
        One for each frame.
    """
    return tuple(EVENT_KEY.format(frame.key) for frame in frames)


def event_note(event: Event, frames: Sequence[Frame], notes: Mapping[str, str]) -> str:
    """Return the note on an event; of an event put together anew, all notes on its parts.

    Parameters
    ----------
    event : Event
        The event.
    frames : sequence of Frame
        The card's, by their index.
    notes : mapping of str to str
        What lies under `note_keys`.

    Returns
    -------
    str
        Empty where there is none.
    """
    keys = (EVENT_KEY.format(frames[index].key) for index in event.frames)
    return " ".join(notes[key] for key in keys if key in notes)


def event_notes(events: Iterable[Event], frames: Sequence[Frame], notes: Mapping[str, str]) -> dict[str, str]:
    """Return the note on each frame's event.

    Parameters
    ----------
    events : iterable of Event
        The card's.
    frames : sequence of Frame
        The card's, by their index.
    notes : mapping of str to str
        What lies under `note_keys`.

    Returns
    -------
    dict of str to str
        By `Frame.key`; frames of events without a note are not in it.
    """
    return {
        frames[index].key: note
        for event in events
        if (note := event_note(event, frames, notes))
        for index in event.frames
    }
